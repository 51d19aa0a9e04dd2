"""What is given to a record as observed: each argument checked, of whatever type it is."""

from datetime import date, datetime
from numbers import Real
from operator import index
from typing import Any

import numpy as np

from ...errors import DataError
from ...reading.faults import shown
from .answers import NO, YES, day, yes_or_no
from .outcome import DIGITS, Outcome
from .quantities import NUMBERS
from .sheet import as_written, observed_number

LONGEST_BATCH, LONGEST_REMARK = 200, 4000  # characters; no more is cut off, it is refused


def number_of(given: Any) -> int:
    """Return the number of a prediction."""
    try:
        if isinstance(given, bool | np.bool_):
            raise TypeError
        return index(given)
    except TypeError:
        raise DataError(
            f"{shown(repr(given), 40)} is no number of a prediction; give a whole number, such as 1"
        ) from None


def day_of(given: Any) -> date:
    """Return the day on which something was observed; today where it is not told."""
    if isinstance(given, datetime):
        return given.date()
    if isinstance(given, date):
        return given
    if given is not None and not isinstance(given, str):
        raise DataError(f"on = {shown(repr(given), 40)} is no date; write year, month and day, such as 2026-01-31")
    return day((given or "").strip()) or datetime.now().date()


def text_of(name: str, given: Any, longest: int) -> str:
    """Return a text as the file will give it back, whole."""
    if not isinstance(given, str):
        raise DataError(f"{name} = {shown(repr(given), 40)} is no text; put it in quotes")
    text = as_written(given, None)
    if len(text) > longest:
        raise DataError(
            f"the {name} has {len(text)} characters, and nothing is cut off; write it with {longest} at most"
        )
    return text


def remark_of(given: Any, found: Outcome, batch: str) -> str:
    """Return a remark with all that the row held before it."""
    own = text_of("remark", given, LONGEST_REMARK)
    other = f", batch {found.batch}" if found.batch and found.batch != batch else ""
    before = f"corrected, before: {found.observed_words} on {found.on}{other}" if found.is_known else other[2:]
    said = as_written("; ".join(filter(None, [own, before, found.remark])), None)
    if len(said) > LONGEST_REMARK:
        raise DataError(
            f"the remark would have {len(said)} characters with what the row held before, {LONGEST_REMARK} at most, and nothing is cut off; "
            "write it shorter"
        )
    return said


def observed_of(found: Outcome, observed: Any) -> tuple[float | None, bool | None]:
    """Return what was observed as a number in the unit of the row, or whether it came true."""
    flag = isinstance(observed, bool | np.bool_)
    if not flag and not isinstance(observed, str | Real):
        such = (
            f"{YES!r} or {NO!r}"
            if found.is_claim
            else f"a number with its unit, such as {NUMBERS[found.quantity].such}"
        )
        raise DataError(f"{shown(repr(observed), 40)} is nothing that can have come out; give {such}")
    if found.is_claim:
        came = bool(observed) if flag else yes_or_no(str(observed).strip())
        if came is None:
            raise DataError(f"what came out is not known; give {YES!r} or {NO!r}")
        return None, came
    such = NUMBERS[found.quantity].such
    if flag:
        raise DataError(
            f"{observed} is no number; {found.quantity} is observed as a number with its unit, such as {such}"
        )
    text = observed if isinstance(observed, str) else _in_si(found, observed)
    value = observed_number(found.quantity, text)
    if value is None:
        raise DataError(f"what came out is not known; type a number with its unit, such as {such}")
    return float(f"{value:.{DIGITS}g}"), None


def _in_si(found: Outcome, observed: Any) -> str:
    try:
        return f"{float(observed):.12g} {'N' if found.unit == 'N' else 'm'}"
    except OverflowError:
        raise DataError(f"{shown(repr(observed), 40)} is larger than anything observed; correct it") from None
