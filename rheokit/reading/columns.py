"""The cells of a table to the columns of a bench test, in SI: headers, units, bounds, and every cell that is no number."""

import re
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..nomenclature import si_unit_meaning
from ..units import unit_scale
from .faults import listed, shown
from .forms import UNCERTAINTIES
from .guards import doubt
from .headers import is_pressure, read_headers, words_of
from .stated import LEAST, LONGEST_NUMBER, MOST, decimal_number, si_value
from .tables import WITHIN, Table

MOST_FAULTS = 20_000  # faults of one file after which no more are looked for
BLOCK = 5000  # rows whose cells are held at once
DIGITS = set("0123456789.+-eE")
IS_BOUND = re.compile(r"[<>≤≥]=?\s*[-+.,0-9]")
BOUNDS = {"<=": -1, "<": -1, "≤": -1, ">=": 1, ">": 1, "≥": 1}


class Typed(NamedTuple):
    """The columns of a file in SI, and how each column of the record is had from them.

    `ways` maps a column of the record that does not stand in the file itself to the `Way` that computes it.
    """

    table: Table
    columns: dict
    values: dict
    censored: np.ndarray
    ways: dict

    def given(self):
        """Return the dimensions that the ways need."""
        return {name for way in self.ways.values() for name in way.given}

    def inputs(self):
        """Return the names of the columns that give one of the record, by its name."""
        return {target: tuple(way.inputs) for target, way in self.ways.items()}


def read_columns(form, table, file, reads, faults, ambient=None, unusual=()):
    """Return the `Typed` columns of a table; what is wrong goes to `faults`, under the name of the file.

    The column that was read, `reads`, alone may hold bounds such as ``<2``. `ambient` is the pressure of the air around [Pa],
    taken off absolute pressures; values of `unusual` names are not checked for being likely.
    """
    columns, meant = read_headers(form, table, file, reads, faults, ambient)
    ways = _ways(form, columns, meant, table, file, faults)
    first = reads if reads in columns or reads not in ways else next(iter(ways[reads].inputs))
    if not len(table.rows):
        told = "there are headers but no readings; type them below, one row a reading"
        faults.add(f"{file}, row {table.header_row}", told)
    values = {name: np.full(len(table.rows), np.nan) for name in columns}
    censored = np.zeros(len(table.rows), int)
    before = len(faults)
    for begin in range(0, len(table.rows), BLOCK):
        block = slice(begin, begin + BLOCK)
        rows = table.rows[block]
        others = [c for c in columns.values() if not _plain(form, c, rows, table, values[c.name][block], unusual)]
        for k, row in enumerate(rows, begin):
            if len(faults) - before > MOST_FAULTS:
                faults.stopped.add(file)
                return Typed(table, columns, values, censored, ways)
            if wrong := _wrong_count(row, table):
                faults.add(f"{file}, row {row.number}", wrong)
                continue
            for column in others:
                cell, name = row.cells[column.place], column.name
                try:
                    values[name][k], side = _cell(cell, column, table.decimal, name == first)
                    censored[k] = side or censored[k]
                    if why := _wrong_value(form, column, values[name][k], censored[k], name in unusual):
                        how = "leave the row out with rows = in its [[test]]" if table.own else "take the row out"
                        raise DataError(shown(cell) + why.replace("take the row out", how))
                except DataError as error:
                    faults.add(f"{file}, row {row.number}, {table.place(column, row.number)}", str(error))
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
        swap = str.maketrans(",.", ".,")  # a point that stands there becomes a comma, which is no digit
        cells = [cell.translate(swap) for cell in cells]
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
    if any(_wrong_value(form, column, end, expected=column.name in unusual) for end in (found.min(), found.max())):
        return False
    values[:] = found
    return True


def _ways(form, columns, meant, table, file, faults):
    """Return the `Way` that gives each column that does not stand in the file; what is missing goes to the faults."""
    ways, wrong = {}, []
    for target, item in form.columns.items():
        begun = [way for way in form.ways.get(target, ()) if columns.keys() & way.inputs.keys()]
        names, words = form.names_for(target), words_of(target)
        if len(begun) + (target in columns) > 1:
            given = listed(words_of(name) for name in form.header_names() if name in columns and name in names)
            wrong.append(f"{words} is given in more than one way ({given}); keep one")
        elif begun:
            ways[target] = begun[0]
            missing = [words_of(name) for name in begun[0].inputs if name not in columns and name not in meant]
            wrong += [f"the column {name} is missing; with the others it gives the {words}" for name in missing]
        elif item.required and target not in columns and not meant & {*names}:
            how = "name it in columns" if table.own else f"add one, {si_unit_meaning(item.quantity.unit)}"
            names_told = " or ".join(form.in_words(target, words_of))
            meaning = "" if item.quantity.meaning == names_told else f": {item.quantity.meaning}"
            wrong.append(f"no column {names_told}{meaning}; {how}")
    for words in wrong:
        faults.add(f"{file}, row {table.header_row}", words)
    return ways


def bound_of(cell):
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
            told = "has a point where this file has decimal commas; write a comma, and no thousands"
            raise DataError(f"{shown(cell)} {told}")
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


def _wrong_value(form, column, value, side=0, expected=False):
    """Return what is wrong with the SI value of a cell, which is a bound on a side of 1 or -1; nothing where it is likely, or `expected`."""
    if value == 0 and column.name in form.divisors():
        return ": nothing can be divided by 0; correct it, or take the row out"
    item, scale = form.columns.get(column.name), column.scale
    if value < 0 and (item is None or item.positive):
        wrong = "is negative"
        if is_pressure(column.name) and scale.offset:
            ambient = f"{float(-scale.offset / scale.factor):g} {scale.text}"
            wrong = f"lies below the ambient pressure of {ambient} (absolute and gauge mixed up?)"
        return f" {wrong}; correct it, or take the row out"
    if expected:
        return ""
    if "uncertainty" in column.name and value == 0:
        return ": an uncertainty of nothing; give the real one, or take the column out"
    own = None if column.name in UNCERTAINTIES or column.name not in form.header_names() else form.quantity(column.name)
    why = "" if side and value == 0 else doubt(column.name, value, own)
    return f" {why}" if why else ""
