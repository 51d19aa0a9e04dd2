"""Vane: peak torque at the start of flow."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws import FlowLaw
from ..nomenclature import between, written
from .base import BenchTest, Values, column, dimension
from .usual_corrections import APPLIED, GEOMETRY, NOT_APPLIED, REST, TORQUES, UNKNOWN, UNTESTED, Usual


@dataclass(frozen=True, kw_only=True, eq=False)
class VanePeak(BenchTest):
    """Peak torque of a vane turned slowly from rest: the static yield stress on the cylinder it sweeps.

    Parameters
    ----------
    vane_diameter, vane_height : float
        Of the vane, fully immersed. [m]
    torque : array-like, shape (N,)
        Peak torques. [N·m]
    """

    kind = "vane peak"
    reads = "torque"
    state = "static"
    measures = (1.0, 3e3)
    default_model_error = 0.10
    usual_minutes, usual_scatter = 8.0, 0.05
    usual_resolution = 1e-5  # N·m, of a bench viscometer; common practice, no source
    formula = "M = (π D_v³/2) (H_v/D_v + 1/3) τ_ys"
    source = "Nguyen and Boger, Journal of Rheology 27 (1983) 321 (from memory)"
    example = Example(
        given={"yield_stress": 640.0, "vane_diameter": 0.022, "vane_height": 0.045},
        expected={"torque": 0.0331029702},
        source="by hand, static 1.3 times dynamic: pi/2*0.022^3*(0.045/0.022 + 1/3)*1.3*640",
    )
    artefacts = (
        "the peak grows with speed and with rest: fix both",
        "walls nearer than half a vane diameter stiffen the reading",
    )

    tools = ("vane", "viscometer")
    usual: ClassVar[dict] = {"vane_diameter": 20e-3, "vane_height": 40e-3}
    protocol = (
        "Lower a vane {vane_diameter} wide and {vane_height} high into the paste until it is covered, well away from walls and bottom. "
        "Rest as long as the paste will rest before it is printed, then turn the vane so slowly that the peak takes half a minute or "
        "more, and note the peak torque. Take a fresh filling for each of three readings."
    )

    vane_diameter: float = dimension()
    vane_height: float = dimension()
    torque: np.ndarray = column()

    @property
    def _volume(self):
        return np.pi * self.vane_diameter**3 / 2 * (self.vane_height / self.vane_diameter + 1 / 3)

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return self._volume * law.yield_stress

    def yield_stresses(self) -> np.ndarray:  # noqa: D102
        return self.torque / self._volume

    @property
    def end_share(self) -> float:
        """Share of the torque that the two ends of the swept cylinder bear, its stress even over them [-]."""
        return 1 / (1 + 3 * self.vane_height / self.vane_diameter)

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a vane."""
        read = between(float(self.torque.min()), float(self.torque.max()), "N·m")
        return (
            Usual("torque to stress", APPLIED, "the cylinder that the vane sweeps", self.formula),
            Usual(
                "ends of the vane",
                APPLIED,
                f"they bear {written(self.end_share, '%')} of the torque",
                "the stress is taken as even over both ends, as over the side",
            ),
            Usual(
                "shaft in the paste", NOT_APPLIED, UNKNOWN, "needs the diameter of the shaft and its depth", GEOMETRY
            ),
            Usual(
                "walls and bottom of the cup", NOT_APPLIED, UNKNOWN, "needs the diameter and depth of the cup", GEOMETRY
            ),
            Usual("slip at the wall", NOT_APPLIED, "none at the blades, where paste shears on paste", "not tested"),
            Usual(
                "speed of turning and rest before", NOT_APPLIED, UNKNOWN, "needs both: the peak grows with them", REST
            ),
            Usual(
                "inertia and friction of the instrument",
                UNTESTED,
                UNKNOWN,
                "needs the torque it reads while the vane turns in air",
            ),
            Usual(
                "least torque of the instrument",
                UNTESTED,
                f"not computed: the least torque is not typed as a number; {read} were read",
                "needs the least and the greatest torque it reads",
                TORQUES,
            ),
        )
