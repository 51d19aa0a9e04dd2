"""Up and down branch of a loop: how far apart, at which rates, and how much of it chance makes.

At every rate of the up branch the difference is the logarithm of the ratio of both stresses; a stress of the down branch between two
readings is taken along the fitted law. It is smoothed by straight lines through neighbours, and integrated over the rate.

One pair: chance is the scatter of the readings about a smooth difference, by how far each lies from the straight line between its
neighbours (Gasser, Sroka and Jennen-Steinmetz, Biometrika 73 (1986) 625, from memory), with 18/35 of a degree of
freedom each, since two neighbours share readings. Whether two branches differ because the paste remembers or because any two runs do,
one pair cannot tell. Several pairs: chance is how they differ among themselves (Student), which holds both.

On a linear axis of rates the last few readings decide an area, so it may have the other sign than most of the curve.
Where the setting at the turn was read once, both branches pass through that reading.
"""

from typing import NamedTuple

import numpy as np

from ..bench.runs import DOWN, REPEATED, UP, runs_of
from ..inputs import trusted
from ..sampling import TAILS
from .lack_of_fit import smoothing

POINTS = 200  # along the rates that both branches cover
OF_EACH = 18 / 35  # degrees of freedom that a reading gives of the scatter
SMALLEST = 1e-9  # scatter that is believed of noise-free readings [-]


class Pair(NamedTuple):
    """An up and a down branch read one after the other: how far apart at each rate, ln of their ratio [-], and the stress up [Pa].

    `free` says which of the differences have a scatter: not the one at the turn, where both are one reading.
    """

    numbers: tuple[int, int]
    rates: np.ndarray
    apart: np.ndarray
    up: np.ndarray
    free: np.ndarray


class Compared(NamedTuple):
    """Branches along the rates that all pairs cover, with what 95 of 100 chances make at the most.

    `apart` is the smoothed logarithm of up over down [-], `area` that between them [W/m3], `share` its part of the area under the up branch.
    """

    rates: np.ndarray
    apart: np.ndarray
    chance: np.ndarray
    area: float
    area_chance: float
    share: float
    share_chance: float


def pairs_of(test, law):
    """Return every `Pair` of a record, each branch in one of them at the most; those whose rates have a range in common."""
    rates, stresses = test.rough_curve()
    if len(rates) != len(test.readings) or test.general or np.min(stresses, initial=np.inf) <= 0 or np.min(rates) <= 0:
        return []
    runs, found = runs_of(test), []
    parts = [
        (number, way, rows)
        for number in runs.ways
        for way in (UP, DOWN)
        if (rows := np.flatnonzero(runs.rows(number) & (runs.branches == way))).size > 2
    ]
    parts.sort(key=lambda part: part[2][0] if test.run_order is None else test.run_order[part[2]].min())
    with trusted(), np.errstate(all="ignore"):
        along = np.log(np.maximum(law.shear_stress(rates), 1e-300))
    place = 0
    while place + 1 < len(parts):
        first, second = parts[place : place + 2]
        follows = first[1] != second[1]
        if follows and (pair := _pair(rates, np.log(stresses), along, first, second, runs.told)) is not None:
            found.append(pair)
        place += 2 if follows else 1
    low, high = (choose([pair.rates[end] for pair in found], default=1.0) for choose, end in ((max, 0), (min, -1)))
    return found if high > 1.5 * low else found[:1]


def _pair(rates, stresses, along, first, second, told):
    """Return the `Pair` of two parts of a record; None where they have hardly a rate in common. All in ln but rates."""
    rows = {first[1]: first[2], second[1]: second[2]}
    ends = (max if first[1] == UP else min), (1 if first[1] == UP else -1)
    turn = first[2][np.argmax(ends[1] * rates[first[2]])]
    short = np.log(rates[turn] / ends[0](rates[second[2]])) * ends[1]
    closed = short > REPEATED and not (told and first[0] != second[0])
    if closed:
        rows[second[1]] = np.append(second[2], turn)
    low, high = max(rates[own].min() for own in rows.values()), min(rates[own].max() for own in rows.values())
    up, down = (_means(rates[rows[way]], stresses[rows[way]], along[rows[way]]) for way in (UP, DOWN))
    inside = (up[0] >= low * (1 - REPEATED)) & (up[0] <= high * (1 + REPEATED))
    if high <= 1.5 * low or inside.sum() < 3:
        return None
    at, level, law = (each[inside] for each in up)
    below = np.interp(np.log(at), np.log(down[0]), down[1] - down[2])
    free = ~(closed & np.isclose(at, rates[turn]))
    return Pair((first[0], second[0]), at, level - law - below, np.exp(level), free)


def _means(rates, *values):
    """Return the rates, each once, and the means of values at them."""
    places, which = np.unique(rates, return_inverse=True)
    return places, *(np.bincount(which, value) / np.bincount(which) for value in values)


def scatter_of(pair):
    """Return the standard deviation of the differences of a pair about a smooth one [-], and its degrees of freedom; see the head."""
    x, y = np.log(pair.rates[pair.free]), pair.apart[pair.free]
    if len(x) < 3:
        return np.inf, 1.0
    after = (x[1:-1] - x[:-2]) / (x[2:] - x[:-2])
    off = (1 - after) * y[:-2] + after * y[2:] - y[1:-1]
    squares = off**2 / (1 + after**2 + (1 - after) ** 2)
    return float(np.sqrt(np.mean(squares))), max(OF_EACH * len(squares), 1.0)


def compared(pairs):
    """Return the `Compared` of one pair or several."""
    from scipy.special import stdtrit

    low, high = max(pair.rates[0] for pair in pairs), min(pair.rates[-1] for pair in pairs)
    at, found = np.geomspace(low, high, POINTS), []
    widths = np.diff(at, prepend=at[0]) / 2 + np.diff(at, append=at[-1]) / 2
    for pair in pairs:
        between = _between(at, pair.rates)
        up = np.exp(between @ np.log(pair.up))
        down = up * np.exp(-between @ pair.apart)
        smooth = between @ smoothing(np.log(pair.rates), np.ones(len(pair.rates)))
        found.append((smooth @ pair.apart, widths @ (up - down), widths @ up, smooth, (widths * down) @ between))
    apart, area, under = (np.array([one[place] for one in found]) for place in range(3))
    share = area / under
    if len(pairs) > 1:
        sure = stdtrit(len(pairs) - 1, TAILS[1]) / np.sqrt(len(pairs))
        chances = [np.maximum(sure * np.std(each, axis=0, ddof=1), SMALLEST) for each in (apart, area, share)]
    else:
        (pair,), (*_, smooth, moves) = pairs, found[0]
        scatter, freedom = scatter_of(pair)
        scatter = max(scatter, SMALLEST)
        several = stdtrit(freedom, 1 - (1 - TAILS[1]) / pair.free.sum())  # the farthest of so many
        of_area = stdtrit(freedom, TAILS[1]) * scatter * np.linalg.norm(moves[pair.free])
        chances = [several * scatter * np.linalg.norm(smooth[:, pair.free], axis=1), of_area, of_area / under[0]]
    values = [each.mean(axis=0) for each in (apart, area, share)]
    return Compared(at, values[0], chances[0], *(float(one) for one in (values[1], chances[1], values[2], chances[2])))


def _between(at, rates):
    """Return what makes values at rates [1/s] of those at others, straight between them in logarithms, shape (len(at), len(rates))."""
    return np.column_stack([np.interp(np.log(at), np.log(rates), unit) for unit in np.eye(len(rates))])
