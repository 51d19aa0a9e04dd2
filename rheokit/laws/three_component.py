"""The three-component law of soft pastes: what is elastic, what rearranges, and what the liquid adds."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..errors import DataError
from ..hints import Numbers
from ..inputs import judging
from .base import FlowLaw, parameter
from .casson import Casson
from .plain import TAPER
from .power_law import PowerLaw
from .power_sums import PowerSum, Terms
from .starts import LEAST, nonnegative


@dataclass(frozen=True, eq=False)
class ThreeComponent(PowerSum):
    """τ = τ_y + τ_y (γ̇/γ̇_c)^½ + η_∞ γ̇ above yield; at rest below."""

    name = "three-component"
    source = "Caggioni, Trappe and Spicer, Journal of Rheology 64 (2020) 413 (from memory)"
    stresses: ClassVar[tuple[str, ...]] = ("yield_stress", "final_viscosity")
    example = Example(
        given=TAPER
        | {
            "yield_stress": 280.0,
            "critical_rate": 16.0,
            "final_viscosity": 3.5,
            "shear_rate": 4.0,
            "wall_shear_stress": 521.5,
        },
        expected={
            "shear_stress": 434.0,
            "apparent_shear_rate": 4.62972447,
            "cone_stress_integral": 699.201799,
            "stretching_stress": 1059.35144,
        },
        source=(
            "by hand: 280 + 280*sqrt(4/16) + 3.5*4; "
            "flow, cone and stretching by quadrature in 18 digits: "
            "4/tau_w^3 int tau^2 rate dtau, int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    critical_rate: Numbers = parameter(
        "γ̇_c", "1/s", "rate at which the root term equals the yield stress", logarithmic=True
    )
    final_viscosity: Numbers = parameter("η_∞", "Pa·s", "viscosity at high rates")

    def __post_init__(self):
        """Refuse, as a Newtonian law of viscosity 0 is, one that never has a stress; the corner of a search may be there."""
        super().__post_init__()
        if judging() and np.any((np.asarray(self.yield_stress) == 0) & (np.asarray(self.final_viscosity) == 0)):
            raise DataError(
                "ThreeComponent: yield_stress and final_viscosity are both 0, so it has no stress at any rate; one of the two must be above 0."
            )

    @property
    def terms(self) -> Terms:  # noqa: D102
        return [(self.yield_stress / np.sqrt(self.critical_rate), 0.5), (self.final_viscosity, 1.0)]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        casson = Casson.holding(smaller)
        if casson is None:
            return super().holding(smaller)
        tau_y, viscosity = casson["yield_stress"], casson["plastic_viscosity"]
        yields = np.greater(tau_y, 0)  # without a yield stress the rate is of no account
        return {
            "yield_stress": tau_y,
            "critical_rate": np.where(yields, np.divide(tau_y, 4 * np.asarray(viscosity)), 1.0)[()],
            "final_viscosity": viscosity,
        }

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the three terms that come nearest to the curve, a yield stress and a root term among them."""
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        (tau_y, root, viscosity), _ = nonnegative([np.ones(len(rate)), np.sqrt(rate), rate], stress)
        tau_y, root = max(tau_y, LEAST * np.min(stress)), max(root, LEAST * np.min(stress / np.sqrt(rate)))
        return cls(float(tau_y), float((tau_y / root) ** 2), float(viscosity))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {"critical_rate": 1 / shear_rate, "final_viscosity": shear_rate}

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the share of the yield stress beside its root term at the slowest rate, and ln stress at both ends."""
        tau_y, critical = values["yield_stress"], values["critical_rate"]
        slow, fast = (tau_y * (1 + np.sqrt(rate / critical)) + values["final_viscosity"] * rate for rate in rates)
        return [1 / (1 + np.sqrt(rates[0] / critical)), np.log(slow), np.log(fast)]

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the parameter values; NaN for a share that is none."""
        share, slow, fast = coordinates[0], np.exp(coordinates[1]), np.exp(coordinates[2])
        root = np.where((share > 0) & (share < 1), rates[0] ** -0.5 * (1 - share) / share, np.nan)  # γ̇_c^-½
        first, last = (1 + root * np.sqrt(rate) for rate in rates)  # of a yield stress of 1 Pa
        size = first * rates[1] - last * rates[0]
        return {
            "yield_stress": (slow * rates[1] - fast * rates[0]) / size,
            "critical_rate": root**-2,
            "final_viscosity": (first * fast - last * slow) / size,
        }
