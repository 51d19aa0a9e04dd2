"""The axes, the point and what else is held on the page of the printable region, as its plan keeps them."""

from __future__ import annotations

from ..limits import Case
from ..regions import AXES, movable
from ..regions.axes import Axis
from .entries import number_of
from .entry import Entry
from .plan import Plan

PAGE, POINT = "page.region", "point_"
BEGIN = ("bore", "print_speed", "layer_height")  # to map where what was asked for cannot be moved
MOVED = ("stiffness", "water_content", "air_content")  # what no machine and no part has


def axes_of(case: Case, across: str | None, up: str | None) -> tuple[str, str]:
    """Return the names of two axes along which a case can be moved: those asked for, as far as it can be."""
    known = movable(case)
    across = across if across in known else next(key for key in BEGIN if key != up)
    up = up or "water_content"
    return across, up if up in known else next(key for key in BEGIN if key != across)


def point_of(plan: Plan, case: Case) -> tuple[tuple[str, str], dict[str, float]]:
    """Return the axes of the map of a plan, and all that is held at its point, by name [SI]."""
    kept = {key: plan.text(PAGE, key) for key in ("across", "up", *MOVED, *(f"{POINT}{key}" for key in AXES))}
    axes, known = axes_of(case, kept["across"] or "bore", kept["up"]), movable(case)
    held = {key: _number(AXES[key], kept[key]) for key in MOVED if key in known and kept[key]}
    here = {}
    for key in axes:
        typed = kept[f"{POINT}{key}"]
        here[key] = _number(AXES[key], typed) if typed else held.pop(key, float(AXES[key].get(case)))
    return axes, held | here


def _number(axis: Axis, text: str) -> float:
    """Return a number [SI] as it was typed at an axis: alone in its unit, or with another."""
    try:
        return float(axis.in_si(float(text.replace(",", "."))))
    except ValueError:
        low, high = axis.at_edge(0.0) if axis.offset else 0.0, float("inf")
        return float(number_of(Entry(axis.label, axis.unit, low, high), text).in_si)  # type: ignore[arg-type]
