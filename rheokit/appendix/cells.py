"""Numbers as cells of a table: each with the value that a file holds, in the unit of its column or row."""

import math
from collections.abc import Iterable

from .. import nomenclature
from ..nomenclature import common_unit, decimal_mark, number, numbers, unit_for
from ..nomenclature.measures import Unit
from ..nomenclature.quantity import Quantity
from .document import Cell, Shown

NOT_KNOWN = "not known"
NOT_STATED = "not stated"
NO_LIMITS = "-"
"""Of a value that is taken as exact, or of which no interval is known."""


def in_unit(value: float | None, unit: Unit, digits: int = 3) -> Cell:
    """Return an SI value as a cell in a unit; "not known" where it is none."""
    if value is None or math.isnan(value):
        return NOT_KNOWN
    own = (float(value) - unit.zero) / unit.factor
    return Shown(own, number(own, digits))


def exactly(value: float) -> Shown:
    """Return a number that is exact by definition, such as a factor of a unit, with all its digits."""
    text = f"{value:.12g}".replace(".", decimal_mark())
    return Shown(float(value), text)


def kept(value: float, digits: int = 3) -> Shown:
    """Return a number of a column with so many significant digits, zeros at its end among them."""
    text = f"{value:#.{digits}g}"
    if "e" in text or not math.isfinite(value) or value == 0:
        return Shown(value, number(value, digits))
    return Shown(value, text.rstrip(".").replace(".", decimal_mark()))


def in_column(of: str | Quantity, values: Iterable[float | None]) -> tuple[list[Cell], str]:
    """Return SI values of one quantity as cells of a column, and the text of the unit they all have."""
    values = list(values)
    unit = common_unit(of, *(one for one in values if one is not None))
    return [in_unit(one, unit) for one in values], unit.text


def alone(value: float | None, of: str | Quantity) -> tuple[Cell, str]:
    """Return an SI value as a cell in a unit of its own size, and the text of that unit."""
    unit = unit_for(of, 0.0 if value is None else value)
    return in_unit(value, unit), unit.text


def with_limits(value: float, low: float, high: float, of: str | Quantity | Unit) -> tuple[Cell, Cell, Cell, str]:
    """Return an SI value and its two limits as cells with the decimals that the interval deserves, and the unit they have."""
    largest = (
        value if math.isfinite(value) else max((abs(one) for one in (low, high) if math.isfinite(one)), default=0.0)
    )
    unit = of if isinstance(of, Unit) else unit_for(of, largest)
    own = [(float(one) - unit.zero) / unit.factor for one in (value, low, high)]
    texts = numbers(*own)
    cells: list[Cell] = [
        NOT_KNOWN if math.isnan(one) else Shown(one, text) for one, text in zip(own, texts, strict=True)
    ]
    if low == high and math.isfinite(value):
        cells[1:] = [NO_LIMITS, NO_LIMITS]
    return cells[0], cells[1], cells[2], unit.text


def with_uncertainty(value: float, uncertainty: float) -> tuple[Cell, Cell]:
    """Return a number and its standard uncertainty, in one unit, as cells of which both end with the same digit."""
    texts = nomenclature.with_uncertainty(value, uncertainty)
    return Shown(value, texts[0]), Shown(uncertainty, texts[1])


def headed(words: str, unit: str) -> str:
    """Return a heading with its unit, as every column of numbers has it."""
    return f"{words} [{unit}]" if unit else words


def stopped(words: str) -> str:
    """Return words with one full stop at their end: names of files stay as they are."""
    return f"{words.strip().rstrip('.')}." if words.strip() else ""


def as_told(origin: str) -> str:
    """Return an origin in words for a reader: what the specimen is stated to have was measured by no test of its bench.

    >>> as_told("measured: stated of the specimen"), as_told("measured: cup density")
    ('stated of the specimen', 'measured: cup density')
    """
    return origin.removeprefix("measured: ") if origin.startswith("measured: stated of") else origin


def counted(count: int, one: str, more: str = "") -> str:
    """Return a number of things in words: 1 reading, 3 readings."""
    return f"{count} {one if count == 1 else more or f'{one}s'}"
