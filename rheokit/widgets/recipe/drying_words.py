"""How a wall dries and shrinks, as numbers with limits and rows of text; no widget, no state."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...charts.drying import WITHIN
from ...errors import DataError
from ...nomenclature import QUANTITIES, number
from ...part.drying import crack_index, drying_times, evaporation, remaining_mass, slab_time
from ...part.shrinkage import Shrinkage, critical_water_content, volume_shrinkage
from ...sampling import SURE
from ...units import ZERO_CELSIUS, g, hour, mm

DIFFUSES = np.exp(SURE * QUANTITIES["diffusivity"].spread)
"""Factor of the 95 % limits of a diffusivity that was not measured [-]."""
PACKING = 0.05  # relative standard uncertainty of the ratio of the solid fractions; common practice, no source
WEIGHED = 1.1  # factor of the limits of a flux from a weighed plate; common practice, no source
PER_HOUR = g / hour  # g/(m² h)


@dataclass(frozen=True, kw_only=True, eq=False)
class Drying:
    """A wall that dries.

    Parameters
    ----------
    mixed : Mixed
        The fresh paste.
    convections : tuple of float, optional
        Heat transfer by the air, usual and from, to; None: the flux was measured. [W/(m2 K)]
    flux : float
        Measured, where it was. [kg/(m2 s)]
    temperature : float
        [°C]
    humidity, dry_solids, leaves, final : float
        Relative humidity; solids in the dry part by volume; water left by the air and wanted in the end, dry basis. [-]
    depth : float
        Half the wall where both faces dry, else all of it. [m]
    diffusivity : float
        [m2/s]
    """

    mixed: object
    convections: tuple | None
    flux: float
    temperature: float
    humidity: float
    dry_solids: float
    leaves: float
    final: float
    depth: float
    diffusivity: float

    def __post_init__(self):
        dried_can_be(self.mixed, self.dry_solids)
        start, wanted = self.mixed.recipe.water_content, f"Water wanted in the end, u_f = {self.final:g}"
        if self.final <= self.leaves:
            raise DataError(
                f"{wanted}, is never reached: the air leaves u_e = {self.leaves:g} in it. Correct one of them."
            )
        if self.final > start:
            raise DataError(f"{wanted}, is more than the fresh paste holds, u = {start:g}. Correct one of them.")

    @cached_property
    def fluxes(self):
        """Drying flux with its limits [kg/(m2 s)]."""
        if self.convections is None:
            return self.flux, self.flux / WEIGHED, self.flux * WEIGHED
        found = [
            float(evaporation(self.temperature + ZERO_CELSIUS, self.humidity, convection=c).drying_flux)
            for c in self.convections
        ]
        if not found[1] > 0:
            raise DataError(
                f"At {100 * self.humidity:g} % relative humidity nothing dries; give a lower one, or weigh a wet plate."
            )
        return tuple(found)

    @property
    def wet_solids(self):
        """Solids in the fresh paste by volume, air included [-]."""
        return wet_solids(self.mixed)

    @cached_property
    def waters(self):
        """The four water contents of a drying part, dry basis [-], as keywords."""
        return {
            "start_water": self.mixed.recipe.water_content,
            "critical_water": self._critical(self.dry_solids),
            "final_water": self.final,
            "equilibrium_water": self.leaves,
        }

    def _critical(self, dry_solids):
        mixed = self.mixed
        found = critical_water_content(
            dry_solids, mixed.recipe.solid_density, air_content=mixed.air, wet_solid_fraction=self.wet_solids
        )
        return float(found)

    @cached_property
    def covered_until(self):
        """Share of its wet mass at which the part has shrunk, or is dry enough before that, with its limits [-]."""
        start, factor = self.waters["start_water"], np.exp(SURE * PACKING)
        room = self.wet_solids / (self.wet_solids + self.mixed.air)  # solids cannot take the room of the air there is
        tight = min(self.dry_solids * factor, room)
        critical = np.array(
            [self.waters["critical_water"], self._critical(tight), self._critical(self.dry_solids / factor)]
        )
        return tuple(map(float, remaining_mass(np.clip(critical, min(self.final, start), start), start)))

    @property
    def where(self):
        """What the hours hold for."""
        return "in the open" if self.convections else "as the plate stood"

    @cached_property
    def times(self):
        """Times of the two stages."""
        return drying_times(self.mixed.dry_density * self.depth, 1.0, self.fluxes[0], **self.waters)

    @cached_property
    def diffusion_time(self):
        """Time in which diffusion alone, with a dry face from the start, brings it to the end [s]."""
        waters = self.waters
        above = waters["start_water"] - self.leaves
        return float(slab_time((self.final - self.leaves) / above, self.diffusivity, self.depth))

    @cached_property
    def index(self):
        """Crack index with its limits [-]."""
        value, low, high = (
            crack_index(flux, self.depth, self.mixed.dry_density, self.diffusivity) for flux in self.fluxes
        )
        return float(value), float(low / DIFFUSES), float(high * DIFFUSES)

    def in_words(self):
        """Return how long it takes, in two stages."""
        first, total = self.times.constant_rate / hour, self.times.total / hour
        slower = (
            f" Inside, diffusion alone would take {_hours(self.diffusion_time / hour)} h: it governs, expect that."
            if self.diffusion_time > self.times.total else ""
        )  # fmt: skip
        share, low, high = (100 * v for v in self.covered_until)
        cover = (
            "It has done its shrinking at the start; a cover holds nothing up."
            if not first
            else f"Keep it covered until it weighs {share:.0f} % of its wet mass ({low:.0f} to {high:.0f} %): weigh it now and then. By then it has "
            "done nearly all its shrinking; uncover it afterwards."
        )
        hours = f"it is dry after {_hours(total)} h ({_hours(total / WITHIN)} to {_hours(total * WITHIN)} h)"
        reaches = (
            f", and down to that mass after {_hours(first)} h ({_hours(first / WITHIN)} to {_hours(first * WITHIN)} h)"
            if first
            else ""
        )
        return (
            f"{cover} {self.where.capitalize()} {hours}{reaches}. Under a cover it takes longer, in proportion: half the flux, twice the hours. "
            f"How much a cover holds back is not known until a wet plate is weighed under it.{slower}"
        )

    def rows(self, cracked):
        """Return rows of drying: quantity, value, limits, unit, note; `cracked` is the index above which walls cracked, 0 unknown."""
        flux, low, high = (v / PER_HOUR for v in self.fluxes)
        waters, times = self.waters, self.times
        index, least, most = map(number, self.index)
        held = (
            "an index to calibrate, no prediction: print walls of growing thickness and note the index above which they crack"
            if not cracked else "above the one at which your walls cracked: cover it, dry slower, thinner walls" if self.index[0] > cracked
            else f"below the {number(cracked)} at which your walls cracked"
        )  # fmt: skip
        share = (waters["start_water"] - waters["critical_water"]) / (
            waters["start_water"] - waters["equilibrium_water"]
        )
        return [
            [
                "drying flux j",
                number(flux),
                f"{number(low)} to {number(high)}",
                "g/(m²·h)",
                "weigh a wet plate beside the part: better than any formula",
            ],
            [
                "shrinkage ends at u_cr, dry basis",
                number(waters["critical_water"]),
                "",
                "-",
                f"after {100 * max(share, 0):.0f} % of the water that leaves",
            ],
            [
                "keep it covered down to this share of its wet mass",
                f"{100 * self.covered_until[0]:.0f}",
                f"{100 * self.covered_until[1]:.0f} to {100 * self.covered_until[2]:.0f}",
                "%",
                "there it has shrunk; limits by how well the dry solids are known",
            ],
            _time(
                "constant rate: it shrinks",
                times.constant_rate,
                WITHIN,
                f"{self.where}; under a cover longer, by open over covered flux",
            ),
            _time("falling rate: it only dries", times.falling_rate, WITHIN, f"{self.where}; may be uncovered"),
            _time("by diffusion alone", self.diffusion_time, DIFFUSES, "grows with the square of the thickness"),
            ["crack index N = j b/(ρ_d D_e)", index, f"{least} to {most}", "-", held],
        ]


def _time(words, seconds, within, note):
    hours = seconds / hour
    return [words, _hours(hours), f"{_hours(hours / within)} to {_hours(hours * within)}", "h", note]


def _hours(hours):
    return number(hours, 2)  # more digits would promise more than a factor of 2


def measured(percent, error):
    """Return a measured linear shrinkage [%] with its standard uncertainty in points [%], as a `Shrinkage` [-]."""
    return Shrinkage(percent / 100, (percent - SURE * error) / 100, (percent + SURE * error) / 100)


def wet_solids(mixed):
    """Return the solids in a fresh paste by volume, air included [-]."""
    return mixed.recipe.solid_fraction * (1 - mixed.air)


def dried_can_be(mixed, dry_solids):
    """Raise `DataError` where no part can dry from a fresh paste to these solids by volume [-]."""
    wet, dry = wet_solids(mixed), f"the dry part with φ_d = {dry_solids:g}"
    if wet > dry_solids:
        raise DataError(
            f"The fresh paste holds {number(wet)} of solids by volume, more than {dry}: it would swell. Correct the solids in the dry "
            "part, or the recipe."
        )
    if 1 / dry_solids - 1 < mixed.air / wet:
        raise DataError(
            f"Air in the paste, ε_a = {100 * mixed.air:g} %, is more than all the pores of {dry}. Correct one of them."
        )


def packed(mixed, dry_solids):
    """Return the linear shrinkage from the solids by volume [-], the same along every axis."""
    return volume_shrinkage(wet_solids(mixed), dry_solids, PACKING).linear


def scale_rows(sizes, shrinkages, packed):
    """Return rows of the drawing: axis, shrinkage, factor with limits, wanted dry [mm], drawn [mm] with limits."""
    rows = []
    for (axis, size), found in zip(sizes.items(), shrinkages, strict=True):
        factor = found.scale
        limits = f"{factor.low:.3f} to {factor.high:.3f}"
        drawn = f"{size * factor.value / mm:.1f} ({size * factor.low / mm:.1f} to {size * factor.high / mm:.1f})"
        shrinks = f"{100 * found.value:.1f} ({100 * found.low:.1f} to {100 * found.high:.1f})"
        rows.append([axis, shrinks, f"{factor.value:.3f}", limits, f"{size / mm:.1f}", drawn])
    scale, shrinks = packed.scale, f"{100 * packed.value:.1f} ({100 * packed.low:.1f} to {100 * packed.high:.1f})"
    return [
        *rows,
        [
            "all alike, from the solids",
            shrinks,
            f"{scale.value:.3f}",
            f"{scale.low:.3f} to {scale.high:.3f}",
            "",
            "to compare; use measured ones",
        ],
    ]
