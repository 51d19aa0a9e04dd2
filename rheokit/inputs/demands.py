"""What a formula asks of its numbers, whoever gives them: always held."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError
from ..nomenclature import QUANTITIES
from ..nomenclature.likely import as_given
from .judged import in_si

AS_NAMED: Mapping[str, str] = MappingProxyType({})


def positive(where: str, known_as: Mapping[str, str] = AS_NAMED, /, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is above 0 and finite.

    `known_as` says which quantity of the nomenclature a name is, where it is no name there.
    """
    for name, value in quantities.items():
        about = QUANTITIES[known_as.get(name, name)]
        number = np.asarray(in_si(where, name, value, about), float)
        _refuse(where, name, number, (number > 0) & (number < np.inf), "must be above 0 and finite", about)


def not_negative(where: str, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is 0 or above, and finite."""
    for name, value in quantities.items():
        number = _numbers(where, name, value)
        _refuse(where, name, number, (number >= 0) & (number < np.inf), "must not be negative, and must be finite")


def share(where: str, known_as: Mapping[str, str] = AS_NAMED, /, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every value of every named quantity is from 0 to 1; `known_as` as for `positive`."""
    for name, value in quantities.items():
        about = QUANTITIES[known_as.get(name, name)]
        number = np.asarray(in_si(where, name, value, about), float)
        _refuse(where, name, number, (number >= 0) & (number <= 1), "must be from 0 to 1; give 8 % as 0.08", about)


def require(where: str, name: str, value: ArrayLike, holds: ArrayLike, why: str, known_as: str = "") -> None:
    """Raise `DataError` naming the first value of a quantity for which a condition does not hold, and why it must.

    `known_as` as for `positive`, of the one name.
    """
    _refuse(where, name, np.asarray(value, float), holds, why, QUANTITIES[known_as or name])


def one_number(where: str, **quantities: ArrayLike) -> None:
    """Raise `DataError` unless every named quantity is one number: for what is computed of one case at a time."""
    for name, value in quantities.items():
        if np.ndim(value):
            raise DataError(
                f"{where}: {name} has shape {np.shape(value)}; give one number, and ask for each of several in turn."
            )


def _numbers(where, name, value):
    return np.asarray(in_si(where, name, value, QUANTITIES[name]), float)


def _refuse(where, name, number, holds, why, about=None):
    if np.all(holds):
        return
    shape = np.broadcast_shapes(number.shape, np.shape(holds))
    worst = np.broadcast_to(number, shape)[~np.broadcast_to(holds, shape)].flat[0]
    raise DataError(f"{where}: {name} = {as_given(worst, about or QUANTITIES[name])} {why}.")
