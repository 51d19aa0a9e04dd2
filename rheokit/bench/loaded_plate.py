"""A plate of known weight on a known volume of paste: how far it squeezes it."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Check, Example
from ..hints import Numbers
from ..laws import FlowLaw
from ..laws.criterion import PLANE_STRAIN, UNIAXIAL
from ..nomenclature import number, written
from .base import BenchTest, Nuisance, Passage, Shared, Values, column, dimension
from .described import WEIGHT
from .usual_corrections import APPLIED, NOT_APPLIED, UNKNOWN, Usual

SQUAT = 3.0
"""Least radius over gap at which the formula holds; its thick form was held to an upper bound for ratios 2 to 12."""

FLAT = 30.0  # greatest usual radius over gap; a diameter entered as radius makes it 8 times as large; no source
SQUEEZED = 2.0
"""Least radius over gap at which paste has been squeezed out far enough to tell more than a bound; common practice, no source."""
THINNEST = 1e-3
"""Least gap [m] that plates by hand keep parallel and that is several grains high; common practice, no source."""


def squeeze_factor(wall_friction: ArrayLike) -> Numbers:
    """Return C(m_f) = (√3/2) [√(1 - m_f²) + asin(m_f)/m_f]: √3 for slippery plates, π√3/4 for rough ones [-]."""
    m = np.clip(np.asarray(wall_friction, float), 1e-9, 1.0)
    return UNIAXIAL / PLANE_STRAIN * (np.sqrt(1 - m * m) + np.arcsin(m) / m)


@dataclass(frozen=True, kw_only=True, eq=False)
class LoadedPlate(BenchTest):
    """Final radius of a constant volume squeezed under a plate, thick form.

    Parameters
    ----------
    volume : float
        Of paste, all of it under the plate. [m3]
    force : float
        Weight of load and plate together. [N]
    radius : array-like, shape (N,)
        Mean radius at a fixed time (say 120 s). Below three gaps it counts as a bound "at most". [m]
    wall_friction : float
        Share of the yield stress that the plates carry: 1 rough, 0 slippery. [-]
    wall_friction_uncertainty : float
        Its standard uncertainty; it is then a nuisance parameter. [-]

    Notes
    -----
    F/(π R²) = C(m_f) τ_y + (2/3) m_f τ_y R/h, h = Ω/(π R²). The thin form drops the first term and over-reads the yield
    stress by 1 + 2.04 h/R on rough plates: 25 % at R/h = 8.
    """

    kind = "loaded plate"
    reads = "radius"
    simple_shear = False
    measures = (100.0, 5e3)
    cheap = "a loaded plate (1 kg on 5 mL between rough plates, radius after 120 s)"
    default_model_error = 0.15
    usual_minutes, usual_scatter = 5.0, 0.02
    usual_resolution = 0.5e-3  # m, of a radius: 1 mm of a diameter by a ruler; common practice, no source
    formula = "F/πR² = C(m_f) τ_y + (2/3) m_f τ_y R/h, h = Ω/πR²"
    source = (
        "Covey and Stanmore, Journal of Non-Newtonian Fluid Mechanics 8 (1981) 249 (from memory); "
        "C(m_f) by slab analysis"
    )
    example = Example(
        given={"yield_stress": 930.0, "volume": 6.1e-6, "force": 8.7, "wall_friction": 0.8},
        expected={"radius": 0.0238336109},
        source=(
            "root in 18 digits of 8.7/(pi R^2) = 930*(C + 2/3*0.8*pi R^3/6.1e-6), C = sqrt3/2*(sqrt(1 - 0.8^2) + asin(0.8)/0.8)"
        ),
    )
    artefacts = (
        "stiff wet pastes drain when squeezed slowly: read at a fixed time",
        "a stiff paste hardly spreads and tells only a bound: take more load, or less paste",
        "paste pushed out beyond the plate is not analysed: use less volume",
        "grains larger than a fifth of the gap carry the plate",
    )
    ways: ClassVar[dict] = {"force": (WEIGHT,)}
    unstated: ClassVar[dict] = {"wall_friction": (0.9, 0.1)}

    tools = ("ruler", "scale", ("syringe", "cup"), "plates", "weights", "timer")
    usual: ClassVar[dict] = {"volume": 5e-6, "load_mass": 1.0}
    protocol = (
        "Put {volume} of paste, measured with a syringe or weighed, in one blob between two flat plates that are covered with sandpaper. "
        "Lower the upper one, and load it gently until plate and load together weigh {load_mass}, such as with a bottle of water. "
        "After 120 s measure the diameter of the paste in four directions: the radius is half of their mean. Make three fillings."
    )
    caution = (
        "A load that slides falls on hands and feet: low over the middle of a table, and no fingers between the plates."
    )

    volume: float = dimension()
    force: float = dimension()
    radius: np.ndarray = column()
    wall_friction: float = dimension(1.0, positive=False)
    wall_friction_uncertainty: float = dimension(0.0, positive=False)

    def own_nuisances(self) -> dict[Shared, Nuisance]:  # noqa: D102
        return self.own_nuisance("wall_friction", self.wall_friction, high=1.0)

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Return the radius [m], by Newton's steps in ln R.

        From the smaller of thin and flat form the error, at most ln(2)/2, shrinks to less than 0.6 of its square a step.
        """
        m = nuisance.get(self.shared("wall_friction"), self.wall_friction)
        tau_y = np.maximum(law.yield_stress, 1e-9)
        flat = squeeze_factor(m) * np.pi
        thin = 2 * np.pi**2 * np.maximum(m, 1e-12) / (3 * self.volume)
        y = np.minimum(np.log(self.force / (tau_y * thin)) / 5, np.log(self.force / (tau_y * flat)) / 2)
        for _ in range(6):
            a, b = flat * np.exp(2 * y), thin * np.exp(5 * y)
            y = y - (np.log(a + b) - np.log(self.force / tau_y)) * (a + b) / (2 * a + 5 * b)
        return np.exp(y)

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("gap", float(np.min(self.gap(self.radius))))

    @property
    def window(self) -> tuple[float, float]:  # noqa: D102
        return np.cbrt(SQUAT * self.volume / np.pi), np.inf

    def gap(self, radius: Numbers) -> Numbers:
        """Return the gap [m] that the volume leaves at a radius [m]."""
        return self.volume / (np.pi * radius**2)

    def _yield_stress(self, radius):
        mean = squeeze_factor(self.wall_friction) + 2 / 3 * self.wall_friction * radius / self.gap(radius)
        return self.force / (np.pi * radius**2) / mean

    def yield_stresses(self) -> np.ndarray:  # noqa: D102
        return self._yield_stress(self.radius[self.bounds[0] == 0])

    def questions(self, law: FlowLaw, nuisance: Values, errors: Values | None = None) -> list[Check]:
        """Ask whether the gap is as usual: neither thin as that of a diameter entered as radius, nor hardly squeezed."""
        return [self._hardly_squeezed() or self._gap_as_usual()]

    def _hardly_squeezed(self):
        """Return the failed check of a plate that tells a bound alone, unless it was stated as one; else None."""
        radii = self.radius[self.censored == 0]
        ratio = float(np.min(radii / self.gap(radii), initial=np.inf))
        if ratio >= SQUEEZED:
            return None
        radius = float(np.min(radii))
        comment = (
            f"{self.name}: radius {written(radius, 'm')} on {written(self.volume, 'm³')} means a gap of "
            f"{written(self.gap(radius), 'm')}; the radius is {number(ratio)} gaps, at least {SQUEEZED:g} are wanted. A blob that has "
            "hardly spread tells only a bound. Is the volume right, was the mass of the plate counted, is the radius a radius? If "
            "so, take more load or less paste."
        )
        return Check("plate squeezed far enough", ratio, SQUEEZED, False, comment)

    def _gap_as_usual(self):
        radius = float(np.max(self.radius))
        gap = float(self.gap(radius))
        least = max(THINNEST, radius / FLAT)
        sensible = bool(gap >= least)
        comment = (
            f"{self.name}: radius {written(radius, 'm')} on {written(self.volume, 'm³')} means a gap of "
            f"{written(gap, 'm', 2)}; the radius is {number(radius / gap)} gaps."
        )
        if not sensible:
            comment += (
                " So thin a gap is hard to keep even. Was the diameter entered as radius? At half of it the gap would "
                f"be {written(4 * gap, 'm', 2)} and the yield stress {written(self._yield_stress(radius / 2), 'Pa')} instead of "
                f"{written(self._yield_stress(radius), 'Pa')}. If the radius is right, take more paste or less load: the gap "
                f"should be above {written(THINNEST, 'm')} and several grains high, the radius below {FLAT:g} gaps."
            )
        return Check("gap of the plate as usual", gap, least, sensible, comment)

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a plate."""
        thick = squeeze_factor(self.wall_friction) / (2 / 3 * self.wall_friction * self.radius / self.gap(self.radius))
        return (
            Usual(
                "friction at the plates",
                APPLIED,
                f"share of the yield stress that they carry: {number(self.wall_friction)} ± {number(self.wall_friction_uncertainty)} before the fit",
                "m_f of the formula",
            ),
            Usual(
                "thickness of the paste (thin form alone over-reads)",
                APPLIED,
                f"at most {written(float(np.max(thick)), '%', 2)} of what the thin form has",
                "C(m_f) of the formula",
            ),
            Usual(
                "liquid that drains out, still creeping when read", NOT_APPLIED, UNKNOWN, "needs radii at several times"
            ),
            Usual("plates that are not parallel", NOT_APPLIED, UNKNOWN, "needs the gap at several places"),
        )
