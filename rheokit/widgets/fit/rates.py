"""The range of rates in which a fitted law will be used: two number fields, and what they say together."""

from ...errors import DataError
from ..page.number_field import NumberField
from . import words

RATES = 1e-4, 1e6  # 1/s: bounds of a rate of use


def rate_of_use(which, changed=None):
    """Return the field of the "slowest" or "fastest" rate of use, which may stay empty."""
    return NumberField(f"{which} rate of use [1/s]", 10.0, *RATES, changed, "optional", begin=None)


def use_range_of(*rates):
    """Return the range of use [1/s] of two number fields, the slowest and the fastest; None where both are empty."""
    values = [rate.value for rate in rates if rate.holds]
    if not values:
        return None
    if len(values) == 1:
        known, other = ("slowest", "fastest")[:: 1 if rates[0].holds else -1]
        raise DataError(words.ONE_END.format(other, known))
    if values[0] == values[1]:
        raise DataError(words.SAME_ENDS)
    if values[0] > values[1]:
        ends = f"{values[0]:g} 1/s, is not below the fastest rate of use, {values[1]:g} 1/s"
        raise DataError(f"The slowest rate of use, {ends}; exchange them.")
    return tuple(values)
