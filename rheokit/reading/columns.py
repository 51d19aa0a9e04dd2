"""The cells of a table to the columns of a bench test, in SI: headers, units, bounds, and every cell that is no number."""

from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..units import si_unit_meaning
from .faults import listed, shown
from .guards import doubt
from .headers import is_pressure, read_headers, words_of
from .stated import decimal_number, si_value

BOUNDS = {"<": -1, "≤": -1, ">": 1, "≥": 1}


class Typed(NamedTuple):
    """The columns of a file in SI, and how each column of the record is had from them.

    `ways` maps a column of the record to the `Way` that computes it, or to None where it stands in the file itself.
    """

    table: object
    columns: dict
    values: dict
    censored: np.ndarray
    ways: dict


def read_columns(form, table, file, reads, faults, ambient=None, unusual=()):
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
    if not table.rows:
        faults.add(
            f"{file}, row {table.header_row}", "there are headers but no readings; type them below, one row a reading"
        )
    values = {column.name: np.full(len(table.rows), np.nan) for column in columns.values()}
    censored = np.zeros(len(table.rows), int)
    for k, row in enumerate(table.rows):
        if len(row.cells) < len(table.header) or any(row.cells[len(table.header) :]):
            comma = ""
            if table.separator == "," and len(table.header) == 1:
                comma = '; if that is a decimal comma, write decimal = "comma" in its [[test]]'
            elif table.separator == ",":
                comma = "; a decimal comma needs semicolons or tabs between the columns"
            faults.add(
                f"{file}, row {row.number}",
                f"{len(row.cells)} cells under {len(table.header)} headers ({shown(table.separator.join(row.cells))}){comma}",
            )
            continue
        for column in columns.values():
            cell, place = (
                row.cells[column.place],
                f"{file}, row {row.number}, column {column.place + 1} ({column.header})",
            )
            try:
                values[column.name][k], side = _cell(cell, column, table.decimal, column.name == first)
                censored[k] = side or censored[k]
            except DataError as error:
                faults.add(place, str(error))
                continue
            _check(form, column, values[column.name][k], cell, place, reads, faults, unusual, censored[k])
    return Typed(table, columns, values, censored, ways)


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


def _cell(cell, column, decimal, may_be_bound):
    side = BOUNDS.get(cell[:1], 0)
    if side and not may_be_bound:
        raise DataError(f"{shown(cell)} is a bound; only the column that was read may hold one")
    plain = cell[1:].strip() if side else cell
    if decimal == ",":
        if "." in plain:
            raise DataError(
                f"{shown(cell)} has a point where this file has decimal commas; write a comma, and no thousands"
            )
        plain = plain.replace(",", ".")
    return si_value(decimal_number(plain), column.scale, cell), side


def _check(form, column, value, cell, place, reads, faults, unusual, side):
    item = form.columns.get(column.name)
    positive = item.positive if item else True
    if column.name in unusual:
        return
    if value < 0 and positive:
        absolute = (
            "; it is below the pressure around (absolute and gauge mixed up?)"
            if column.scale.offset and is_pressure(column.name)
            else ""
        )
        faults.add(
            place,
            f"{shown(cell)} is negative{absolute}; correct it, or take the row out",
            "" if absolute else column.name,
        )
    elif "uncertainty" in column.name and value == 0:
        faults.add(place, f"{shown(cell)}: an uncertainty of nothing; give the real one, or take the column out")
    elif not (side and value == 0) and (why := doubt(column.name, value)):
        faults.add(place, f"{shown(cell)} {why}", column.name)
