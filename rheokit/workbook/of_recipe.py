"""The recipe that a plan describes, what its readings say of the water, and the paste as it is mixed."""

from __future__ import annotations

import numpy as np

from ..errors import DataError
from ..paste.mixed import Mixed
from ..paste.recipe import Ingredient, Recipe, dry_basis
from ..paste.water import WaterLaw
from ..reading.faults import shown
from .asked import PROPERTIES, ROWS
from .asked_of_recipe import READ_ON, WEIGHED, WET_BASIS
from .blamed import blamed
from .entries import number_of
from .made import NotKnownYet, filled_rows, missing
from .plan import Plan


def recipe_of(plan: Plan) -> Recipe:
    """Return the recipe of a plan, as `extruder_of`."""
    if lacks := missing(plan, "recipe"):
        raise NotKnownYet("recipe", lacks)
    weighed, parts = plan.choice("recipe", "masses") == WEIGHED, []
    for place, row in filled_rows(plan, "ingredient"):
        mass, moisture, density = (_cell(row, place, name) for name in ("mass", "moisture", "density"))
        dry = mass * (1 - moisture) if weighed else mass
        dissolves = row.get("dissolves", "no") == "yes"
        parts.append(
            Ingredient(
                name=row.get("name", f"ingredient {place}"),
                dry_mass=dry,
                density=density,
                moisture=moisture,
                dissolves=dissolves,
            )
        )
    with blamed(plan, "recipe"):
        return Recipe(ingredients=tuple(parts), water_content=plan.value("recipe", "water_content"))


def water_readings_of(plan: Plan) -> tuple[list[float], list[float]]:
    """Return the readings of a plan: water contents on the dry basis [-] and yield stresses [Pa]."""
    rows, basis = filled_rows(plan, "reading"), plan.choice("recipe", "basis")
    water, stress = ([_cell(row, at, name, "reading") for at, row in rows] for name in ROWS["recipe", "reading"])
    if basis == WET_BASIS:  # in %, whose sign may stand there
        water = [one * 100 if "%" in row["water_content"] else one for one, (_, row) in zip(water, rows, strict=True)]
    low, high = READ_ON[basis]
    for one, (at, row) in zip(water, rows, strict=True):
        if not low <= one <= high:
            typed, ends = shown(row["water_content"]), f"{low:g} and {high:g}"
            raise DataError(
                f"plan.toml, [[recipe.reading]], row {at}, water_content = {typed} is not between {ends} on the {basis}; correct it"
            )
    return [float(dry_basis(one / 100)) for one in water] if basis == WET_BASIS else water, stress


def water_law_of(plan: Plan) -> WaterLaw | None:
    """Return the line through the readings of yield stress against water of a plan; None where there are fewer than two."""
    error = plan.value("recipe", "reading_error")
    if len(filled_rows(plan, "reading")) < 2 or error is None:
        return None
    water, stress = water_readings_of(plan)
    with blamed(plan, "recipe"):
        return WaterLaw.fit(np.array(water), np.array(stress), error)


def mixed_of(plan: Plan, air: float | None, measured: tuple[float, float] | None = None) -> Mixed:
    """Return the paste of a plan as it is mixed, of an air content [-] and a density that was `measured`, as `extruder_of`."""
    if air is None:
        raise NotKnownYet("paste as mixed", [(PROPERTIES, "air_content")])
    return Mixed(recipe_of(plan), air, water_law_of(plan), measured)


def _cell(row, place, name, key="ingredient"):
    if not row.get(name):
        if name == "moisture":
            return 0.0
        raise DataError(
            f"plan.toml, [[recipe.{key}]], row {place}: {name} is not known; write it, such as {ROWS['recipe', key][name].such}"
        )
    try:
        return number_of(ROWS["recipe", key][name], row[name]).in_si
    except DataError as fault:
        raise DataError(f"plan.toml, [[recipe.{key}]], row {place}, {name} = {fault}") from None
