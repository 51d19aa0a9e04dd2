"""What a formula refuses: impossible numbers, by name, value and unit, whole arrays at once."""

import numpy as np

from .errors import DataError
from .nomenclature import unit


def positive(where, **quantities):
    """Raise `DataError` unless every value of every named quantity is above 0 and finite."""
    for name, value in quantities.items():
        number = _numbers(where, name, value)
        _refuse(where, name, number, (number > 0) & (number < np.inf), "must be above 0 and finite")


def not_negative(where, **quantities):
    """Raise `DataError` unless every value of every named quantity is 0 or above, and finite."""
    for name, value in quantities.items():
        number = _numbers(where, name, value)
        _refuse(where, name, number, (number >= 0) & (number < np.inf), "must not be negative, and must be finite")


def share(where, **quantities):
    """Raise `DataError` unless every value of every named quantity is from 0 to 1."""
    for name, value in quantities.items():
        number = _numbers(where, name, value)
        _refuse(where, name, number, (number >= 0) & (number <= 1), "must be from 0 to 1; give 8 % as 0.08")


def require(where, name, value, holds, why):
    """Raise `DataError` naming the first value of a quantity for which a condition does not hold, and why it must."""
    _refuse(where, name, np.asarray(value, float), holds, why)


def _numbers(where, name, value):
    try:
        return np.asarray(value, float)
    except (TypeError, ValueError):
        raise DataError(f"{where}: {name} = {value!r} is no number; give it in {unit(name)}.") from None


def _refuse(where, name, number, holds, why):
    if np.all(holds):
        return
    shape = np.broadcast_shapes(number.shape, np.shape(holds))
    worst = np.broadcast_to(number, shape)[~np.broadcast_to(holds, shape)].flat[0]
    symbol = "" if unit(name) == "-" else f" {unit(name)}"
    raise DataError(f"{where}: {name} = {worst:g}{symbol} {why}.")
