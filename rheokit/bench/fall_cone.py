"""Fall cone: how deep a cone of known mass falls into the paste."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..errors import DataError
from ..hints import Numbers
from ..laws import FlowLaw
from ..nomenclature import number
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Values, column, dimension
from .usual_corrections import APPLIED, NOT_APPLIED, UNKNOWN, UNTESTED, Usual

CONE_FACTORS = {30: 0.80, 60: 0.27}
"""Cone factor by full apex angle in degrees; as in ISO 17892-6, from memory, not verified."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FallCone(BenchTest):
    """Penetration of a cone that just touches, is released and is read after 5 s.

    Parameters
    ----------
    mass : float
        Of cone and shaft. [kg]
    apex_angle : float
        Full angle at the tip; 30 or 60 degrees. [rad]
    penetration : array-like, shape (N,)
        Depth. Outside 5 to 20 mm it counts as a bound. [m]

    Notes
    -----
    τ_ys = k m g / i². It reads a fast strength, calibrated against others: sd of ln 0.3. A cone lowered by hand stops
    shallower by √3 and over-reads up to three times.
    """

    kind = "fall cone"
    reads = "penetration"
    state = "static"
    measures = (400.0, 25e3)
    cheap = "a fall cone (80 g, 30 degrees, released from contact)"
    default_model_error = 0.30
    usual_minutes, usual_scatter = 3.0, 0.05
    usual_resolution = 0.5e-3  # m, by a ruler along the shaft; common practice, no source
    formula = "τ_ys = k m g / i²"
    source = "Hansbo (1957); cone factors of ISO 17892-6, from memory, not verified"
    artefacts = (
        "lowering the cone by hand instead of dropping it from contact over-reads up to three times",
        "a crust or a rim nearer than two cone widths",
    )
    example = (
        Example(
            given={"yield_stress": 2900.0, "mass": 0.083, "apex_angle": np.pi / 6},
            expected={"penetration": 0.0131446149},
            source="by hand, static 1.3 times dynamic: sqrt(0.80*0.083*9.81/(1.3*2900))",
        ),
        Example(
            given={"yield_stress": 640.0, "mass": 0.061, "apex_angle": np.pi / 3},
            expected={"penetration": 0.0139354064},
            source="by hand, static 1.3 times dynamic: sqrt(0.27*0.061*9.81/(1.3*640))",
        ),
    )

    tools = ("cone", "ruler", "scale", "timer")
    usual: ClassVar[dict] = {"mass": 0.06, "apex_angle": np.pi / 3}
    protocol = (
        "Fill a cup deeper and wider than the cone will go, without voids, and strike it off. Bring a cone of {mass} with a full angle of "
        "{apex_angle} down until its tip just touches, let it fall free, and read after 5 s how deep it stands. Smooth the paste over "
        "between three readings."
    )

    mass: float = dimension()
    apex_angle: float = dimension()
    penetration: np.ndarray = column()

    def __post_init__(self):
        super().__post_init__()
        if round(np.degrees(self.apex_angle), 3) not in CONE_FACTORS:
            raise DataError(
                f"{self.name}: apex_angle = {number(np.degrees(self.apex_angle), 4)} degrees; a cone factor is known for the full "
                f"angles {' and '.join(map(str, CONE_FACTORS))} degrees only"
                + (": give the angle in radians, 60*pi/180 for 60 degrees." if self.apex_angle > np.pi else ".")
            )

    @property
    def _strength(self):
        return CONE_FACTORS[round(np.degrees(self.apex_angle), 3)] * self.mass * STANDARD_GRAVITY

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return np.sqrt(self._strength / np.maximum(law.yield_stress, 1e-9))

    @property
    def window(self) -> tuple[float, float]:  # noqa: D102
        return 5e-3, 20e-3

    def yield_stresses(self) -> np.ndarray:  # noqa: D102
        return self._strength / self.penetration[self.bounds[0] == 0] ** 2

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a fall cone."""
        return (
            Usual(
                "cone factor (angle, roughness, speed of falling)",
                APPLIED,
                f"{number(CONE_FACTORS[round(np.degrees(self.apex_angle), 3)])}, of the angle alone",
                "as calibrated against other tests, with the error of its theory",
            ),
            Usual("blunt tip of the cone", NOT_APPLIED, UNKNOWN, "needs how much of the tip is worn"),
            Usual(
                "cone that did not fall free",
                UNTESTED,
                UNKNOWN,
                "needs how it was released: lowered by hand it stops shallower",
            ),
            Usual(
                "rim and bottom of the cup", NOT_APPLIED, UNKNOWN, "needs the width and depth of the cup", "geometry"
            ),
        )
