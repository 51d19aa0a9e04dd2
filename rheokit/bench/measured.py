"""Properties of a paste as bench tests measure them, and several measurements of one property put together."""

import warnings
from typing import NamedTuple

import numpy as np

from ..errors import DataError, RheokitWarning
from ..nomenclature import QUANTITIES, number, written
from ..sampling import by_scatter, widened

FARTHEST = 3.0  # most standard deviations of their difference that two measurements of one property may lie apart
STATED = ("density", "surface_tension", "gel_temperature")
"""Properties of the paste that a test of something else may state."""
SIDES = {-1: "at most", 1: "at least"}
SMALLEST = 1e-6  # sd of ln: nothing measured on a bench is known better


class Property(NamedTuple):
    """A property of a paste: its value in SI, the standard deviation of its ln, in words where it comes from, and its side.

    A `side` of -1 says that it is at most the value, 1 that it is at least the value, 0 that it is the value.
    """

    value: float
    spread: float
    origin: str
    side: int = 0


def merged(tests):
    """Return every property that tests measure, a `Property` by its name.

    Several measurements of one property are averaged in ln with their inverse variances, as if their errors had nothing
    in common, and the spread grows with their scatter, see `by_scatter`. Bounds beside them count no more; of bounds alone the
    tightest does, "at most" before "at least". Where two lie farther apart than three standard deviations of their difference, a
    warning and the origin name both. A gel point above the melting point raises `DataError`.
    """
    found = {}
    for test in tests:
        for name, one in test.properties().items():
            found.setdefault(name, []).append(one)
    together = {name: _together(name, several) for name, several in found.items()}
    if wrong := _out_of_order(together):
        raise DataError(f"{wrong}.")
    return together


def stated(tests):
    """Return what tests state of the paste in order to read something else, a `Property` by its name, as well known as is usual.

    One value stated of several tests counts once; several values are put together as `merged` does.
    """
    found = {}
    for test in tests:
        for name in STATED:
            about, value = test.__dataclass_fields__.get(name), getattr(test, name, None)
            if about is None or about.metadata.get("quantity") or value is None or value == about.default:
                continue
            one = Property(float(value), QUANTITIES[name].spread, f"{test.name}, which states it")
            found.setdefault(name, {}).setdefault(one.value, one)
    return {name: _together(name, list(several.values())) for name, several in found.items()}


def _out_of_order(found):
    """Return in a sentence that a gel point lies above the melting point, and what to do; "" where it does not."""
    gel, melts = found.get("gel_temperature"), found.get("melt_temperature")
    if gel is None or melts is None or gel.value <= melts.value:
        return ""
    told = f"the gel point, {written(gel.value, 'K')} by {gel.origin}, is above the melting point, {written(melts.value, 'K')} by {melts.origin}"
    return f"{told}; a gel melts no colder than it sets: check their directions and units, or leave one out"


def _together(name, several):
    numbers = [one for one in several if one.side == 0]
    if not numbers:
        return min(several, key=lambda one: (one.side, -one.side * one.value))
    if broken := [one for one in several if any(_breaks(value, one) for value in numbers)]:
        about = QUANTITIES[name]
        told = "; ".join(f"{SIDES[one.side]} {written(one.value, about)} by {one.origin}" for one in broken)
        warnings.warn(
            f"{name}: {numbers[0].origin} gives {written(numbers[0].value, about)}, against {told}; look for another batch or a wrong unit, "
            "or leave one test out.",
            RheokitWarning,
            stacklevel=4,
        )
    several = numbers
    if len(several) == 1:
        return several[0]
    logs = np.log([one.value for one in several])
    sizes = np.maximum([one.spread for one in several], SMALLEST)
    weights = 1 / sizes**2
    middle, spread = np.sum(weights * logs) / np.sum(weights), 1 / np.sqrt(np.sum(weights))
    apart = np.abs(logs[:, None] - logs) / np.hypot(sizes[:, None], sizes)
    size, freedom = by_scatter(np.sum(weights * (logs - middle) ** 2), len(several) - 1)
    spread *= size * widened(freedom)
    origin = " and ".join(one.origin for one in several)
    if np.max(apart) > FARTHEST:
        told = "; ".join(f"{number(one.value, 4)} ± {written(one.spread, '%', 2)} by {one.origin}" for one in several)
        origin = f"measurements disagree: {told}"
        warnings.warn(
            f"{name}: measurements lie {np.max(apart):.1f} standard deviations apart (in SI: {told}). Their mean "
            f"{number(np.exp(middle), 4)} is used with a spread of {written(spread, '%', 2)}; look for another batch, a wrong unit "
            "or a missed tare, or leave one test out.",
            RheokitWarning,
            stacklevel=4,
        )
    return Property(float(np.exp(middle)), float(spread), origin)


def _breaks(one, bound):
    """Say whether a value lies beyond a bound, by more than errors explain."""
    beyond = bound.side * np.log(bound.value / one.value)
    return beyond > FARTHEST * max(np.hypot(one.spread, bound.spread), SMALLEST)
