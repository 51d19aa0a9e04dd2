"""How a number is written for a reader: in a unit of the bench, rounded to what is known of it.

5 kPa, and never 5e+03 Pa. Where an interval is known, value and limits have the same decimals, so that the standard
uncertainty keeps one or two digits (two where it begins with 1 to 3.5; JCGM 100:2008, 7.2.6 asks for two at the most, and
the rule of the Particle Data Group says when); a value beside its standard uncertainty ends with the same digit (`with_uncertainty`);
else three digits are written. What is data, and what somebody typed, is
written elsewhere and not rounded.
"""

import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from decimal import Decimal
from typing import SupportsFloat

from .measures import SI_UNIT, Unit, measure
from .quantity import Quantity
from .table import QUANTITIES

FACTORS = 10.0
"""Limits that are further apart than this factor are known by their logarithm: each gets two digits of its own."""

EXACT = 1e-6
"""A limit that is nearer to its value than this share of it is the value, but for rounding."""

LARGE = 1e7
"""Numbers are written with a power of ten from here on: 210000 Pa·sⁿ has no larger unit."""


_DECIMALS = re.compile(r"(?<![\w.])[0-9]+(?:\.[0-9]+)+")
_MARK: ContextVar[str] = ContextVar("what stands between a number and its decimals", default=".")


def decimal_mark() -> str:
    """Return what stands between a number and its decimals: a point, unless `with_comma` says otherwise."""
    return _MARK.get()


@contextmanager
def with_comma() -> Iterator[None]:
    """Write numbers with a decimal comma inside: 5,2 kPa. What somebody typed, versions and the numbers of files stay as they are."""
    token = _MARK.set(",")
    try:
        yield
    finally:
        _MARK.reset(token)


def marked(words: str) -> str:
    """Return a sentence or formula of ours, which stands fixed in the program, with the decimal mark of the others; never what somebody typed.

    >>> with with_comma():
    ...     marked("stands 1.6 times as high; 0.65 (1 + 0.55 α); version 0.1.0")
    'stands 1,6 times as high; 0,65 (1 + 0,55 α); version 0.1.0'
    """
    mark = decimal_mark()
    return _DECIMALS.sub(lambda found: found[0] if found[0].count(".") > 1 else found[0].replace(".", mark), words)


def number(value: SupportsFloat, digits: int = 3) -> str:
    """Return a number with few digits; words for what is not one."""
    return _number(value, digits).replace(".", decimal_mark())


def _number(value, digits=3):
    if value is None or math.isnan(value):
        return "-"
    if math.isinf(value):
        return "no limit"
    value = float(value) + 0.0  # and no -0
    if value != 0 and not 1e-3 <= abs(value) < LARGE:
        return f"{value:.{digits - 1}e}"
    rounded = f"{value:.{digits}g}"
    return f"{float(rounded):g}" if "e" in rounded else rounded  # 1070, not 1.07e+03


def with_decimals(value: SupportsFloat, places: int | None = None, sign: bool = False) -> str:
    """Return a number with so many decimals, or as short as it is; with its sign where asked, and none where it is 0 as written."""
    shape = ("+z" if sign else "z") + ("g" if places is None else f".{places}f")
    text = format(float(value), shape)
    return (text.lstrip("+") if float(text) == 0 else text).replace(".", decimal_mark())


def numbers(value: float, low: float, high: float) -> tuple[str, ...]:
    """Return a value and the limits of its 95 % interval as texts with the same decimals, what the interval deserves."""
    return tuple(one.replace(".", decimal_mark()) for one in _numbers(value, low, high))


def _numbers(value, low, high):
    ends = (value - low, high - value) if math.isfinite(value) else ()  # an endless value has no width
    sides = [side for side in ends if EXACT * abs(value) < side < math.inf]
    known = [one for one in (value, low, high) if math.isfinite(one)]
    wide = math.isfinite(high) and 0 < low < high / FACTORS
    if not sides or wide:
        return tuple(_number(one, 2 if wide else 3) for one in (value, low, high))
    places = _places(sum(sides) / len(sides) / 2)
    texts = [f"{round(one, places):.{max(places, 0)}f}" if one else "0" for one in known]
    lost = any(one and not float(text) for one, text in zip(known, texts, strict=True))
    largest = max(map(abs, known))
    if lost or places > 6 or largest >= LARGE:
        digits = math.floor(math.log10(largest)) + places + 1  # which leave the decimals that the interval deserves
        return tuple(_number(one, max(2, digits)) for one in (value, low, high))
    written = dict(zip(known, texts, strict=True))
    return tuple(written.get(one) or _number(one) for one in (value, low, high))


def with_uncertainty(value: float, uncertainty: float) -> tuple[str, str]:
    """Return a value and its standard uncertainty as texts: the value ends with the digit that the uncertainty ends with.

    The uncertainty keeps two digits at the most, as short as it is (JCGM 100:2008, 7.2.6, from memory). Without one the value keeps its three.

    Examples
    --------
    >>> with_uncertainty(1173.0, 6.0), with_uncertainty(26.7, 0.05)
    (('1173', '6'), ('26.70', '0.05'))
    """
    if not (math.isfinite(value) and 0 < uncertainty < math.inf):
        return number(value), number(uncertainty)
    size = f"{uncertainty:.2g}"
    places = max(0, -int(Decimal(size).normalize().as_tuple().exponent))
    if places > 6 or max(abs(value), uncertainty) >= LARGE:
        return number(value, 6), number(uncertainty, 2)
    if round(value, places) == 0 and value:
        return number(value), number(uncertainty, 2)
    return with_decimals(value, places), with_decimals(float(size), places)


