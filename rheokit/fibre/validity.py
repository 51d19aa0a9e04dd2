"""How the formulae of this room refuse what no thread has, and say that they are used outside the range they hold for."""

from numpy import asarray
from numpy.typing import ArrayLike

from ..errors import ModelRangeWarning, warn_outside
from ..inputs import require
from ..nomenclature import QUANTITIES, between, written

HIGHEST_INDEX = 5.0  # as of the power law


def possible_index(where: str, flow_index: ArrayLike) -> None:
    """Raise `DataError` unless every flow index [-] is one that a power law can have."""
    index = asarray(flow_index, float)
    require(where, "flow_index", index, (index > 0) & (index <= HIGHEST_INDEX), "must be above 0 and at most 5")


def warn_outside_range(where: str, name: str, value: ArrayLike, low: float, high: float, so: str) -> None:
    """Warn of the first value of a named quantity outside a range, both in its SI unit, and say what becomes of it."""
    values = asarray(value, float)
    outside = (values < low) | (values > high)
    if outside.any():
        told = f"{name.replace('_', ' ').replace('reynolds', 'Reynolds')} {QUANTITIES[name].symbol} = {written(values[outside].flat[0], name)}"
        warn_outside(f"{where}: {told} lies outside {between(low, high, name)}: {so}.", ModelRangeWarning)
