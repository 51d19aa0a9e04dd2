"""Numbers as they are typed: ``26.70 ± 0.05 mm`` to an SI value with its standard uncertainty, and back."""

import re
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from ..errors import DataError
from ..nomenclature import example
from ..units import Scale, holds_share, unit_scale, without_brackets
from .faults import shown
from .gauges import bore_of
from .misread import has_typographic_minus, is_broken, is_range, ungrouped, with_points, with_tens

NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_UNIT = r"(?<=\s)1/[a-z]+|[^0-9±+\s-][^±]*?|-"  # the first of a rate, 10 1/s
_STATED = re.compile(
    rf"\s*\(?\s*(?P<value>{NUMBER})\s*(?P<unit1>{_UNIT})?\s*"
    rf"(?:(?:±|\+-|\+/-)\s*(?P<spread>{NUMBER})\s*\)?\s*(?P<unit2>{_UNIT})?)?\s*"
)
LONGEST_NUMBER = 60
LEAST, MOST = 1e-30, 1e30  # sizes in SI that no number of a bench falls short of or exceeds, unless it is 0


class Stated(NamedTuple):
    """A number with unit as it was typed.

    SI value, standard uncertainty in SI or None, the scale of its unit, the text, the uncertainty as a share where it was
    typed in %, and what a reader is told of a value that was looked up.
    """

    value: float
    uncertainty: float | None
    scale: Scale
    text: str
    share: float | None = None
    looked_up: str = ""

    def spread_as(self, usual):
        """Return the standard uncertainty that a record takes from it, the usual one where none was stated."""
        if self.uncertainty is None:
            return usual.value
        if not usual.share:
            return self.uncertainty
        return self.uncertainty / self.value if self.share is None else self.share


def si_value(number, scale, text=None):
    """Return the SI value of a number in the unit of a scale; `DataError` where no bench has one so large or small."""
    told, number = shown(number if text is None else text), Decimal(number)
    if not number.is_finite():
        raise DataError(f"{told} is not a finite number")
    size = abs(scale.without_offset.to_si(number))
    if number and not LEAST <= size <= MOST:
        raise DataError(f"{told} is too {'small' if size < LEAST else 'large'} for a number of a bench; correct it")
    return scale.to_si(number)


def decimal_number(text):
    """Return a plain number as a `Decimal`; `DataError` with what is wrong and what to write."""
    plain = text.strip()
    if len(plain) <= LONGEST_NUMBER and re.fullmatch(NUMBER, plain):
        return Decimal(plain)
    if not plain:
        raise DataError("is empty; fill it in, or leave the row out")
    if plain.lower().lstrip("+-") in ("nan", "inf", "infinity", "n/a", "na", "none", "null"):
        raise DataError(f"{shown(plain)} is not a number; leave out rows that were not read")
    if is_range(plain):
        raise DataError(f"{shown(plain)} is a range, not a number; write the one number that was read")
    if has_typographic_minus(plain):
        raise DataError(f"{shown(plain)} has a typographic minus; type the hyphen -")
    if re.fullmatch(NUMBER, plain):
        raise DataError(f"{shown(plain)} is a number of {len(plain)} characters; {LONGEST_NUMBER} at most: round it")
    if len(plain) > LONGEST_NUMBER:
        raise DataError(f"{shown(plain)} is not a number but a text of {len(plain)} characters; correct it")
    if re.fullmatch(NUMBER, together := ungrouped(plain)):
        has = "spaces" if re.search(r"\s", plain) else "marks"
        raise DataError(f"{shown(plain)} has {has} inside; write {together}")
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", plain):
        raise DataError(f"{shown(plain)} has a comma; write {plain.replace(',', '.')} if it is a decimal comma")
    raise DataError(f"{shown(plain)} is not a number; write digits with a decimal point, such as 40.1")


