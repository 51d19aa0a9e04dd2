"""A stack of sieves, or one strainer: the grain size that nine in ten are smaller than, and the largest grain."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..nomenclature import Quantity, written
from .base import column
from .measured import Property
from .property_test import PropertyTest

NINE_IN_TEN = 0.9


@dataclass(frozen=True, kw_only=True, eq=False)
class Sieve(PropertyTest):
    """Mass left on each sieve of one stack, or on one strainer, and in the pan below it.

    Parameters
    ----------
    aperture : array-like, shape (N,)
        Width of the openings of each sieve, 0 for the pan; in any order. [m]
    retained_mass : array-like, shape (N,)
        Left on it, 0 for nothing. [kg]

    Notes
    -----
    The share by mass that passes is interpolated over the ln of the aperture. The largest grain is at most the finest aperture
    that let all pass; where the coarsest sieve holds grains back it is at least that one, and no limit is judged by it. Where
    more than nine in ten pass the finest sieve, d_90 is at most its aperture: so much tells one strainer, and limits take it
    for the grain size, which is the safe side. What stays on a strainer and is not used counts as nothing left on it. Sieves
    to ISO 3310-1. Needles and flakes pass end-on, so their longest dimension, which blocks a nozzle, is larger than the sieve
    says.
    """

    kind = "sieve"
    reads = "retained_mass"
    gives = ("grain_size", "largest_grain")
    default_model_error = 0.05
    usual_scatter = 0.1
    formula = "share passing aperture a = 1 - Σ m(a' ≥ a)/Σ m; d_90 by interpolation over ln a"
    source = "definition; apertures to ISO 3310-1; sizes of errors are common practice, no source"
    example = (
        Example(
            given={
                "aperture": (0.0, 63e-6, 90e-6, 125e-6, 180e-6, 250e-6, 355e-6),
                "retained_mass": (0.031, 0.014, 0.015, 0.016, 0.02, 0.006, 0.0),
            },
            expected={"grain_size": 2.33334971e-4, "spread of grain_size": 0.1, "largest_grain": 355e-6},
            source="by hand: 76/102 pass 180 um and 96/102 pass 250 um: 180*(250/180)^((91.8 - 76)/20)",
        ),
        Example(
            given={"aperture": (0.0, 410e-6), "retained_mass": (0.049, 0.0013)},
            expected={"grain_size": 410e-6, "spread of grain_size": 0.1, "largest_grain": 410e-6},
            source="by hand: 49/50.3 = 97 % pass, so d_90 is at most 410 um",
            idle=("retained_mass",),
        ),
    )
    artefacts = (
        "needles and flakes pass end-on: measure their length under a lens",
        "fine flours clump and blind the mesh: sieve a dry portion for long enough, with a brush below the mesh",
        "lumps of gum and dried crumbs form in the paste itself and were never on the sieve",
    )
    caution = "Fine dust: sieve under extraction or with a mask, by the rules of the laboratory."

    tools = ("strainer", "scale")
    usual: ClassVar[dict] = {"aperture": (0.0, 125e-6, 250e-6, 500e-6)}
    usual_readings = ((0.070, 0.024, 0.006, 0.0), (0.020, 0.030, 0.045, 0.005))
    protocol = (
        "Weigh a dry portion of the powder and brush it through a stack of sieves, or through one strainer of known mesh. Weigh what stays on "
        "each, and what has fallen through all."
    )

    aperture: np.ndarray = column(quantity=Quantity("a", "m", "width of the openings of a sieve, 0 for the pan"))
    retained_mass: np.ndarray = column(quantity=Quantity("m", "kg", "mass left on the sieve or in the pan"))

    def faults(self) -> list[str]:  # noqa: D102
        aperture, mass = self.aperture, self.retained_mass
        twice = [f"{a:g}" for a in np.unique(aperture) if np.count_nonzero(aperture == a) > 1]
        if twice:
            return [f"aperture {twice[0]} m stands in several rows; one row a sieve, another test for another sieving"]
        if not np.any(aperture == 0):
            return ["no row for the pan, aperture 0: without what passed the finest sieve there are no shares"]
        if not np.any(aperture > 0):
            return ["no row for a sieve, whose openings are wider than 0"]
        if not np.any(mass > 0):
            return ["nothing was left on any sieve nor in the pan; weigh what fell through too"]
        sizes, passing = self._passing(mass)
        if passing[-1] < NINE_IN_TEN:
            held = f"{written((1 - passing[-1]), '%')} stayed on the coarsest sieve ({written(sizes[-1], 'm')})"
            return [f"{held}, so d_90 is larger; add a coarser one"]
        return []

    def _passing(self, mass):
        """Return the apertures of the sieves, ascending [m], and the share by mass that passes each."""
        order = np.argsort(self.aperture)
        held = np.cumsum(mass[order][::-1])[::-1]
        return self.aperture[order][1:], 1 - held[1:] / held[0]

    def _grain_size(self, mass):
        sizes, passing = self._passing(mass)
        return float(np.exp(np.interp(NINE_IN_TEN, passing, np.log(sizes))))

    def properties(self) -> dict[str, Property]:
        """Return grain size and largest grain [m]."""
        sizes, passing = self._passing(self.retained_mass)
        origin, mesh = f"{self.name}, needles pass end-on", float(np.hypot(self.usual_scatter, self.model_error))
        held = self.aperture[(self.retained_mass > 0) & (self.aperture > 0)].max(initial=0.0)
        coarser = self.aperture[self.aperture > held]
        if len(coarser):
            largest = Property(float(min(coarser)), mesh, f"{origin}; at most this, which let all pass", -1)
        else:
            least = f"{origin}; at least this, because the coarsest sieve held grains back"
            largest = Property(float(held), mesh, least, 1)
        if passing[0] > NINE_IN_TEN:
            told = f"{origin}; at most this: {written(passing[0], '%')} passed the finest sieve"
            return {"grain_size": Property(float(sizes[0]), mesh, told, -1), "largest_grain": largest}
        size, scatter = self._grain_size(self.retained_mass), self.usual_scatter
        if self.error_is_known:
            steps = np.diag(self.reading_errors)
            moved = [self._grain_size(self.retained_mass + step) for step in steps]
            scatter = float(np.linalg.norm(np.log(np.array(moved) / size)))
        spread = float(np.hypot(scatter, self.model_error))
        return {"grain_size": Property(size, spread, origin), "largest_grain": largest}
