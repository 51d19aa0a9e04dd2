"""A number as it is typed into a page, with a decimal point or comma and its unit or none, to the number in the unit of its place."""

import math
import re
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from ...errors import DataError
from ...nomenclature import SI_UNIT, measure, or_, with_unit
from ...reading.faults import shown
from ...reading.gauges import bore_of
from ...reading.misread import ungrouped, with_points, with_tens
from ...reading.stated import NUMBER
from ...units import mm, unit_scale

LONGEST = 60  # characters
_TYPED = re.compile(
    r"([+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?)(?!\s*(?!1 ?/ ?[A-Za-z])[0-9.,']|[eE][+-]?[0-9])(.*)",
    re.S,
)
_TWO_WAYS = re.compile(r"([+-]?[1-9][0-9]{0,2}),([0-9]{3})(?!\s*[0-9.,'])(.*)", re.S)
_ALONE = re.compile(rf"{NUMBER}(?!\s*[0-9.,'])")
_SPELT = {"× fitted": "-", "1/s": "s-1", "g/(m²·h)": "g m-2 h-1", "10⁻¹⁰ m²/s": "m2/s"}  # as `rheokit.units` reads them
_TENS = {"10⁻¹⁰ m²/s": Decimal("1e10")}  # so many of it make one of what it is spelt


class Refused(DataError):
    """What is typed cannot be the number of its place; `why` goes without naming the place."""

    def __init__(self, where, why):
        super().__init__(f"{where}: {why}")
        self.why = why


def unit_of(words):
    """Return the unit that the words of a field or column name in brackets; None where they name none."""
    found = re.search(r"\[([^\]]*)\]", words)
    return found and found[1]


def _plain_text(text):
    """Return a text with plain spaces, hyphens and powers of ten."""
    return with_tens(re.sub(r"\s", " ", text).strip().replace("−", "-"))


def with_its_unit(text, unit):
    """Return what was typed at a place of a unit as it reads elsewhere too: as it was typed, a number alone with that unit."""
    text = _plain_text(text)
    found = _TYPED.fullmatch(text)
    if not found:
        return text
    number, beside = found[1], found[2].strip()
    pointed = number.replace(",", ".")
    if unit in _TENS and not beside:
        return f"{Decimal(pointed) / _TENS[unit]} {_SPELT[unit]}"
    if with_points(number) != pointed:  # ",5" is taken by fields only
        number = pointed
    if beside:
        return text if number == found[1] else f"{number} {beside}"
    return number if unit in (None, "-", "× fitted") else f"{number} {unit}"


def as_in_field(text, unit):
    """Return what stands elsewhere as a field shows it: in the unit of the field the number alone."""
    found = _TYPED.fullmatch(text)
    if found and found[2].strip() in (unit, _SPELT.get(unit)) and unit not in _TENS:
        return found[1]
    if unit not in _TENS or not text:
        return text
    try:
        return plain(number_typed(text, "", unit), 10)
    except Refused:  # which the field says
        return text


def plain(value, digits=6):
    """Return a number as a field holds it: without an exponent where that can be."""
    text = f"{value:.{digits}g}"
    return f"{value:.0f}" if "e" in text and 1 <= abs(value) < 1e12 else text


class Bounds(NamedTuple):
    """From the least to the most that a number can be; `or_0`: it can be 0 as well, which means that there is none."""

    low: float = -math.inf
    high: float = math.inf
    or_0: bool = False

    def hold(self, value):
        """Return whether a number can be."""
        return self.low <= value <= self.high or (self.or_0 and value == 0)

    def words(self, unit):
        """Return both bounds with their unit."""
        ends = " to ".join(with_unit(plain(end), unit) for end in (self.low, self.high))
        return f"{'0, or ' if self.or_0 else ''}{ends}"


FREE = Bounds()


def number_typed(text, where, unit, example="1.05", bounds=FREE):
    """Return the number that is typed at a place, in its unit, as the nearest float.

    The text is as typed: "10.5", "10,5", "10.5 mm", "1,05 cm", of a bore a needle by its gauge too, "20G"; where the unit of the
    place is None, the number stands alone. The example is a number that could be typed.

    Raises
    ------
    Refused
        With what is typed, why that is no number of the place, and what to write.
    """
    typed, such = _plain_text(text), _such(example, unit)
    if not typed:
        raise Refused(where, f"is empty; type a number such as {example}.")
    if len(typed) > LONGEST:
        raise Refused(where, f"a text of {len(typed)} characters is not a number that can be used; {such}.")
    if unit == "mm" and where.startswith("bore at the tip") and (named := _needle(typed, where)):
        return named
    if two := _TWO_WAYS.fullmatch(typed):
        whole, rest, after = two.groups()
        either = " or ".join(f"{number}{after}" for number in (f"{whole}.{rest}", f"{whole}{rest}"))
        raise Refused(where, f"{shown(text)} can be {either}; write {either}.")
    found = _TYPED.fullmatch(typed)
    if not found:
        together = _ALONE.match(ungrouped(typed))
        hint = f"write {together[0]}" if together else such
        raise Refused(where, f"{shown(text, 30)} is not a number; {hint}.")
    beside = found[2].strip()
    if beside.startswith(("±", "+-", "+/-")):
        raise Refused(where, f"{shown(text, 30)}: an uncertainty has no place here; type the number alone.")
    number = Decimal(found[1].replace(",", "."))
    value = _scaled(number, beside, where, unit, text, such)
    if bounds is not FREE and not bounds.hold(value):
        is_ = f" is {with_unit(plain(value), unit)}, which" if beside and math.isfinite(value) else ""
        raise Refused(where, f"{shown(text, 30)}{is_} is out of bounds; type {bounds.words(unit)}.")
    if math.isinf(value) or (number and not value):
        size = "great" if value else "small"
        raise Refused(where, f"{shown(text, 30)} is too {size} to be computed with; {such}.")
    return value


def _needle(typed, where):
    """Return the nominal bore [mm] of a needle that is named by its gauge, None where none is."""
    try:
        needle = bore_of(typed)
    except DataError as error:
        raise Refused(where, str(error)) from None
    return needle and needle.bore / mm


def _such(example, unit):
    if unit in _TENS:
        return f"type one such as {example}, or with its unit: {plain(float(Decimal(example) / _TENS[unit]), 3)} {_SPELT[unit]}"
    more = f", or with its unit: {example} {unit}" if unit not in (None, "-") else "" if unit else ", without a unit"
    return f"type one such as {example}{more}"


def _scaled(number, typed, where, unit, text, such):
    """Return a `Decimal` of the unit that was typed beside it as a float of the unit of its place."""
    if not typed or typed == unit:
        return float(number)
    if unit is None:
        raise Refused(where, f"{shown(text, 30)}: no unit goes here; type the number alone.")
    if not any(letter.isalpha() or letter in "%°" for letter in typed) and typed != "-":
        raise Refused(where, f"{shown(text, 30)} is not a number; {such}.")
    go = "no unit, or %" if unit in ("-", "× fitted") else or_(measure(SI_UNIT.get(unit, unit)).typed)
    try:
        scale = _scale(typed, _SPELT.get(unit, unit))
        return scale.to_si(number * _TENS.get(unit, 1))
    except Exception as error:  # of the many kinds that an unknown unit raises
        raise Refused(where, f"{shown(text, 30)}: {shown(typed, 20)} is no unit that goes here; write {go}.") from error


@cache
def _scale(typed, unit):
    return unit_scale(typed, unit)
