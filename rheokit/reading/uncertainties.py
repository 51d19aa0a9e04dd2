"""The `uncertainty` of a [[test]]: of what was read or of what it is computed from, by an amount, a share, or what it was read to.

A flow by caught mass and time is as uncertain as these two are: ``uncertainty = ["to 1 g", "0.2 s"]`` gives every flow its own
standard uncertainty. "to 1 g" is rounding to whole grams: the error lies anywhere within half a gram either way, a rectangular
distribution, whose standard deviation is 1/√12 g (JCGM 100:2008, 4.3.7 and F.2.2.1, from memory). It says nothing of how readings
scatter: where neither a share nor an amount of the reading stands beside it, that is left to the readings themselves.
"""

import math
import re
from typing import NamedTuple

import numpy as np

from ..bench.record import BESIDE_ROUNDING
from ..errors import DataError
from ..nomenclature import written
from .faults import shown
from .forms import UNCERTAINTIES
from .guards import doubt, doubt_reading
from .headers import words_of
from .stated import stated_number, uncertainty_name

ROUNDED = 1 / math.sqrt(12)  # standard deviation of rounding over the step that is rounded to
_STEP = re.compile(r"\s*to\s+(?=[-+.,0-9])")
STEP = 1e-3  # of a standard uncertainty, for a central difference
COARSE = 0.03  # of the least reading, from which rounding is worth a word; common practice, no source


class Size(NamedTuple):
    """A standard uncertainty: the `relative_uncertainty`, or the name of the column that it is of; its size in SI; if of rounding."""

    of: str
    size: float
    rounded: bool = False


def size_of(text, form, reads, ways=()):
    """Return the `Size` that a text states of the readings of a column, or of one that a way computes them from.

    `ways` are those by which columns are given, by name. `DataError` with what is wrong and what to write.
    """
    unit = form.quantity(reads).unit
    rounded = _STEP.match(text) if isinstance(text, str) else None
    plain = text[rounded.end() :] if rounded else text
    if uncertainty_name(plain, unit) == "relative_uncertainty":
        if rounded:
            raise DataError(
                f"{shown(text)}: what a reading is rounded to is an amount, such as \"to 1 g\"; write a share without 'to'"
            )
        of, stated = "relative_uncertainty", stated_number(plain, "-")
    else:
        of, stated = _of_column(plain, form, reads, ways)
    if stated.uncertainty is not None:
        raise DataError(f"{shown(text)} is an uncertainty itself; take ± and what follows away")
    if not stated.value > 0:
        raise DataError(f"{shown(text)} must be positive; leave it out if it is not known")
    return Size(of, stated.value * ROUNDED, True) if rounded else Size(of, stated.value)


def is_rounding(text: object) -> bool:
    """Return whether an uncertainty, as it is typed, is what a reading was rounded to."""
    return isinstance(text, str) and _STEP.match(text) is not None


def _of_column(plain, form, reads, ways):
    """Return the column that a text without "to" is of, by its unit, and its `Stated` number."""
    inputs = [*ways[reads].inputs] if reads in ways else []
    wrong = []
    for name in (*inputs, reads):  # what was weighed before what is computed, where both are masses
        try:
            return name, stated_number(plain, form.quantity(name).unit, difference=True)
        except DataError as error:
            wrong.append(str(error))
    others = [(name, target) for target, way in dict(ways).items() if target != reads for name in way.inputs]
    for name, target in others:
        try:
            stated_number(plain, form.quantity(name).unit)
        except DataError:
            continue
        raise DataError(
            f"{shown(plain)} is of the {words_of(name)}, which gives the {words_of(target)}, and that was set; state the uncertainty of "
            f'the {words_of(reads)}, or write read = "{target}" if it is what was read'
        )
    more = (
        f"; or that of the {' and '.join(map(words_of, inputs))}, which {'give' if len(inputs) > 1 else 'gives'} it"
        if inputs
        else ""
    )
    raise DataError(f'{wrong[-1]}; a share of the reading is written "3 %"{more}')


