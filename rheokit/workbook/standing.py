"""The part of a plan, asked whether it stands while it is printed of the paste of its recipe."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..part.printing import RING
from ..paste.mixed import Mixed
from ..planning import Standing, leaned
from .asked import PROPERTIES
from .asked_of_recipe import LEANED
from .made import SIZES, NotKnownYet, size_of
from .of_paste import Read, counted, value_of

if TYPE_CHECKING:
    from .opened import Workbook
    from .plan import Plan

RESTED = ("static_ratio", "build_up_rate", "build_up_time")
DRAWN = (*RESTED, "density")  # with the spreads that are known of them
BRIDGES = (("nozzle", "bore"), ("print", "span"))
"""What bridges ask for beside the wall."""


def asked_of_standing(book: Workbook) -> list[tuple[str, str]]:
    """Return the tables and keys of all that decides whether the part of a workbook stands."""
    plan = book.plan
    ring = [("print", "ring_radius")] if plan.choice("print", "shape") == RING else []
    stiff = ("shape", "leaned") if plan.choice("shape", "stiffness_from") == LEANED else (PROPERTIES, "modulus")
    rested = [(PROPERTIES, name) for name in RESTED]
    return [
        ("print", "part_height"),
        ("print", "wall_width"),
        *ring,
        ("shape", "rise_speed"),
        *rested,
        stiff,
        ("shape", "modulus_water"),
    ]


def standing_of(book: Workbook, mixed: Mixed, bridging: bool = False) -> Standing:
    """Return the part of a workbook, of a paste as mixed; of lines as wide as its wall, or with the bore and the span of its bridges.

    Raises
    ------
    NotKnownYet
        Where something that decides it is neither typed nor read.
    """
    asked = [*asked_of_standing(book), *(BRIDGES if bridging else ())]
    at = {one: value_of(book, *one) for one in asked}
    if lacks := [one for one, value in at.items() if value is None]:
        raise NotKnownYet("part", lacks)
    plan, wall, shape = book.plan, at["print", "wall_width"], book.plan.choice("print", "shape")
    properties, more = stiffness_of(book, mixed, wall, shape)
    more["spreads"] = spreads_of(book, DRAWN) | more.get("spreads", {})
    material = mixed.material(properties | {name: at[PROPERTIES, name] for name in RESTED}, **more)
    return Standing.of_line(
        material, at["nozzle", "bore"] if bridging else wall, at["shape", "rise_speed"], part_height=at["print", "part_height"],
        wall_width=wall, shape=shape, ring_radius=at["print", "ring_radius"] if shape == RING else None, span=at.get(("print", "span")),
        **line_of(plan),
    )  # fmt: skip


def line_of(plan: Plan) -> dict[str, float]:
    """Return the sizes of the line of a plan [m], by name, as far as they are known."""
    return {name: size for name in SIZES if (size := size_of(plan, name)) is not None}


def standing_of_bench(book: Workbook, stiff: bool = True) -> Standing:
    """Return the part of a workbook of the paste that was tested, as other pages judge it: where there is no recipe.

    Parameters
    ----------
    book : Workbook
    stiff : bool
        Whether its stiffness is asked for: what its foot carries rests on none.

    Raises
    ------
    NotKnownYet
        Where something that decides it is neither typed nor read.
    """
    plan, material = book.plan, book.material
    shape = plan.choice("print", "shape")
    asked = [("print", "part_height"), ("print", "wall_width")]
    asked += [("print", "ring_radius")] if shape == RING else []
    at = {one: value_of(book, *one) for one in asked}
    lacks = [one for one, value in at.items() if value is None]
    lacks += [
        (PROPERTIES, name)
        for name in ("density", *(["modulus"] if stiff else []))
        if getattr(material.paste, name) is None
    ]
    if lacks:
        raise NotKnownYet("part", lacks)
    wall = at["print", "wall_width"]
    part = {
        "part_height": at["print", "part_height"],
        "wall_width": wall,
        "shape": shape,
        "ring_radius": at.get(("print", "ring_radius")),
    }
    return Standing.of_line(material, wall, value_of(book, "shape", "rise_speed"), **line_of(plan), **part)


def stiffness_of(book: Workbook, mixed: Mixed, wall: float, shape: str) -> tuple[dict, dict]:
    """Return the stiffness of a workbook as properties of the paste as mixed, and what else a `Material` takes with it."""
    plan = book.plan
    if plan.choice("shape", "stiffness_from") == LEANED:
        told = leaned(plan.value("shape", "leaned"), wall, mixed.density, shape)
        properties, more, read_at = told.pop("properties"), told, value_of(book, "shape", "modulus_water")
    elif (modulus := plan.value(PROPERTIES, "modulus")) is not None:
        properties, more = {"modulus": modulus}, {"spreads": spreads_of(book, ["modulus"])}
        read_at = value_of(book, "shape", "modulus_water")
    else:
        properties, more = as_read(book.read)
        tested = counted(book).get(("shape", "modulus_water"))
        read_at = plan.value("shape", "modulus_water") if tested is None else tested.value
    factor = float(mixed.law.line_factor(read_at, mixed.water_content))
    return properties | {"modulus": properties["modulus"] * factor}, more


def spreads_of(book: Workbook, names: Iterable[str]) -> dict[str, float]:
    """Return the spreads of properties, as typed with them or as the readings tell [-]; those without one have the usual."""
    known = {name: one for (table, name), one in counted(book).items() if table == PROPERTIES} | book.plan.properties
    return {name: spread for name in names if name in known and (spread := known[name].spread) is not None}


def as_read(read: Read) -> tuple[dict, dict]:
    """Return a stiffness as the readings tell it: that of walls that leaned holds for such walls, without what real ones lack."""
    names = [name for name in ("modulus", "lean_factor") if name in read.known]
    spreads = {name: one for name in names if (one := read.known[name].spread) is not None}
    return {name: read.known[name].value for name in names}, {"spreads": spreads, "lean_width": read.lean_width}
