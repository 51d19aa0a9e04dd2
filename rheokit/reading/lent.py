"""What the bench's own tests of properties lend to the others: the density of a cup, where the specimen states none."""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..bench import KINDS
from ..bench.measured import FARTHEST, SMALLEST, merged
from ..nomenclature import number, written
from ..units import unit_scale
from .model_errors import with_model_errors
from .stated import Stated

if TYPE_CHECKING:
    from .entries import Draft

LENT = ("density",)
"""Properties that other tests need."""


def lending(entry: dict[str, Any]) -> bool:
    """Say whether a [[test]] measures what others may need."""
    kind = entry.get("kind")
    return isinstance(kind, str) and kind in KINDS and bool(set(LENT) & set(KINDS[kind].gives))


def borrows(draft: Draft, name: str) -> float | None:
    """Return the value of a property that a draft needs besides its readings, None where it needs none."""
    ways = [way for way in draft.typed.ways.values() if way]
    needed = name in draft.form.dimensions or any(name in way.given for way in ways)
    return draft.dimensions.values.get(name) if needed else None


def with_lent(numbers: Mapping[str, Stated], drafts: Sequence[Draft]) -> tuple[dict[str, Stated], dict[str, str]]:
    """Return the numbers of the specimen with those that the drafts of property tests measure, and a note on each.

    What the specimen states stays; then the note says so, and by how much the test differs.
    """
    measured = [draft for draft in drafts if draft is not None]
    if not measured:
        return numbers, {}
    records = [draft.record() for draft in with_model_errors(measured)[0]]
    with warnings.catch_warnings():  # that they disagree stands in the origin, which the note repeats
        warnings.simplefilter("ignore")
        found = merged(records)
    scale = unit_scale("kg/m3", "kg/m³")
    lent, notes = dict(numbers), {}
    for name in LENT:  # in the unit of the one there is
        one, stated = found[name], numbers.get(name)
        places = ", ".join(draft.where.removeprefix("bench.toml, ") for draft in measured)
        told = f"{number(one.value, 4)} ± {written(one.value * one.spread, 'kg/m³', 2)}, measured by the cup density test ({places}: {one.origin})"
        if name not in numbers:
            lent[name] = Stated(one.value, one.value * one.spread, scale, told)
            notes[name] = f"{name} is not stated of the specimen; {told}, was taken."
        elif stated is not None:
            sizes = one.spread, (stated.uncertainty or 0.0) / stated.value
            apart = abs(np.log(stated.value / one.value)) / np.hypot(*np.maximum(sizes, SMALLEST))
            more = f": they lie {apart:.1f} standard deviations apart, look for the cause" if apart > FARTHEST else ""
            notes[name] = f"{name} = {stated.text} was taken as [specimen] states it, and not {told}{more}."
    return lent, notes
