"""How the part of a plan dries, and what is to be drawn so that it measures when dry what is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from ..errors import DataError
from ..part.drying import DryingWall, room_fluxes, weighed_fluxes
from ..part.shrinkage import Shrinkage, stated_shrinkage
from ..paste.mixed import Mixed
from .asked import PROPERTIES
from .asked_of_recipe import BOTH, FAN, PLATE, STILL
from .made import NotKnownYet
from .of_paste import SHRINKS, shrinkages, value_of

if TYPE_CHECKING:
    from .opened import Workbook

CONVECTIONS = {STILL: (3.5, 3.0, 4.0), FAN: (15.0, 10.0, 25.0)}
"""Heat that moving air carries, with its limits [W/(m2 K)]; common practice, no source."""
SIZES = {"length": "shrinkage_xy", "width": "shrinkage_xy", "height": "shrinkage_z"}
"""What is wanted when dry, and the shrinkage along it."""


class Drawn(NamedTuple):
    """One size of a part: what is wanted when dry [m], the shrinkage along it [-], and the size to draw with its 95 % limits [m]."""

    wanted: float
    shrinkage: Shrinkage
    drawn: float
    low: float
    high: float


def drying_of(book: Workbook, mixed: Mixed) -> DryingWall:
    """Return the wall of a workbook as it dries, of its paste as mixed; `NotKnownYet` where the plan lacks something of it."""
    plan = book.plan
    by, asked = plan.choice("drying", "dried_by"), ["dry_solids", "water_left_by_air", "water_in_the_end"]
    asked += ["plate_flux"] if by == PLATE else ["temperature", "humidity"]
    needed = [*(("drying", key) for key in asked), (PROPERTIES, "diffusivity"), ("print", "wall_width")]
    at = {one: value_of(book, *one) for one in needed}
    if lacks := [one for one, value in at.items() if value is None]:
        raise NotKnownYet("drying time", lacks)
    known = {key: float(value) for (_, key), value in at.items() if value is not None}
    fluxes = (
        weighed_fluxes(known["plate_flux"])
        if by == PLATE
        else room_fluxes(known["temperature"], known["humidity"], CONVECTIONS[by])
    )
    return mixed.wall(
        fluxes=fluxes,
        dry_solids=known["dry_solids"],
        equilibrium_water=known["water_left_by_air"],
        final_water=known["water_in_the_end"],
        depth=known["wall_width"] / (2 if plan.choice("drying", "faces") == BOTH else 1),
        diffusivity=known["diffusivity"],
    )


def drawn_sizes(book: Workbook) -> dict[str, Drawn]:
    """Return the sizes to draw for those wanted when dry, by name; `NotKnownYet` where the plan lacks something of them."""
    known = shrinkages(book)
    needed = [*(("drying", key) for key in SIZES), *((PROPERTIES, name) for name in SHRINKS)]
    if any(one.spread is None for one in known.values()):
        needed.append(("drying", "shrinkage_error"))
    at = {one: value_of(book, *one) for one in needed}
    if lacks := [one for one, value in at.items() if value is None]:
        raise NotKnownYet("size to draw", lacks)
    out = {}
    for key, name in SIZES.items():
        one, wanted = known[name], float(at["drying", key] or 0.0)
        error = float(at["drying", "shrinkage_error"] or 0.0) if one.spread is None else one.value * one.spread
        found = stated_shrinkage(one.value, error)
        if not found.high < 1:
            raise DataError(f"The shrinkage {name} with its uncertainty reaches 100 %; correct it.")
        value, low, high = (float(wanted * factor) for factor in found.scale)
        out[key] = Drawn(wanted, found, value, low, high)
    return out
