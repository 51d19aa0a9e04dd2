"""Whether a number can be, and whether a bench has it: what to say of one that it has not, and what may have been meant."""

import numpy as np

from .measures import measure
from .quantity import ANY, SHARE, Quantity
from .written import between, written


def as_given(value: float | np.floating, about: Quantity) -> str:
    """Return a number that somebody gave in SI, as it is, with its unit."""
    return f"{value:.6g}" + ("" if about.unit == "-" else f" {about.unit}")


def unlikely(value: float | np.floating, about: Quantity) -> str:
    """Return an SI value in words with why no bench has it, and what may have been meant; nothing where it is likely."""
    low, high = about.likely
    if low <= value <= high:
        return ""
    usual = between(low, high, about) if np.isfinite(high) else f"{written(low, about)} and more"
    return f"{as_given(value, about)} is outside {usual}, where it usually lies{meant(value, about)}"


def unlikely_column(values: np.ndarray, about: Quantity) -> str:
    """Return in words what of a column no bench has: one value, or that all of them are in another unit; else nothing."""
    low, high = np.min(values), np.max(values)
    if 0 < high < about.column:
        least = written(about.column, about)
        most = f"{as_given(high, about)} at the most, where a column usually goes beyond {least}"
        return most + meant(high, about._replace(likely=(about.column, about.likely[1])))
    return unlikely(low if low < about.likely[0] else high, about)


def impossible(value: float | np.floating, about: Quantity) -> str:
    """Return why a value cannot be, as the end of a sentence."""
    low, high = about.possible
    if about.possible == SHARE:
        why = "must be from 0 to 1"
    elif value < low:
        why = "cannot be negative" if low == 0 else f"cannot be below {written(low, about)}"
    else:
        why = f"cannot be above {written(high, about)}"
    return why + meant(value, about)


def meant(value: float | np.floating, about: Quantity) -> str:
    """Return what unit may have been forgotten, as a question; nothing where none brings the value to a likely one."""
    low, high = about.likely
    if about.likely == ANY or not 0.01 <= value <= 1e5:  # what people type in a unit of the bench
        return ""
    for one in measure(about.unit).units:
        si = value * one.factor + one.zero
        if not low <= si <= high or not (one.code or one.zero):
            continue
        if one.text == "%" and not about.percent and (high > 1 or 1 < about.possible[1] < np.inf):
            return ""  # a factor, and no share
        told = one.code or one.text
        if told == one.text and (one.zero or about.unit == "-"):
            return f" (did you mean {value:g} {told}? That is {as_given(si, about)})"
        return f" (did you mean {value:g}*{told}?)"
    return ""
