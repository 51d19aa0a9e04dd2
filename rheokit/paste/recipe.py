"""Ingredients to a batch: what to weigh, what it holds, and how to correct its stiffness with water.

Two bases of water are in use, and mixing them up is the commonest slip of a recipe sheet: x is water over all (wet
basis), u is water over dry mass (dry basis). x = 0.5 is u = 1.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..framed import framed
from ..hints import Numbers, Table
from ..inputs import guarded, not_negative, positive, require, settled, share
from ..nomenclature import written
from ..units import g as gram

WATER_DENSITY = 998.0
"""Water at 20 °C [kg/m3]."""


@guarded
def dry_basis(wet_water_content: ArrayLike) -> Numbers:
    """Return water over dry mass, u [-], from water over all, x [-]: u = x/(1 - x)."""
    x = np.asarray(wet_water_content, float)
    require("dry_basis", "wet_water_content", x, (x >= 0) & (x < 1), "must be 0 to below 1 (is it u already?)")
    return (x / (1 - x))[()]


@guarded
def wet_basis(water_content: ArrayLike) -> Numbers:
    """Return water over all, x [-], from water over dry mass, u [-]: x = u/(1 + u)."""
    not_negative("wet_basis", water_content=water_content)
    u = np.asarray(water_content, float)
    return (u / (1 + u))[()]


@dataclass(frozen=True, kw_only=True)
class Ingredient:
    """One powder of a recipe.

    Parameters
    ----------
    name : str
    dry_mass : float
        Without its moisture, in any mass: only the shares count. [kg]
    density : float
        Of the solid itself, not of the heap. [kg/m3]
    moisture : float
        Water in the powder as it is weighed, over its total mass: air-dry flours hold 0.04 to 0.12 (common practice, no
        source). [-]
    dissolves : bool
        True for gums, which become part of the liquid: solid for shrinkage, but no grain.
    """

    name: str
    dry_mass: Numbers
    density: float
    moisture: Numbers = 0.0
    dissolves: bool = False

    __repr__ = brief

    def __post_init__(self):
        where = f"Ingredient {self.name!r}"
        with settled(self, where=where, dry_mass="recipe_mass", density="solid_density"):
            positive(where, dry_mass=self.dry_mass, density=self.density)
            require(
                where, "moisture", self.moisture, 0 <= self.moisture < 1, "must be from 0 to below 1, water over all"
            )


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """Powders by their dry masses, and the water that the paste holds in all.

    Parameters
    ----------
    ingredients : tuple of Ingredient
    water_content : float
        All water over all dry mass, the moisture of the powders included. [-]
    """

    ingredients: tuple
    water_content: Numbers

    __repr__ = brief

    def __post_init__(self):
        object.__setattr__(self, "ingredients", tuple(self.ingredients))
        if not self.ingredients:
            raise DataError("Recipe: no ingredients; give at least one Ingredient.")
        names = [one.name for one in self.ingredients]
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise DataError(f"Recipe: {', '.join(twice)} stands in it twice; add the masses up, or name them apart.")
        with settled(self):
            positive("Recipe", water_content=self.water_content)

    @property
    def dry_mass(self) -> Numbers:
        """Dry mass of the recipe as written [kg]."""
        return sum(one.dry_mass for one in self.ingredients)

    @property
    def wet_water_content(self) -> Numbers:
        """Water over all [-]."""
        return wet_basis(self.water_content)

    @property
    def solid_density(self) -> Numbers:
        """Mean density of the solids, dissolved ones included [kg/m3]."""
        return self.dry_mass / sum(one.dry_mass / one.density for one in self.ingredients)

    @property
    def density(self) -> Numbers:
        """Density of the paste without air [kg/m3]: masses over the sum of volumes."""
        return (1 + self.water_content) / (1 / self.solid_density + self.water_content / WATER_DENSITY)

    @property
    def solid_fraction(self) -> Numbers:
        """Volume share of all solids in the paste without air [-]: for shrinkage."""
        return 1 / (1 + self.water_content * self.solid_density / WATER_DENSITY)

    @property
    def grain_fraction(self) -> Numbers:
        """Volume share of what does not dissolve, in the paste without air [-]: for the packing of the grains."""
        volumes = {one: one.dry_mass / one.density for one in self.ingredients}
        grains = sum(volume for one, volume in volumes.items() if not one.dissolves)
        return self.solid_fraction * grains / sum(volumes.values())

    @guarded
    def air_content(self, density: ArrayLike) -> Numbers:
        """Return the volume share of air [-] from the density [kg/m3] of a cup of paste: 1 - measured/without air.

        The true density of porous grains leaves 0.01 to 0.02 of doubt (common practice, no source).
        """
        positive("Recipe.air_content", density=density)
        air = 1 - np.divide(density, self.density)
        why = f"is above the {self.density:.0f} kg/m3 of the recipe without air; check cup, moisture and densities"
        require("Recipe.air_content", "density", density, air >= -0.01, why)
        return air

    @guarded(total_mass="mass")
    def batch_sheet(self, total_mass: Numbers) -> Table:
        """Return what to weigh for a batch.

        Parameters
        ----------
        total_mass : float
            Of the wet paste. [kg]

        Returns
        -------
        sheet : DataFrame
            One row an ingredient, plain water last: ``weigh`` [g] as it comes from the bag, ``dry`` [g] and ``water``
            [g] in it. The moisture of the powders is taken off the water.

        Raises
        ------
        DataError
            If the powders bring more water than the paste is to hold.
        """
        positive("Recipe.batch_sheet", mass=total_mass)
        dry = total_mass / (1 + self.water_content)
        rows = []
        for one in self.ingredients:
            mass = dry * one.dry_mass / self.dry_mass
            rows.append((one.name, mass / (1 - one.moisture), mass, mass * dry_basis(one.moisture)))
        brought = sum(row[3] for row in rows)
        plain = dry * self.water_content - brought
        if plain < 0:
            raise DataError(
                f"Recipe.batch_sheet: the powders bring {written(brought, 'g')} of water, but the paste is to hold "
                f"{written(dry * self.water_content, 'g')}; dry the powders, or allow more water."
            )
        sheet = framed([*rows, ("water", plain, 0.0, plain)], columns=["ingredient", "weigh", "dry", "water"])
        sheet[["weigh", "dry", "water"]] /= gram
        return sheet.set_index("ingredient")

    @property
    def uncounted_water_content(self) -> Numbers:
        """Water content [-] that results if the dry masses are weighed from moist bags and all the water is added.

        The pitfall: less dry mass and more water than meant. Hold `WaterLaw.stress_factor` against it.
        """
        dry = sum(one.dry_mass * (1 - one.moisture) for one in self.ingredients)
        return (self.dry_mass * (1 + self.water_content) - dry) / dry


@guarded(water_mass="recipe_mass")
def water_content_of(ingredients: dict[str, tuple[float, float]], water_mass: Numbers) -> Numbers:
    """Return the water content of a batch as it was really weighed.

    Parameters
    ----------
    ingredients : mapping of str to tuple of float
        Name to (mass as weighed [kg], moisture [-]).
    water_mass : float
        Plain water added. [kg]

    Returns
    -------
    water_content : float
        All water over all dry mass. [-]
    """
    not_negative("water_content_of", mass=water_mass)
    water, dry = water_mass, 0.0
    for mass, moisture in ingredients.values():
        positive("water_content_of", mass=mass)
        share("water_content_of", moisture=moisture)
        water, dry = water + mass * moisture, dry + mass * (1 - moisture)
    require("water_content_of", "dry_mass", dry, dry > 0, "must be above 0")
    return water / dry


# --- re-wetting -----------------------------------------------------------------------------------------------------

REWETTING = (
    "Grind, sieve, wet to the recorded water content, rest 12 to 24 h, and measure the yield stress again: expect it "
    "20 to 50 % off at the same water content (common practice, no source). Count the cycles. Never use mouldy stock."
)


@guarded
def rewetting_water(mass: ArrayLike, moisture: ArrayLike, water_content: ArrayLike) -> Numbers:
    """Return the water that brings dried parts back to a recorded water content; see `REWETTING` for the rest of it.

    Parameters
    ----------
    mass : float or array-like
        Of the dried parts as weighed. [kg]
    moisture : float or array-like
        Water still in them, over their mass. [-]
    water_content : float or array-like
        Recorded, water over dry mass. [-]

    Returns
    -------
    mass : float or ndarray
        Plain water to add. [kg]
    """
    positive("rewetting_water", mass=mass, water_content=water_content)
    held = dry_basis(moisture)
    drier = np.less_equal(held, water_content)
    require("rewetting_water", "moisture", moisture, drier, "is more than the paste is to hold")
    return np.multiply(mass, np.subtract(1, moisture)) * np.subtract(water_content, held)
