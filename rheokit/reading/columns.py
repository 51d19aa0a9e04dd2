"""The cells of a table to the columns of a bench test, in SI: headers, units, bounds, and every cell that is no number."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ..errors import DataError
from ..nomenclature import si_unit_meaning
from ..units import unit_scale
from .faults import listed, shown
from .guards import doubt
from .headers import is_pressure, read_headers, words_of
from .stated import LEAST, LONGEST_NUMBER, MOST, decimal_number, si_value
from .tables import WITHIN

if TYPE_CHECKING:
    from .faults import Faults
    from .forms import Form
    from .stated import Stated
    from .tables import Table

MOST_FAULTS = 20_000
"""Faults of one file after which no more are looked for."""
BLOCK = 5000
"""Rows whose cells are held at once."""
DIGITS = set("0123456789.+-eE")
IS_BOUND = re.compile(r"[<>≤≥]=?\s*[-+.,0-9]")
BOUNDS = {"<=": -1, "<": -1, "≤": -1, ">=": 1, ">": 1, "≥": 1}


class Typed(NamedTuple):
    """The columns of a file in SI, and how each column of the record is had from them.

    `ways` maps a column of the record to the `Way` that computes it, or to None where it stands in the file itself.
    """

    table: Table
    columns: dict
    values: dict
    censored: np.ndarray
    ways: dict


def read_columns(
    form: Form,
    table: Mapping[str, Any],
    file: str,
    reads: str,
    faults: Faults,
    ambient: Stated | None = None,
    unusual: Collection[str] = (),
) -> Typed:
    """Return the `Typed` columns of a table; what is wrong goes to `faults`.

    Parameters
    ----------
    form : Form
    table : Table
    file : str
        Name for messages.
    reads : str
        The column that was read, which alone may hold bounds such as ``<2``.
    faults : Faults
    ambient : float, optional
        Pressure of the air around [Pa], taken off absolute pressures.
    unusual : sequence of str
        Names whose values are not checked for being likely.
    """
    columns, meant = read_headers(form, table, file, reads, faults, ambient)
    ways = _ways(form, columns, meant, table, file, faults)
    first = reads if reads in columns else next(iter(ways[reads].inputs)) if ways.get(reads) else ""
    if not len(table.rows):
        faults.add(
            f"{file}, row {table.header_row}", "there are headers but no readings; type them below, one row a reading"
        )
    values = {name: np.full(len(table.rows), np.nan) for name in columns}
    censored = np.zeros(len(table.rows), int)
    before = len(faults)
    for begin in range(0, len(table.rows), BLOCK):
        block = slice(begin, begin + BLOCK)
        rows = table.rows[block]
        plain = {
            name for name, column in columns.items() if _plain(form, column, rows, table, values[name][block], unusual)
        }
        others = [column for name, column in columns.items() if name not in plain]
        for k, row in enumerate(rows, begin):
            if len(faults) - before > MOST_FAULTS:
                faults.stopped.add(file)
                return Typed(table, columns, values, censored, ways)
            if wrong := _wrong_count(row, table):
                faults.add(f"{file}, row {row.number}", wrong)
                continue
            for column in others:
                cell, at = row.cells[column.place], f"column {column.place + 1} ({column.header})"
                place = f"{file}, row {row.number}, {at}"
                try:
                    values[column.name][k], side = _cell(cell, column, table.decimal, column.name == first)
                    censored[k] = side or censored[k]
                except DataError as error:
                    faults.add(place, str(error))
                    continue
                _check(form, column, values[column.name][k], cell, place, reads, faults, unusual, censored[k])
    return Typed(table, columns, values, censored, ways)


def _wrong_count(row, table):
    """Return what is wrong with the number of cells of a row, or nothing."""
    width = len(table.header)
    if len(row.cells) == width or (len(row.cells) > width and not any(row.cells[width:])):
        return ""
    comma = ""
    if table.separator == "," and width == 1:
        comma = '; if that is a decimal comma, write decimal = "comma" in its [[test]]'
    elif table.separator == ",":
        comma = "; a decimal comma needs semicolons or tabs between the columns"
    if table.separator == WITHIN:
        comma = "; take away what stands beside the readings, and whole rows of text" if len(row.cells) > width else ""
    told = shown((" | " if table.separator == WITHIN else table.separator).join(row.cells))
    return f"{len(row.cells)} cells under {width} header{'s' * (width > 1)} ({told}){comma}"


def _plain(form, column, rows, table, values, unusual):
    """Fill in a block of a column at once where every cell is a likely number as it stands; say whether it was done."""
    if min(len(row.cells) for row in rows) <= column.place:
        return False
    cells = [row.cells[column.place] for row in rows]
    if table.decimal == ",":
        if any("." in cell for cell in cells):
            return False
        cells = [cell.replace(",", ".") for cell in cells]
    signs = set().union(*cells)
    if not signs <= DIGITS or max(map(len, cells)) > LONGEST_NUMBER:
        return False
    try:
        found = column.scale.all_to_si(cells)
    except (ArithmeticError, ValueError):
        return False
    size = np.abs(found - float(column.scale.offset))
    if not np.all((size >= LEAST) | ((size == 0) & (not signs & {"e", "E"}))) or np.any(size > MOST):
        return False
    item = form.columns.get(column.name)
    low, high = found.min(), found.max()
    negative = low < 0 and (item is None or item.positive)
    nothing = "uncertainty" in column.name and low <= 0
    if column.name not in unusual and (negative or nothing or doubt(column.name, low) or doubt(column.name, high)):
        return False
    values[:] = found
    return True


def _ways(form, columns, meant, table, file, faults):
    ways = {}
    place = f"{file}, row {table.header_row}"
    for target, item in form.columns.items():
        options = form.ways.get(target, ())
        begun = [way for way in options if any(name in columns for name in way.inputs)]
        given = [None] * (target in columns) + begun
        if len(given) > 1:
            names = [
                n for n in form.header_names() if n in columns and (n == target or any(n in w.inputs for w in begun))
            ]
            faults.add(
                place, f"{words_of(target)} is given in more than one way ({listed(map(words_of, names))}); keep one"
            )
        elif given:
            missing = [
                name for name in (given[0].inputs if given[0] else ()) if name not in columns and name not in meant
            ]
            for name in missing:
                faults.add(
                    place, f"the column {words_of(name)} is missing; with the others it gives the {words_of(target)}"
                )
            ways[target] = given[0]
        elif item.required and not meant & {target, *(name for way in options for name in way.inputs)}:
            others = [" and ".join(words_of(name) for name in way.inputs) for way in options]
            faults.add(
                place,
                f"no column {' or '.join([words_of(target), *others])}: {item.quantity.meaning}; add one, {si_unit_meaning(item.quantity.unit)}",
            )
    return ways


def bound_of(cell: str) -> str:
    """Return the sign of a bound with which a cell begins, "" where it is none."""
    return next(filter(cell.startswith, BOUNDS), "") if IS_BOUND.match(cell) else ""


def _cell(cell, column, decimal, may_be_bound):
    sign = bound_of(cell)
    side = BOUNDS.get(sign, 0)
    if side and not may_be_bound:
        raise DataError(f"{shown(cell)} is a bound; only the column that was read may hold one")
    plain = cell.removeprefix(sign).strip()
    if decimal == ",":
        if "." in plain:
            raise DataError(
                f"{shown(cell)} has a point where this file has decimal commas; write a comma, and no thousands"
            )
        try:
            return _number(plain.replace(",", "."), column, cell), side
        except DataError as error:  # in which every point between digits is a comma that was typed, or an example's
            told = re.sub(r"(?<=[0-9])\.(?=[0-9])", ",", str(error)).replace("decimal point", "decimal comma")
            raise DataError(told) from None
    return _number(plain, column, cell), side


def _number(plain, column, cell):
    if plain.endswith("%") and column.scale.text in ("%", "-"):
        return si_value(decimal_number(plain[:-1]), unit_scale("%", "-"), cell)
    return si_value(decimal_number(plain), column.scale, cell)


def _check(form, column, value, cell, place, reads, faults, unusual, side):
    item = form.columns.get(column.name)
    positive = item.positive if item else True
    if column.name in unusual:
        return
    if value < 0 and positive:
        scale = column.scale
        if is_pressure(column.name) and scale.offset:
            ambient = f"{float(-scale.offset / scale.factor):g} {scale.text}"
            wrong, usual = f"lies below the ambient pressure of {ambient} (absolute and gauge mixed up?)", ""
        else:
            wrong, usual = "is negative", column.name
        faults.add(place, f"{shown(cell)} {wrong}; correct it, or take the row out", usual)
    elif "uncertainty" in column.name and value == 0:
        faults.add(place, f"{shown(cell)}: an uncertainty of nothing; give the real one, or take the column out")
    elif not (side and value == 0) and (why := doubt(column.name, value)):
        faults.add(place, f"{shown(cell)} {why}", column.name)