def stated_number(given, si_unit, name="", by_gauge=False, difference=False, such=""):
    """Return a `Stated` from a value of bench.toml: a quoted number with unit, or a plain number where there is no unit.

    Nothing of it (0) needs no unit, but for a temperature, whose zero is one of its unit. `by_gauge` says that a needle may be
    named instead, such as 18G; `difference` that no zero is meant: 0.2 °C are 0.2 K.
    `DataError` with what is wrong and what to write, such as `such`, else the example of the name or of the unit.
    """
    such = such or example(si_unit, name)
    if isinstance(given, bool) or not isinstance(given, (str, int, Decimal)):
        raise DataError(f"{shown(given)} is not a number with its unit in quotes, such as {such}")
    if not isinstance(given, str):
        if si_unit != "-" and not _is_nothing(given, si_unit, difference):
            raise DataError(f"{given} has no unit; write it in quotes with its unit, such as {such}")
        scale = Scale(si_unit, Fraction(1))
        return Stated(si_value(given, scale), None, scale, str(given))
    if not given.strip():
        raise DataError(f"'' is still to be filled in, such as {such}")
    if by_gauge and (needle := bore_of(given)):
        return Stated(needle.bore, needle.uncertainty, unit_scale("mm", "m"), given.strip(), looked_up=needle.words)
    plain = without_brackets(with_points(with_tens(given))) if len(given) <= LONGEST_NUMBER else given
    found = _STATED.fullmatch(plain) if len(given) <= LONGEST_NUMBER and not re.search("[0-9],[0-9]", plain) else None
    if not found or is_range(given) or is_broken(plain) or ungrouped(plain):
        raise DataError(_not_understood(given, such))
    value, spread, first, second = found["value"], found["spread"], found["unit1"] or "", found["unit2"] or ""
    if mixed := holds_share(first) or holds_share(second):
        raise DataError(f"{shown(given)} {_share_beside_unit(mixed, value, spread, first, second)}")
    unit = first.strip(" )") or ("" if spread and second.strip() == "%" and si_unit != "-" else second.strip())
    if not unit and spread is None and _is_nothing(Decimal(value), si_unit, difference):
        return Stated(0.0, None, Scale(si_unit, Fraction(1)), given.strip())
    if not unit and si_unit != "-":
        own = re.sub(r"^[0-9.]+ (?:± [0-9.]+ )?", "", such.strip('"'))
        after = "%" if second else own
        where = f"write it, such as '{value} {own} ± {spread} {after}'" if spread else f"write e.g. {such}"
        raise DataError(f"{shown(given)} has no unit; {where}")
    scale = unit_scale(unit or "-", si_unit)
    scale = scale.without_offset if difference else scale
    middle = si_value(Decimal(value), scale, given)
    if spread is None:
        return Stated(middle, None, scale, given.strip())
    amount, share = _spread(Decimal(value), Decimal(spread), first.strip(), second.strip(), scale, si_unit, given)
    return Stated(middle, amount, scale, given.strip(), share)


def _is_nothing(number, si_unit, difference):
    """Return whether a number without a unit is none of a quantity, whatever the unit."""
    return not number and (si_unit != "K" or difference)


def read_number(name, given, si_unit, place, faults, may_be_zero=False, of="", by_gauge=False):
    """Return a number of bench.toml as `Stated`; None where it is none, or not positive, which goes to the faults."""
    try:
        stated = stated_number(given, si_unit, name, by_gauge)
    except DataError as error:
        faults.add(place, f"{of}{name} = {error}")
        return None
    if stated.value > 0 or (stated.value == 0 and may_be_zero):
        return stated
    least = "zero or more" if may_be_zero else "positive"
    faults.add(place, f"{of}{name} = {shown(stated.text)} must be {least}; correct it")
    return None