def read_uncertainties(form, entry, typed, dimensions, reads, where, unusual, faults):
    """Return the uncertainties of a record by name: those of columns of its file, and what its [[test]] states of all rows.

    `dimensions` are SI values by name, for what its columns are computed with.
    """
    fields, sizes, rounded = {}, {}, set()
    if typed:
        fields = {name: typed.values[name] for name in UNCERTAINTIES if name in typed.values}
    given = entry.get("uncertainty", [])
    for text in given if isinstance(given, list) else [given]:
        try:
            of, size, of_rounding = size_of(text, form, reads, typed.ways if typed else {})
        except DataError as error:
            if typed:  # else the columns are not known, and that is told
                faults.add(where, f"uncertainty = {error}")
            continue
        if of in sizes or {"uncertainty" if of != "relative_uncertainty" else of} & {*fields}:
            faults.add(where, f"uncertainty = {shown(text)} is given twice (in a column too?); keep one")
        sizes[of] = size
        rounded |= {of} if of_rounding else set()
        if typed and not {of, "uncertainty"} & {*unusual}:
            share = of == "relative_uncertainty"
            readings = typed.values.get(of, typed.values.get(reads))
            if why := (share and doubt(of, size)) or doubt_reading(1.0 if share else readings, size):
                faults.add(where, f"uncertainty = {shown(text)} {why}")
    alone = rounded and not fields and not {reads, "relative_uncertainty"} & ({*sizes} - rounded)
    if share := sizes.pop("relative_uncertainty", None):
        fields["relative_uncertainty"] = share
    if sizes.keys() == {reads}:
        fields["uncertainty"] = sizes[reads]
    elif sizes and _is_complete(typed, dimensions, reads):
        fields["uncertainty"] = _of_each(typed.ways[reads], typed.values, dimensions, sizes, reads)
    if alone and "uncertainty" in fields and "error" not in entry:
        fields["error"] = BESIDE_ROUNDING
    return fields


def _is_complete(typed, dimensions, reads):
    """Say whether all is known that a reading is computed from; what is not is told elsewhere."""
    way = typed.ways[reads]
    return way.inputs.keys() <= typed.values.keys() and all(dimensions.get(name) is not None for name in way.given)


def _of_each(way, values, dimensions, sizes, reads):
    """Return the standard uncertainty of each reading that a way computes, from those of what it is computed from."""
    inputs, given = {name: values[name] for name in way.inputs}, {name: dimensions[name] for name in way.given}
    squares = np.square(sizes.get(reads, 0.0))
    with np.errstate(all="ignore"):  # a time of 0 is refused where it stands
        for name in sizes.keys() - {reads}:
            high, low = (
                way.compute(**inputs | {name: inputs[name] + step * sizes[name]}, **given) for step in (STEP, -STEP)
            )
            squares = squares + np.square((high - low) / (2 * STEP))
    return np.sqrt(squares)


def coarse(draft):
    """Return in a sentence that readings were computed from coarsely rounded ones whose uncertainty nobody stated; "" else."""
    way = draft.typed.ways.get(draft.reads)
    if way is None or draft.fields.keys() & {*UNCERTAINTIES}:
        return ""
    name = next(iter(way.inputs))
    column, values = draft.typed.columns[name], draft.typed.values[name]
    cells = [row.cells[column.place].strip().replace(",", ".") for row in draft.typed.table.rows]
    digits = max(len(cell.partition(".")[2]) if re.fullmatch(r"[0-9]+(\.[0-9]*)?", cell) else 99 for cell in cells)
    step, least = float(column.scale.factor) * 10.0**-digits, np.min(values[values > 0], initial=np.inf)
    if not ROUNDED * step > COARSE * least:
        return ""
    to, unit = 10.0**-digits, column.scale.text
    told = f"{draft.where}: the {words_of(name)} is typed to {to:g} {unit}, and rounding alone is {written(ROUNDED * step / least, '%', 2)} of the least"
    return f'{told}; no uncertainty is stated, so all readings count as equally well known: write uncertainty = "to {to:g} {unit}".'
