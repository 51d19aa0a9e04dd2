"""The air of the paste of a recipe, as its density as measured tells it by the ingredients, and whether the two can be together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench.cup_density import air_between
from ..bench.measured import Property
from ..errors import DataError
from ..nomenclature import QUANTITIES, written
from ..origins import word_of
from .asked import ASKED, PROPERTIES
from .assumed import Assumed
from .made import filled_rows
from .of_recipe import recipe_of
from .plan import Plan

APART = 2.0  # standard deviations of their difference beyond which density and air content disagree
BY_INGREDIENTS = "of the density as measured, by the ingredients"
CHECK = "Check the cup (tared? filled without voids? its volume that of the water it holds?), the moistures and the densities of the ingredients."
IMPOSSIBLE = (
    "The paste as measured is denser than its recipe without any air, which cannot be. It is {density} against {bare}; the heights count it all the "
    "same. {check}"
)
DISAGREE = (
    "Density and air content disagree beyond their errors. {density} as measured makes {told} of air by the ingredients, and {counts} {is_said}. The "
    "heights count the density as measured, shrinkage and drying the air content. {check}{else_empty}"
)
EMPTY = " Or leave the air content empty: then that of the density counts."
UNUSED = (
    "The density as measured is not used: at which water content is not known. It is {density}. Type the water content u (dry basis) of the paste that was "
    "tested, in notebook 4, or write [specimen] water_content in bench.toml."
)


class Reckoned(NamedTuple):
    """What a density tells of air: that density, the one without air [kg/m3], the air [-], below 0 where it is denser, and its standard error [-]."""

    density: Assumed
    bare: float
    air: float
    error: float
    told: Property


def reckoned(plan: Plan, known: Mapping[str, Assumed]) -> Reckoned | None:
    """Return what the density that is `known` of a paste, at the water content that is, tells of its air; None without a recipe, or one of the two."""
    density, water = known.get("density"), known.get("water_content")
    if density is None or water is None:
        return None
    try:
        bare = float(replace(recipe_of(plan), water_content=water.value).density)
    except DataError:  # which the page of the recipe says
        return None
    measured = Property(density.value, QUANTITIES["density"].spread if density.spread is None else density.spread, "")
    told, error = air_between(measured, bare)
    return Reckoned(density, bare, 1 - density.value / bare, error, told)


def air_by_density(plan: Plan, known: Mapping[str, Assumed]) -> Assumed | None:
    """Return the air content that follows from what is `known` of a paste and from its recipe; None where it does not, or cannot be."""
    found = reckoned(plan, known)
    if found is None or found.air < -APART * found.error:
        return None
    origin = f"{word_of(found.density.origin)}: {BY_INGREDIENTS}{found.told.origin}"
    return Assumed(found.told.value, found.told.spread, origin)


def doubt_of_air(plan: Plan, known: Mapping[str, Assumed]) -> str:
    """Return why density and air content of a paste cannot be together, or why its density is not used; empty where neither is so."""
    density, counts = known.get("density"), known.get("air_content")
    if density is not None and "water_content" not in known and filled_rows(plan, "ingredient"):
        return UNUSED.format(density=_in_words("density", density))
    if (found := reckoned(plan, known)) is None:
        return ""
    said = {"density": _in_words("density", found.density), "check": CHECK}
    if found.air < -APART * found.error:
        return IMPOSSIBLE.format(bare=written(found.bare, "kg/m³", 4), **said)
    if counts is None:
        return ""
    spread = QUANTITIES["air_content"].spread if counts.spread is None else counts.spread
    if abs(found.air - counts.value) <= APART * float(np.hypot(found.error, spread * counts.value)):
        return ""
    typed = "air_content" in plan.properties
    said |= {
        "told": _in_words("air_content", Assumed(found.told.value, found.told.spread, "")),
        "counts": _in_words("air_content", counts._replace(spread=spread)),
        "is_said": "is typed" if typed else "is read, with its true_density in bench.toml",
        "else_empty": EMPTY if typed else "",
    }
    return DISAGREE.format(**said)


def _in_words(name, one):
    return one.written_as(ASKED[PROPERTIES][name])