def as_typed(typed, new, says):
    """Return a text that says what a new one says, with as much as can be of one that was typed.

    All of it, else its number, else its uncertainty (or that it has none), each with its unit; else the new text. `typed` is
    empty where none was typed, None where that is no reason to leave an uncertainty unstated; `says` tells whether a text says
    what is meant.
    """
    if typed is None:
        return new
    plain = with_points(str(typed))
    (number, spread), (new_number, new_spread) = _parted(plain), _parted(new)
    beside = [" ± ".join(filter(None, pair)) for pair in ((number, new_spread), (new_number, spread))]
    if plain != str(typed):  # decimal commas, and they stay
        beside = [text.replace(".", ",") for text in (*beside, new)] + beside
    return next(filter(says, [typed, *beside]), new)


def _parted(text):
    """Return the number and the uncertainty of a text, each with its unit; nothing for what it has not."""
    found = _STATED.fullmatch(text)
    if not found:
        return "", ""
    first, second = ((found[name] or "").strip(" )") for name in ("unit1", "unit2"))
    number, spread = (found["value"], first or second), (found["spread"], second or first)
    return tuple(" ".join(filter(None, pair)) if pair[0] else "" for pair in (number, spread))


def uncertainty_name(text, si_unit):
    """Return which uncertainty of a reading in a unit a text states: the `relative_uncertainty` or the `uncertainty`."""
    share = isinstance(text, str) and text.strip().endswith("%") and si_unit != "-"
    return "relative_uncertainty" if share else "uncertainty"


def _not_understood(given, such):
    """Return what is wrong with a text that is no number with its unit, and what to write."""
    unlike = f"{shown(given)} is not a number with its unit, such as {such}"
    if is_range(given):
        return f"{shown(given)} is a range; write one number, with its standard uncertainty after ±, such as {such}"
    if has_typographic_minus(given):
        return f"{shown(given)} has a typographic minus; type the hyphen -"
    if _readable(together := ungrouped(given)):
        return f"{shown(given)}: the number is not understood; write {together!r} if that is meant"
    if _readable(comma := re.sub("(?<=[0-9]),(?=[0-9])", ".", given.strip())):
        return f"{unlike}; write {comma!r} if that is a decimal comma"
    if is_broken(given):
        return f"{shown(given)}: the number is not understood; write digits with one decimal point, such as {such}"
    return unlike


def _readable(text):
    return len(text) <= LONGEST_NUMBER and _STATED.fullmatch(text) and not is_broken(text) and "," not in text


def _share_beside_unit(share, value, spread, first, second):
    """Return what is wrong where %, ‰ or ppm stands beside a unit, and what to write."""
    units = [text.replace(share, " ").strip(" )*·⋅./") for text in (first, second)]
    unit = next(filter(None, units), "")
    said = f"has {share} beside another unit, which would scale the number"
    if not re.fullmatch(r"[A-Za-zµμΩ][A-Za-zµμΩ0-9/*·⋅.^²³ -]*", unit):
        return f"{said}; write one unit alone"
    if spread is None:
        return f"{said}; write '{value} {unit}', with an uncertainty in % as '{value} {unit} ± 1 %'"
    if holds_share(second) and share == "%":
        return f"{said}; write '{value} {unit} ± {spread} %' if the uncertainty is {spread} % of {value} {unit}"
    return f"{said}; write '{value} {unit} ± {spread} {unit}', or '{value} {unit} ± {spread} %'"


def _spread(value, spread, first, second, scale, si_unit, given):
    if spread < 0:
        raise DataError(f"{shown(given)}: the uncertainty is negative; write the plain amount after ±")
    if second == "%" and first and first != "%":
        if scale.offset:
            told = f"a share of a temperature in {scale.text} means nothing; write ± with {scale.text}"
            raise DataError(f"{shown(given)}: {told}")
        share = unit_scale("%", "-").to_si(spread)
        return abs(scale.to_si(value)) * share, share
    if second == "%" and not first and spread >= abs(value):
        remedy = f"write '{value} ± {value * spread / 100:f}' for an uncertainty of {spread} % of {value}"
        raise DataError(f"{shown(given)} reads as ({value} ± {spread}) %; {remedy}")
    own = unit_scale(second, si_unit) if second and first else scale
    return own.without_offset.to_si(spread), None
