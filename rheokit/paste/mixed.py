"""A paste as it was mixed: a recipe, the air in it, and how stiff its water makes it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..laws.bingham import Bingham
from ..part.drying import DryingWall
from ..part.shrinkage import PACKING, Shrinkage, dried_can_be, volume_shrinkage
from .material import Material
from .properties import Paste
from .recipe import Recipe
from .water import WaterLaw

NO_VISCOSITY = 1e-4  # Pa·s, a tenth of that of water: next to none, since a law wants one


@dataclass(frozen=True, eq=False)
class Mixed:
    """A paste as mixed.

    Parameters
    ----------
    recipe : Recipe
    air_content : float
        Volume share. [-]
    law : WaterLaw, optional
        Fitted to readings; without it the stresses are not known.
    measured : tuple of float, optional
        Density with its air [kg/m3] of a batch of this recipe, and the water content of that batch [-]. It counts before that of
        the ingredients, whose densities are seldom known so well: at another water it moves as that does.
    """

    recipe: Recipe
    air_content: float
    law: WaterLaw | None = None
    measured: tuple[float, float] | None = None

    @property
    def water_content(self) -> float:
        """Dry basis [-]."""
        return float(self.recipe.water_content)

    @property
    def density(self) -> float:
        """With its air [kg/m3]."""
        if self.measured is None:
            return self.reckoned_density
        density, water = self.measured
        return float(density * self.recipe.density / replace(self.recipe, water_content=water).density)

    @property
    def reckoned_density(self) -> float:
        """With its air, from the densities of the ingredients alone [kg/m3]."""
        return float(self.recipe.density * (1 - self.air_content))

    @property
    def dry_density(self) -> float:
        """Dry mass over wet volume [kg/m3]."""
        return self.density / (1 + self.water_content)

    @property
    def wet_solids(self) -> float:
        """Volume share of solids, air included in the volume [-]."""
        return float(self.recipe.solid_fraction * (1 - self.air_content))

    @property
    def band(self) -> tuple[float, ...]:
        """Dynamic yield stress with the limits of the law [Pa]."""
        return tuple(map(float, self.law.line_band(self.water_content)))

    @property
    def stress(self) -> float:
        """Dynamic yield stress [Pa]."""
        return self.band[0]

    @property
    def spread(self) -> float:
        """Standard deviation of the ln of that yield stress [-]."""
        stress, _, high = self.band
        return float(np.log(high / stress) / self.law.normal)

    def material(self, properties: Mapping[str, float], **known: Any) -> Material:
        """Return the `Material` as far as a recipe tells it: perfectly plastic.

        How it flows above its yield stress is not known; what stands does not ask for it.

        Parameters
        ----------
        properties : mapping of str to float
            Of a `Paste`, beside those of the recipe. [SI, as there]
        **known
            Of a `Material`: spreads of properties that are not as usual, and the like.
        """
        mixed = {"density": self.density, "air_content": self.air_content, "water_content": self.water_content}
        paste = Paste(law=Bingham(yield_stress=self.stress, plastic_viscosity=NO_VISCOSITY), **mixed | dict(properties))
        return Material(paste=paste, law_spreads={"yield_stress": self.spread}, **known)

    def wall(self, **more: Any) -> DryingWall:
        """Return the `DryingWall` of this paste, with what else it takes."""
        return DryingWall(
            start_water=self.water_content,
            wet_solids=self.wet_solids,
            air_content=self.air_content,
            solid_density=float(self.recipe.solid_density),
            dry_density=self.dry_density,
            **more,
        )

    def packed(self, dry_solids: float) -> Shrinkage:
        """Return the linear `Shrinkage` that follows from the solids of the dry part by volume [-], alike along every axis."""
        dried_can_be(self.wet_solids, self.air_content, dry_solids)
        return volume_shrinkage(self.wet_solids, dry_solids, PACKING).linear
