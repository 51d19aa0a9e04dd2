"""How one number is judged: refused, converted to SI, or doubted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError, UnlikelyWarning, warn_outside
from ..hints import Numbers
from ..nomenclature import QUANTITIES, si_unit_meaning
from ..nomenclature.likely import as_given, impossible, unlikely

if TYPE_CHECKING:
    from ..nomenclature import Quantity


def judged(where, name, value, about, default, doubts, flow_index=None):
    """Return a value in SI; refuse what cannot be, and add to the doubts what no bench has."""
    if value is None and default is None:
        return None
    value = in_si(where, name, value, about, flow_index)
    number = np.asarray(value, float)
    if isinstance(default, float) and np.isinf(default):  # as its default says, endless can be meant
        number = number[number < np.inf] if not np.isnan(number).any() else number
    if not number.size:
        return value
    low, high = number.min(), number.max()
    least, most = about.possible
    if not (np.isfinite(low) and np.isfinite(high)):
        wrong = number[~np.isfinite(number)].flat[0] if number.ndim else number
        raise DataError(f"{where}: {name} = {as_given(wrong, about)} is no finite number; give {_it(about)}.")
    if low < least or high > most:
        worst = low if low < least else high
        raise DataError(f"{where}: {name} = {as_given(worst, about)} {impossible(worst, about)}.")
    if doubt := unlikely(low if low < about.likely[0] else high, about):
        doubts.append(f"{name} = {doubt}")
    return value


def in_si(
    where: str, name: str, value: Any, about: Quantity, flow_index: ArrayLike | None = None
) -> Numbers | np.floating:
    """Return a number or array in the SI unit of a `Quantity`; refuse what is no number or measures something else.

    A quantity with a unit (whatever has `to` and `magnitude`, as those of pint) is converted.
    """
    if isinstance(value, list | tuple) and any(hasattr(one, "magnitude") for one in value):
        return np.array([in_si(where, name, one, about, flow_index) for one in value], float)
    if hasattr(value, "magnitude") and hasattr(value, "to"):
        return _converted(where, name, value, about, flow_index)
    if isinstance(value, int | np.floating | float) and not isinstance(value, bool):
        return value
    try:
        array = np.asarray(value)
        kind = array.dtype.kind
        if kind == "O" and any(one is None or isinstance(one, str | bytes | bool) for one in array.flat):
            kind = "U"
        number = np.asarray(array, float) if kind in "fiuO" and not np.ma.is_masked(value) else None
    except (TypeError, ValueError):
        number = None
    if number is None:
        raise DataError(f"{where}: {name} = {value!r:.40} is no number; give {_it(about)}.")
    return number if number.ndim else number[()]


def _converted(where, name, value, about, flow_index):
    text = about.unit.translate(str.maketrans({"·": "*", "²": "**2", "³": "**3"}))
    if "ⁿ" in text:
        text = text.replace("ⁿ", f"**{float(np.mean(1.0 if flow_index is None else flow_index))!r}")
    try:
        found = value.to("dimensionless" if text == "-" else text)
    except Exception:  # each unit library raises errors of its own
        measures = "" if about.unit == "-" else f", {about.unit}"
        raise DataError(
            f"{where}: {name} = {str(value)[:40]} is in another dimension than {name}{measures}: that is "
            f"{si_unit_meaning(about.unit).split(':')[0]}."
        ) from None
    number = np.asarray(found.magnitude, float)
    return number if number.ndim else float(number)


def doubtful(record: Any) -> list[str]:
    """Return what of a frozen record's numbers no bench has, in words; empty where all are likely."""
    found = []
    for name, about in known_quantities(record).items():
        value = getattr(record, name)
        if isinstance(value, float | int | np.floating) and (doubt := unlikely(value, about)):
            found.append(f"{name.replace('_', ' ')} = {doubt}")
    return found


def warn_of(where: str, doubts: Sequence[str]) -> None:
    """Warn once of everything that is doubted, at the line outside rheokit that gave it."""
    if doubts:
        said = f"{where}: {'; '.join(doubts)}. It is computed with as it stands: check value and unit."
        warn_outside(said, UnlikelyWarning)


def known_quantities(record, **other_names):
    """Return the `Quantity` of each field of a record that stands in the nomenclature, by its name."""
    names = {f.name: f.name for f in fields(record)} | getattr(type(record), "KNOWN_AS", {}) | other_names
    return {name: QUANTITIES[known] for name, known in names.items() if known in QUANTITIES}


def _it(about):
    return "a plain one" if about.unit == "-" else f"it in {about.unit}"
