"""Spread of a known volume to a thin pancake that stops by itself."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..laws import FlowLaw
from ..nomenclature import written
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Passage, Values, column, dimension
from .usual_corrections import APPLIED, NOT_APPLIED, UNKNOWN, UNTESTED, Usual

THIN = 5.0  # least radius over mean thickness at which the thin-layer form holds; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False)
class Spread(BenchTest):
    """Final radius of a soft paste poured or lifted out of a small cone.

    Parameters
    ----------
    volume : float
        Of paste. [m3]
    density : float
        Of the paste with its air. [kg/m3]
    radius : array-like, shape (N,)
        Final mean radius. Below five mean thicknesses it counts as a bound "at most". [m]
    rim_tension : float
        Coefficient of the surface tension and contact angle correction, 0 to leave it out. [N/m]
    """

    kind = "spread"
    reads = "radius"
    measures = (1.0, 50.0)
    cheap = "a spread test (100 mL on a level wet board)"
    default_model_error = 0.15
    usual_minutes, usual_scatter = 6.0, 0.02
    usual_resolution = 0.5e-3  # m, of a radius: 1 mm of a diameter by a ruler; common practice, no source
    formula = "τ_y = 225 ρ g Ω²/(128 π² R⁵) - λ R²/Ω"
    source = "Roussel and Coussot, Journal of Rheology 49 (2005) 705; Roussel, Stefani and Leroy (2005) for λ"
    example = Example(
        given={"yield_stress": 5.0, "volume": 95e-6, "density": 1120.0, "rim_tension": 0.006},
        expected={"radius": 0.0799579740},
        source="root in 18 digits of 225*1120*9.81*95e-6^2/(128 pi^2 R^5) - 0.006 R^2/95e-6 = 5",
    )
    artefacts = (
        "surface tension governs below about 3 Pa",
        "a sloping or absorbent board: level it, wet it, same every time",
        "pouring fast overshoots",
    )

    tools = ("ruler", ("syringe", "cup"), "board")
    usual: ClassVar[dict] = {"volume": 100e-6, "density": 1150.0}
    protocol = (
        "Measure out {volume} of paste and pour it slowly, in one place, onto a level wet board, or lift a small cone off it. When it "
        "has come to rest, measure its diameter in four directions: the radius is half of their mean. Make three pourings."
    )

    volume: float = dimension()
    density: float = dimension()
    radius: np.ndarray = column()
    rim_tension: float = dimension(0.005, positive=False)

    def _yield_stress(self, radius):
        gravity = 225 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2 * radius**5)
        return gravity - self.rim_tension * radius**2 / self.volume

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Return the radius [m], by Newton's steps in ln R."""
        tau_y = np.maximum(law.yield_stress, 1e-9)
        gravity = 225 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2)
        y = np.log(gravity / tau_y) / 5
        for _ in range(12 if self.rim_tension else 0):
            rim = self.rim_tension * np.exp(2 * y) / self.volume
            y = y - (np.log((tau_y + rim) / gravity) + 5 * y) / (5 + 2 * rim / (tau_y + rim))
        return np.exp(y)

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("thickness", float(np.min(self.volume / (np.pi * self.radius**2))))

    @property
    def window(self) -> tuple[float, float]:  # noqa: D102
        return np.cbrt(THIN * self.volume / np.pi), np.inf

    def yield_stresses(self) -> np.ndarray:  # noqa: D102
        return np.maximum(self._yield_stress(self.radius[self.bounds[0] == 0]), 0.0)

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a spread."""
        held = self.rim_tension * self.radius**2 / self.volume
        gravity = self._yield_stress(self.radius) + held
        share = float(np.max(held / gravity))
        rim = (
            f"at most {written(share, '%', 2)} of the stress of the weight"
            if share
            else "left out: its coefficient is 0"
        )
        return (
            Usual("surface tension at the rim", APPLIED if share else NOT_APPLIED, rim, "λ R²/Ω of the formula"),
            Usual("inertia of pouring", UNTESTED, UNKNOWN, "needs pourings at several speeds"),
        )
