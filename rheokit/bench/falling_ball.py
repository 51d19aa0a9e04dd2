"""Falling ball: the speed of a small heavy ball in a wide tube of a clear liquid."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Check, Example
from ..errors import DataError
from ..hints import Numbers
from ..laws import FlowLaw
from ..machine.cautions import CAUTIONS
from ..nomenclature import Quantity, number, written
from ..roots import increasing_root
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Nuisance, Shared, Values, column, dimension, nuisance
from .usual_corrections import APPLIED, TEMPERATURE, UNKNOWN, UNTESTED, Usual

WIDEST = 0.3  # ball over tube, up to which the correction for the wall holds
FASTEST = 1.0  # Reynolds number up to which Oseen's correction holds; common practice
HELD = 0.05  # of the stress on the ball, above which a yield stress makes the rate that was taken doubtful; common practice
BALL_RATE = 0.4, 0.3
"""Shear rate that a ball sees over v/d, for laws that thin or thicken: median, and standard deviation of its ln. [-]

From the drag factors of Gu and Tanner, Journal of Non-Newtonian Fluid Mechanics 17 (1985) 1 (from memory), which ask for 0.27 at a flow
index of 0.9 and 0.58 at 0.3. A Newtonian liquid does not feel it.
"""


@dataclass(frozen=True, kw_only=True, eq=False)
class FallingBall(BenchTest):
    """Steady speeds of one ball that falls along the axis of an upright tube.

    Parameters
    ----------
    ball_diameter, ball_density : float
        Of the ball. [m], [kg/m3]
    tube_diameter : float
        Inside, more than three balls wide. [m]
    density : float
        Of the liquid. [kg/m3]
    speed : array-like, shape (N,)
        Between two marks, well below the surface and well above the bottom. [m/s]

    Notes
    -----
    Exact for a creeping Newtonian liquid but for the two corrections, which hold for a Reynolds number below 1. A liquid that thins
    is taken at the shear rate 0.4 v/d, known to a third: that error is shared by all falling balls of a fit, and does nothing where
    the flow index is 1. A yield stress that holds more than a twentieth of the ball's weight is outside what this test reads.
    """

    kind = "falling ball"
    reads = "speed"
    measures = (0.0, 0.5)
    default_model_error = 0.05
    usual_minutes, usual_scatter = 3.0, 0.03
    formula = "v = (ρ_b - ρ) g d² (1 - 2.104 λ + 2.09 λ³ - 0.95 λ⁵)/(18 η (1 + 3Re/16)), λ = d/D_t"
    source = "Stokes; Faxén for the wall, Oseen for inertia (all from memory)"
    example = Example(
        given={
            "yield_stress": 0.12,
            "consistency": 2.7,
            "flow_index": 0.83,
            "ball_diameter": 3.1e-3,
            "ball_density": 7750.0,
            "tube_diameter": 0.029,
            "density": 1130.0,
        },
        expected={"speed": 0.0100515193},
        source=(
            "root in 18 digits of 18 eta v (1 + 3/16 Re) = (7750 - 1130)*9.81*0.0031^2*W, eta = tau(r)/r at r = 0.4 v/0.0031, "
            "Re = 1130*v*0.0031/eta = 0.0132, W = 0.777629316 from lambda = 3.1/29"
        ),
    )
    serves = ("liquid", "gel")
    artefacts = (
        "a ball let go off the axis falls slower along the wall, or turns: let it go in the middle",
        "a bubble that clings to the ball carries it: wet the ball, and drop it from below the surface",
        "one kelvin is 3 to 5 % of the viscosity of a gel in its liquid state: read the temperature in the tube",
    )
    tools = ("ball", "tube", "ruler", "timer", "thermometer")
    usual: ClassVar[dict] = {"ball_diameter": 3e-3, "ball_density": 7800.0, "tube_diameter": 30e-3, "density": 1100.0}
    protocol = (
        "Fill an upright clear tube {tube_diameter} wide and keep it at one temperature until the liquid has it. Let a wetted steel ball of "
        "{ball_diameter} go in the middle, below the surface. Time it between two marks, the first four tube widths below the surface and the "
        "last two above the bottom. Drop five, at three temperatures or more."
    )
    caution = f"A tall tube of hot liquid falls over: clamp it. {CAUTIONS['hot gel']}"

    ball_diameter: float = dimension()
    ball_density: float = dimension()
    tube_diameter: float = dimension()
    density: float = dimension()
    speed: np.ndarray = column(quantity=Quantity("v", "m/s", "steady speed of the ball", (0, 1)))

    def __post_init__(self):
        super().__post_init__()
        if self.ball_density <= self.density:
            raise DataError(
                f"{self.name}: ball_density = {written(self.ball_density, 'kg/m³', 4)} is not above density, "
                f"{written(self.density, 'kg/m³', 4)}, so the ball would not fall; check which is which, and the unit of either."
            )
        if self._share > WIDEST:
            raise DataError(
                f"{self.name}: ball_diameter = {written(self.ball_diameter, 'm', 4)} in a tube of {written(self.tube_diameter, 'm', 4)} "
                f"is {number(self._share, 2)} of its width; the wall is accounted for up to {WIDEST:g}: take a smaller ball or a "
                "wider tube, or check the unit of either."
            )

    @property
    def _share(self):
        return self.ball_diameter / self.tube_diameter

    @property
    def wall_factor(self) -> float:
        """Speed beside the wall of the tube over that in a wide vessel [-]."""
        share = self._share
        return 1 - 2.104 * share + 2.09 * share**3 - 0.95 * share**5

    @property
    def _pull(self):
        """Viscosity times v/d that the weight of the ball stands for [Pa]."""
        weight = (self.ball_density - self.density) * STANDARD_GRAVITY
        return weight * self.ball_diameter * self.wall_factor / 18

    @property
    def _rate_key(self):
        return Shared("ball_rate", self.kind)

    def own_nuisances(self) -> dict[Shared, Nuisance]:  # noqa: D102
        if not self.model_error:  # the theory is taken as exact
            return {}
        return {self._rate_key: nuisance("ball_rate", *BALL_RATE, logarithmic=True)}

    def _inertia(self, rate):
        """Return what the square of the speed takes off the stress [kg/m3]."""
        return 3 / 16 * rate * self.density

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Return the speed [m/s]: the root of τ(c v/d) + 3/16 c ρ v² = c (ρ_b - ρ) g d W/18, which is Stokes' law with η = τ/(c v/d)."""
        rate = nuisance.get(self._rate_key, BALL_RATE[0])
        pull = rate * self._pull
        creeping = self.ball_diameter / rate * np.asarray(law.shear_rate(pull))  # without inertia, so faster
        moves = creeping > 0
        start = np.log(np.where(moves, creeping, 1.0))
        rest = np.where(moves, pull - law.yield_stress, 1.0)

        def miss(y):
            speed = np.exp(y)
            stress = law.shear_stress(rate * speed / self.ball_diameter) - law.yield_stress
            found = np.log(np.maximum(stress + self._inertia(rate) * speed**2, 1e-300) / rest)
            return np.where(moves, found, 0.0)

        return np.where(moves, np.exp(increasing_root(miss, start, step=0.2, tolerance=1e-12, slope=1.0)), 0.0)[()]

    def rough_curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Return (shear rates [1/s], stresses [Pa]) about the ball, as its speeds give them."""
        rate = BALL_RATE[0]
        return rate * self.speed / self.ball_diameter, rate * self._pull - self._inertia(rate) * self.speed**2

    def shear_rates(self, law: FlowLaw) -> np.ndarray:  # noqa: D102
        return self.rough_curve()[0]

    def questions(self, law: FlowLaw, nuisance: Values, errors: Values | None = None) -> list[Check]:
        """Ask whether the ball creeps, and whether a yield stress carries it."""
        speed = np.asarray(self.expected(law, nuisance))
        stress = law.shear_stress(BALL_RATE[0] * speed / self.ball_diameter)
        reynolds = float(np.max(BALL_RATE[0] * self.density * speed**2 / np.maximum(stress, 1e-300)))
        comment = f"{self.name}: Reynolds number {number(reynolds, 2)}; the formula holds up to {FASTEST:g}."
        if reynolds > FASTEST:
            comment += " Take a smaller or a lighter ball: at this speed inertia makes the liquid look more viscous than it is."
        share = float(np.max(law.yield_stress) / (BALL_RATE[0] * self._pull))
        held = f"{self.name}: the yield stress is {written(share, '%', 2)} of the stress on the ball."
        if share > HELD:
            held += (
                " How a ball falls through what holds it is not computed here: take a heavier ball, or measure with a nozzle or a "
                "viscometer."
            )
        return [
            Check("ball falls slowly enough", reynolds, FASTEST, reynolds <= FASTEST, comment),
            Check("ball in a liquid without a yield stress", share, HELD, share <= HELD, held),
        ]

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a falling ball."""
        rate = BALL_RATE[0]
        lost = float(np.max(self._inertia(rate) * self.speed**2 / (rate * self._pull)))
        return (
            Usual(
                "wall of the tube",
                APPLIED,
                f"the ball falls at {number(self.wall_factor)} of its speed in a wide vessel",
                "Faxén",
            ),
            Usual(
                "inertia of the liquid",
                APPLIED,
                f"at most {written(lost, '%', 2)} of the weight in the liquid",
                "Oseen, 3/16 of the Reynolds number",
            ),
            Usual(
                "rate about the ball of a liquid that thins",
                APPLIED,
                f"{number(rate)} v/d, sd of ln {number(BALL_RATE[1])}, one factor for all balls",
                "Gu and Tanner; a Newtonian liquid does not feel it",
            ),
            Usual("surface and bottom of the tube", UNTESTED, UNKNOWN, "needs how far from either the marks are"),
            Usual(
                "a ball off the axis, a bubble at it", UNTESTED, UNKNOWN, "falls that are repeated show them as scatter"
            ),
            Usual(
                "temperature along the tube",
                UNTESTED,
                UNKNOWN,
                "needs how the temperature was held, and how well",
                TEMPERATURE,
            ),
        )