def _places(uncertainty):
    """Return the decimals at which a standard uncertainty keeps one or two digits; negative: tens, hundreds."""
    first = math.floor(math.log10(uncertainty))
    lead = uncertainty / 10.0**first
    return (1 if lead < 3.55 or lead >= 9.5 else 0) - first - (lead >= 9.5)


def unit_for(of: str | Quantity, *values: SupportsFloat) -> Unit:
    """Return the `Unit` in which SI values of a quantity are written: its customary one, else by the largest of them.

    Parameters
    ----------
    of : str or Quantity
        A name of the nomenclature, a quantity, or a unit.
    values : float
        [SI]
    """
    about = _quantity(of)
    units = measure(about.unit).units
    if about.customary:
        return next(one for one in units if one.text == about.customary)
    size = max((abs(float(one)) for one in values if math.isfinite(one)), default=0.0)
    shown = [one for one in units if one.least < math.inf]
    if not shown:
        return Unit(about.unit, 1.0)
    fitting = [one for one in shown if one.least <= size * (1 + 1e-9)] if size else shown[:1]
    return max(fitting or shown, key=lambda one: one.least if fitting else -one.least)


def _quantity(of):
    """Return what a name of the nomenclature, a quantity or a unit asks to be written as."""
    if isinstance(of, Quantity):
        return of
    if of in QUANTITIES:
        return QUANTITIES[of]
    si = SI_UNIT.get(of, of)
    return Quantity("", si, "", customary="" if si == of else of)


def with_unit(text: str, unit: str) -> str:
    """Return the text of a number with that of its unit."""
    return text if unit in ("", "-", None) or not text[-1:].isdigit() else f"{text}{'' if unit == '°' else ' '}{unit}"


UNSEEN = {"m": 1e-9, "s": 1e-6}
"""Lengths and times, by their SI unit, below which nobody measures any on a bench: they are written as 0."""


def _seen(value, unit):
    return 0.0 if abs(value) < UNSEEN.get(unit, 0.0) else value


def written(value: SupportsFloat, of: str | Quantity = "-", digits: int | None = None) -> str:
    """Return an SI value with a unit of the bench, such as 5 kPa.

    Parameters
    ----------
    value : float
        [SI]
    of : str or Quantity
        A name of the nomenclature, a quantity, or a unit: one of SI, whose multiple is chosen by size, or the one to use.
    digits : int, optional
        Significant digits; by default those of the quantity.
    """
    value = float("nan") if value is None else _seen(float(value), _quantity(of).unit)
    unit = unit_for(of, value)
    return with_unit(number((value - unit.zero) / unit.factor, digits or _quantity(of).digits), unit.text)


def common_unit(of: str | Quantity, *values: SupportsFloat) -> Unit:
    """Return the `Unit` in which SI values stand side by side: that of their geometric mean."""
    sizes = [abs(float(one)) for one in values if one and math.isfinite(one)]
    return unit_for(of, math.exp(sum(map(math.log, sizes)) / len(sizes)) if sizes else 0.0)


def alike(of: str | Quantity, *values: SupportsFloat) -> tuple[str, ...]:
    """Return SI values to be compared, each as `written` but all in one unit: 1500 kPa beside 400 kPa."""
    unit, digits = common_unit(of, *values), _quantity(of).digits
    return tuple(with_unit(number((float(one) - unit.zero) / unit.factor, digits), unit.text) for one in values)


def between(low: SupportsFloat, high: SupportsFloat, of: str | Quantity = "-", digits: int | None = None) -> str:
    """Return two SI values as a range in one unit of the bench, such as 0.05 to 10 mm; parameters as for `written`."""
    low, high = float(low), float(high)
    unit = unit_for(of, low, high)
    if 0 < low < 0.1 * unit.factor and unit_for(of, low) != unit:
        return f"{written(low, of, digits)} to {written(high, of, digits)}"
    ends = [number((end - unit.zero) / unit.factor, digits or _quantity(of).digits) for end in (low, high)]
    return f"{ends[0]} to {with_unit(ends[1], unit.text)}"


def cells(value: float, low: float, high: float, of: str | Quantity | Unit = "-") -> tuple[str, ...]:
    """Return an SI value and its limits as the cells of a table: value, "low to high", unit; rounded as `numbers` does."""
    if not isinstance(of, Unit):
        value, low, high = (_seen(float(one), _quantity(of).unit) for one in (value, low, high))
    largest = value if math.isfinite(value) else max(abs(low), abs(high))
    unit = of if isinstance(of, Unit) else unit_for(of, largest)
    text, least, most = numbers(*((float(one) - unit.zero) / unit.factor for one in (value, low, high)))
    return text, f"{least} to {most}", unit.text


def with_limits(value: float, low: float, high: float, of: str | Quantity | Unit = "-", before: str = "95 % ") -> str:
    """Return an SI value with the limits of its interval, such as 5.2 kPa (95 % 4.8 to 5.6 kPa); alone where it has none."""
    if not low < high and not isinstance(of, Unit):
        return written(value, of)
    text, limits, unit = cells(value, low, high, of)
    return f"{with_unit(text, unit)} ({before}{with_unit(limits, unit)})"
