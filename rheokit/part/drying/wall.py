"""A wall that dries: both stages, how long to cover it, how unevenly, each with its limits."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...errors import DataError
from ...nomenclature import QUANTITIES, number
from ...sampling import SURE
from ..shrinkage import PACKING, critical_water_content, dried_can_be
from .diffusion import crack_index, slab_time
from .stages import DryingTimes, drying_times, remaining_mass

DIFFUSES = float(np.exp(SURE * QUANTITIES["diffusivity"].spread))
"""Factor of the 95 % limits of a diffusivity that was not measured [-]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class DryingWall:
    """A wall of a fresh paste that dries.

    Parameters
    ----------
    start_water : float
        Of the fresh paste, dry basis. [-]
    wet_solids, air_content, solid_density, dry_density : float
        Of it: solids and air by volume [-], density of the solids, and dry mass over wet volume [kg/m3].
    dry_solids : float
        Solids in the dry part by volume. [-]
    equilibrium_water, final_water : float
        Left by the air, and wanted in the end, dry basis. [-]
    fluxes : tuple of float
        Drying flux with its limits, see `room_fluxes` and `weighed_fluxes`. [kg/(m2 s)]
    depth : float
        Half the wall where both faces dry, else all of it. [m]
    diffusivity : float
        [m2/s]
    """

    start_water: float
    wet_solids: float
    air_content: float
    solid_density: float
    dry_density: float
    dry_solids: float
    equilibrium_water: float
    final_water: float
    fluxes: tuple
    depth: float
    diffusivity: float

    def __post_init__(self):
        dried_can_be(self.wet_solids, self.air_content, self.dry_solids)
        wanted = f"Water wanted in the end, u_f = {number(self.final_water, 4)}"
        if self.final_water <= self.equilibrium_water:
            raise DataError(
                f"{wanted}, is never reached: the air leaves u_e = {number(self.equilibrium_water)} in it. Correct one of them."
            )
        if self.final_water > self.start_water:
            raise DataError(
                f"{wanted}, is more than the fresh paste holds, u = {number(self.start_water, 4)}. Correct one of them."
            )

    @cached_property
    def waters(self) -> dict[str, float]:
        """The four water contents of a drying part, dry basis [-], as keywords."""
        return {
            "start_water": self.start_water,
            "critical_water": self._critical(self.dry_solids),
            "final_water": self.final_water,
            "equilibrium_water": self.equilibrium_water,
        }

    def _critical(self, dry_solids):
        return float(
            critical_water_content(
                dry_solids, self.solid_density, air_content=self.air_content, wet_solid_fraction=self.wet_solids
            )
        )

    @property
    def shrinking_share(self) -> tuple[float, ...]:
        """Share of the water that leaves with which it shrinks, with its limits [-]; below 0 where it has shrunk before."""
        best, least, most = self.critical_limits
        leaves = self.start_water - self.equilibrium_water
        return tuple((self.start_water - water) / leaves for water in (best, most, least))

    @cached_property
    def critical_limits(self) -> tuple[float, float, float]:
        """Water content at which shrinkage ends, with its limits by how well the dry solids are known, dry basis [-]."""
        factor = np.exp(SURE * PACKING)
        room = self.wet_solids / (self.wet_solids + self.air_content)  # solids cannot take the room of the air there is
        tight = min(self.dry_solids * factor, room)
        return self.waters["critical_water"], self._critical(tight), self._critical(self.dry_solids / factor)

    @cached_property
    def covered_until(self) -> tuple[float, ...]:
        """Share of its wet mass at which the part has shrunk, or is dry enough before that, with its limits [-]."""
        start = self.start_water
        ends = np.clip(self.critical_limits, min(self.final_water, start), start)
        return tuple(float(remaining_mass(end, start)) for end in ends)

    @cached_property
    def times(self) -> DryingTimes:
        """Times of the two stages."""
        return drying_times(self.dry_density * self.depth, 1.0, self.fluxes[0], **self.waters)

    @cached_property
    def diffusion_time(self) -> tuple[float, float, float]:
        """Time in which diffusion alone, with a dry face from the start, brings it to the end, with its limits [s]."""
        left = (self.final_water - self.equilibrium_water) / (self.start_water - self.equilibrium_water)
        time = float(slab_time(left, self.diffusivity, self.depth))
        return time, time / DIFFUSES, time * DIFFUSES

    @cached_property
    def index(self) -> tuple[float, float, float]:
        """Crack index with its limits [-]."""
        value, low, high = (crack_index(flux, self.depth, self.dry_density, self.diffusivity) for flux in self.fluxes)
        return float(value), float(low / DIFFUSES), float(high * DIFFUSES)
