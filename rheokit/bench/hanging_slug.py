"""Hanging slug: the mass of paste that drops off a downward nozzle by its own weight."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws import FlowLaw
from ..laws.criterion import UNIAXIAL
from ..machine.cautions import CAUTIONS
from ..nomenclature import written
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Passage, Values, column, dimension
from .usual_corrections import APPLIED, NOT_APPLIED, UNKNOWN, Usual


@dataclass(frozen=True, kw_only=True, eq=False)
class HangingSlug(BenchTest):
    """Mean mass of the slugs that fall from a slowly fed nozzle onto a scale.

    Parameters
    ----------
    bore : float
        Of the nozzle, taken as the diameter of the strand. [m]
    mass : array-like, shape (N,)
        Of the slugs that drop off. [kg]
    surface_tension : float
        Of the liquid; its pull on the neck is subtracted. [N/m]
    """

    kind = "hanging slug"
    reads = "mass"
    state = "static"
    simple_shear = False
    measures = (100.0, 5e3)
    default_model_error = 0.25
    usual_minutes, usual_scatter = 6.0, 0.1
    usual_resolution = 1e-5  # kg, of a scale of hundredths of a gram; common practice, no source
    formula = "√3 τ_ys = m g/A - γ/R"
    source = "Ducoulombier et al., Cement and Concrete Composites 121 (2021) 104074"
    example = Example(
        given={"yield_stress": 640.0, "bore": 2.6e-3, "surface_tension": 0.047},
        expected={"mass": 7.99489535e-4},
        source="by hand, static 1.3 times dynamic: pi/4*0.0026^2*(sqrt3*1.3*640 + 0.047/0.0013)/9.81",
    )
    artefacts = (
        "strands tear early at bubbles and lumps: take the mean of ten or more, the scatter tells the mixing",
        "swell makes the strand thicker than the bore",
    )

    tools = ("syringe", "scale")
    usual: ClassVar[dict] = {"bore": 2e-3}
    protocol = (
        "Press paste slowly out of a nozzle of {bore} that points down, high enough above a scale that slugs tear off by their own weight. "
        "Note the mass of each slug as it lands, ten or more. Measure the bore: its section enters."
    )
    caution = CAUTIONS["hand"]

    bore: float = dimension()
    mass: np.ndarray = column()
    surface_tension: float = dimension(0.05, positive=False)

    @property
    def _area(self):
        return np.pi * self.bore**2 / 4

    @property
    def _capillary(self):
        return self.surface_tension / (self.bore / 2)

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return self._area * (UNIAXIAL * law.yield_stress + self._capillary) / STANDARD_GRAVITY

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("bore", float(self.bore), is_bore=True)

    @property
    def window(self) -> tuple[float, float]:
        """Least mass [kg]: that at which surface tension carries half of the slug."""
        return 2 * self._capillary * self._area / STANDARD_GRAVITY, np.inf

    def yield_stresses(self) -> np.ndarray:  # noqa: D102
        mass = self.mass[self.bounds[0] == 0]
        return (mass * STANDARD_GRAVITY / self._area - self._capillary) / UNIAXIAL

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a slug."""
        share = float(np.max(np.pi * self.bore * self.surface_tension / (self.mass * STANDARD_GRAVITY)))
        rim = f"its pull is at most {written(share, '%', 2)} of the weight" if share else "left out: it is 0"
        return (
            Usual("surface tension of the neck", APPLIED if share else NOT_APPLIED, rim, "γ/R of the formula"),
            Usual(
                "swell of the strand",
                NOT_APPLIED,
                UNKNOWN,
                "needs the diameter of the strand; the bore is taken for it",
            ),
        )
