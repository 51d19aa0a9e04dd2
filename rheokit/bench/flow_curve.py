"""Rotational flow curve: shear stress read at set shear rates."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws import FlowLaw
from .base import BenchTest, Values, column
from .usual_corrections import Usual, of_a_curve


@dataclass(frozen=True, kw_only=True, eq=False)
class FlowCurve(BenchTest):
    """Steady stresses of a rotational rheometer, already corrected for the geometry by the instrument.

    Parameters
    ----------
    shear_rate : array-like, shape (N,)
        Set rates. With ``error="absolute"`` any curve may stand here, of any sign. [1/s]
    shear_stress : array-like, shape (N,)
        Read stresses. [Pa]
    """

    kind = "flow curve"
    reads = "shear_stress"
    theory = False
    default_model_error = 0.05
    usual_minutes, usual_scatter = 3.0, 0.03
    usual_resolution = 0.1  # Pa, of a bench viscometer; common practice, no source
    formula = "τ = law(γ̇)"
    source = "ISO 3219-2:2021 (principles; not read for this project)"
    example = Example(
        given={"yield_stress": 640.0, "consistency": 190.0, "flow_index": 0.45, "shear_rate": (3.0, 40.0)},
        expected={"shear_stress": (951.500082, 1639.26482)},
        source="by hand: 640 + 190*3^0.45 and 640 + 190*40^0.45",
    )
    serves = ("paste", "liquid", "gel")
    artefacts = (
        "wall slip: a kink or plateau at low rates that changes with the gap; use serrated plates or a vane",
        "edge fracture: stress falls at high rates; leave those rows out",
        "history: up and down ramps differ; fix pre-shear and rest, report both",
    )

    tools = ("viscometer",)
    usual: ClassVar[dict] = {"shear_rate": (0.1, 1.0, 10.0, 100.0)}
    protocol = (
        "Use serrated plates or a vane, and cover the rim against drying. Shear at the highest rate for a minute and rest for a "
        "minute; then set shear rates of {shear_rate}, three a decade from high to low, and wait at each until the stress is "
        "steady. Repeat the first one at the end: where it differs, the paste changed meanwhile."
    )

    shear_rate: np.ndarray = column()
    shear_stress: np.ndarray = column()

    @property
    def general(self) -> bool:  # noqa: D102
        return self.error == "absolute" and not self.error_is_known

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return law.shear_stress(self.shear_rate)

    def rough_curve(self) -> tuple[np.ndarray, np.ndarray]:  # noqa: D102
        return self.shear_rate, self.shear_stress

    def shear_rates(self, law: FlowLaw) -> np.ndarray:  # noqa: D102
        return self.shear_rate

    def corrections(self) -> tuple[Usual, ...]:  # noqa: D102
        return () if self.general else of_a_curve(self)
