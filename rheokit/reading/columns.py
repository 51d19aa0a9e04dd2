"""The cells of a table to the columns of a bench test, in SI: headers, units, bounds, and every cell that is no number."""

import re
from fractions import Fraction
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..things import nearest
from ..units import ATMOSPHERE, si_unit_meaning, unit_scale
from .faults import listed, shown
from .guards import doubt, radius_for_diameter
from .stated import decimal_number

BOUNDS = {"<": -1, "≤": -1, ">": 1, "≥": 1}


class Column(NamedTuple):
    """One column of a file: the name of its quantity, its place counted from 0, its header and the scale of its unit."""

    name: str
    place: int
    header: str
    scale: object


class Typed(NamedTuple):
    """The columns of a file in SI, and how each column of the record is had from them.

    `ways` maps a column of the record to the `Way` that computes it, or to None where it stands in the file itself.
    """

    table: object
    columns: dict
    values: dict
    censored: np.ndarray
    ways: dict


def words_of(name):
    """Return the words of a header for a name."""
    return name.replace("_", " ")


def is_pressure(name):
    """Say whether a quantity must be named gauge or absolute."""
    return name == "pressure" or name.endswith("_pressure")


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
    columns = _columns(form, table, file, reads, faults, ambient)
    ways = _ways(form, columns, table, file, faults)
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


def _columns(form, table, file, reads, faults, ambient):
    known, found = form.header_names(), {}
    for k, header in enumerate(table.header):
        place = f"{file}, row {table.header_row}, column {k + 1}"
        parted = re.fullmatch(r"\s*([^\[\]]*?)\s*\[([^\[\]]*)\]\s*", header)
        if not parted or not parted[2].strip():
            wanted = _name(parted[1] if parted else header)
            unit = form.quantity(wanted).unit if wanted in known and "uncertainty" not in wanted else "m"
            faults.add(
                place,
                f"{shown(header)} has no unit; write words and unit in brackets, {si_unit_meaning(unit)}, such as 'force [N]'",
            )
            continue
        name, absolute = _pressure_name(_name(parted[1]))
        if name not in known:
            hint = radius_for_diameter(name, known)
            faults.add(
                place,
                f"{shown(header)} is not a column of a {form.kind.kind}; {hint}"
                if hint
                else f"{shown(header)} is not a column of a {form.kind.kind}{nearest(name, known)}; it reads {listed(map(words_of, known))}",
            )
            continue
        if name in found:
            faults.add(place, f"{shown(header)} stands twice (columns {found[name].place + 1} and {k + 1}); keep one")
            continue
        if is_pressure(name) and absolute is None:
            faults.add(
                place,
                f"{shown(header)} does not say from which zero: write 'gauge pressure [{parted[2]}]' or 'absolute pressure [{parted[2]}]'",
            )
            continue
        if not is_pressure(name) and absolute is not None:
            faults.add(
                place,
                f"{shown(header)}: gauge and absolute belong to a pressure; write '{words_of(name)} [{parted[2]}]'",
            )
            continue
        try:
            scale = unit_scale(parted[2], _unit(form, name, reads))
        except DataError as error:
            faults.add(place, f"{shown(header)}: {error}")
            continue
        if absolute:
            scale = scale._replace(offset=scale.offset - Fraction(ATMOSPHERE if ambient is None else ambient))
        if name == "uncertainty":
            scale = scale._replace(offset=Fraction(0))
        found[name] = Column(name, k, header, scale)
    return found


def _unit(form, name, reads):
    if name == "relative_uncertainty":
        return "-"
    return form.quantity(reads if name == "uncertainty" else name).unit


def _name(words):
    return re.sub(r"[\s_-]+", "_", words.strip().lower())


def _pressure_name(name):
    """Return the name without gauge or absolute, and whether it is absolute (None where it does not say)."""
    parts = [part for part in re.split(r"[,_]+", name) if part]
    says = [part for part in parts if part in ("gauge", "absolute")]
    if len(says) != 1:
        return name, None
    return "_".join(part for part in parts if part not in says), says[0] == "absolute"


def _ways(form, columns, table, file, faults):
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
            missing = [name for name in (given[0].inputs if given[0] else ()) if name not in columns]
            for name in missing:
                faults.add(
                    place, f"the column {words_of(name)} is missing; with the others it gives the {words_of(target)}"
                )
            ways[target] = given[0]
        elif item.required:
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
    value = column.scale.to_si(decimal_number(plain))
    if not np.isfinite(value):
        raise DataError(f"{shown(cell)} is too large for a number")
    return value, side


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
