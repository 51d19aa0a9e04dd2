"""Where the table stands in a file of which nothing is known: the header row above the most rows of numbers."""

from typing import NamedTuple

from .export_heads import MISSING
from .export_numbers import REAL, looks_like_number
from .export_units import measure_of, plain_unit, splits, sure_unit

SEARCHED = 4000  # rows in which it is looked for
ABOVE = 3  # rows above the first numbers among which header and units are looked for
COMMON = (
    "1/s",
    "Pa",
    "N",
    "K",
    "s",
    "Pa·s",
    "m",
    "m³/s",
)  # measures of a unit that stands behind words without any sign


class Found(NamedTuple):
    """A table: the sign that parts its cells, place and cells of its header row, place of the row of units, units, numbers."""

    sign: str
    at: int
    cells: tuple
    unit_row: int | None
    units: tuple
    numeric: frozenset

    def header(self, place):
        """Return the words of a header as they stand in the file."""
        return self.cells[place].lstrip(REAL)

    def is_read(self, place):
        """Say whether numbers stand below a header."""
        return place in self.numeric and bool(self.header(place))


def found_table(lines):
    """Return the `Found` table of a file, None where there is none."""
    best, most = None, 0
    for sign in lines.signs:
        rows = [lines.cells(at, sign) for at in range(min(len(lines.texts), SEARCHED))]
        table, count = None, 0
        for begun, end, columns in _stretches(rows):
            found = _above(rows, sign, begun, columns)
            if found and not (table and found.cells == table.cells):
                table, count = found, 0
            count += (end - begun) * len(
                columns
            )  # below a remark, or the same headers again, they count with the first ones
            if table and count > most:
                best, most = table, count
    return best


def _stretches(rows):
    """Return begin, end and the places of numbers of each stretch of rows of numbers."""
    begun, columns = None, frozenset()
    for at in range(len(rows) + 1):
        numbers = _numbers(rows[at]) if at < len(rows) else frozenset()
        if len(numbers) >= 2:
            begun, columns = (at, numbers) if begun is None else (begun, columns | numbers)
        elif begun is not None:
            yield begun, at, columns
            begun = None


def _numbers(cells):
    """Return the places of the numbers of a row, none where texts are more."""
    numbers = frozenset(k for k, cell in enumerate(cells) if looks_like_number(cell))
    return numbers if 2 * len(numbers) >= sum(map(bool, cells)) else frozenset()


def _above(rows, sign, begun, columns):
    """Return the table whose first row of numbers is given, None where no header stands above."""
    unit_row = None
    for at in range(begun - 1, max(begun - 1 - ABOVE, -1), -1):
        cells = rows[at]
        held = [cell for cell in cells if cell]
        if unit_row is None and sum(bool(measure_of(cell)) for cell in held) * 2 > len(held):
            unit_row = at
            continue
        if len(_numbers(cells)) >= 2:
            return None
        if len({cells[k] for k in columns if k < len(cells)} - MISSING) < 2:
            continue
        below = rows[unit_row] if unit_row is not None else ()
        units = tuple(_unit(cell, below[k] if k < len(below) else "") for k, cell in enumerate(cells))
        return Found(sign, at, cells, unit_row, units, frozenset(columns))
    return None


def _unit(header, below):
    """Return the unit of a column: of its header where it is marked, of the row of units, or what stands behind the words."""
    header = header.lstrip(REAL)
    if marked := sure_unit(header) or (below if measure_of(below) else ""):
        return plain_unit(marked)
    behind = [unit for _, unit in splits(header) if measure_of(unit) in COMMON]
    return plain_unit(max(behind, key=len, default=""))  # 1/s and not the s behind the stroke
