"""Predicted probabilities held against what came out: the Brier score, and how reliable they are.

A picture of reliability has a band: where the shares that came true would lie if every probability were right. It is counted
exactly, as the sum of trials of unlike chances, and is one of all bins together: each bin has its part of the tail. Bins
hold equal numbers of outcomes, so that none is nearly empty. The idea of such a band: Bröcker and Smith, Weather and Forecasting
22 (2007) 651, who draw it at random, and a bin at a time.
"""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError
from ..sampling import LEVEL
from .shares import share

LEAST, THIN = 5, 20
"""Outcomes below which no reliability is told, and below which it is called thin; common practice, no source."""
A_BIN, MOST_BINS = 20, 5
"""Outcomes that a bin is to have, and most bins; common practice, no source."""
DRAWS, SEED = 4000, 0  # of the score that right probabilities would have


class Bin(NamedTuple):
    """Outcomes of nearly the same probability.

    Attributes
    ----------
    of, came : int
        How many there are, and of how many it came true. [-]
    predicted, observed : float
        Mean probability, and the share that came true. [-]
    low, high : float
        The share would lie between these if the probabilities were right. [-]
    least, most : float
        Limits of the share itself, by what was observed alone. [-]
    """

    of: int
    came: int
    predicted: float
    observed: float
    low: float
    high: float
    least: float
    most: float

    @property
    def is_inside(self) -> bool:
        """Whether the share lies where right probabilities would put it."""
        return self.low <= self.observed <= self.high


class Reliability(NamedTuple):
    """How predicted probabilities fared.

    Attributes
    ----------
    bins : tuple of Bin
        By rising probability; none below `LEAST` outcomes.
    whole : Bin
        All of them together, its band that of itself alone.
    brier, expected, low, high : float
        The score, and what right probabilities would have: mean, and limits. [-]
    """

    bins: tuple[Bin, ...]
    whole: Bin
    brier: float
    expected: float
    low: float
    high: float

    @property
    def is_thin(self) -> bool:
        """Whether so few outcomes say little."""
        return self.whole.of < THIN

    @property
    def is_inside(self) -> bool:
        """Whether all bins lie inside the band that is common to them."""
        return all(one.is_inside for one in self.bins)


def brier(probabilities: ArrayLike, came: ArrayLike) -> float:
    """Return the mean square of what a probability was off, 0 the best, 0.25 for "one half" each time [-].

    Parameters
    ----------
    probabilities : array-like, shape (N,)
        Predicted. [-]
    came : array-like of bool, shape (N,)
        Whether it came true.

    Returns
    -------
    score : float
        [-]

    References
    ----------
    Brier, Monthly Weather Review 78 (1950) 1, who adds that of "no", which is the same again: his score is twice this one.
    """
    chances, true = _pairs(probabilities, came)
    return float(np.mean((chances - true) ** 2))


def count_limits(probabilities: ArrayLike, level: float = LEVEL) -> tuple[int, int]:
    """Return between which numbers of trials of unlike chances [-] succeed in `level` of the cases or more."""
    odds = np.ones(1)
    for one in np.asarray(probabilities, float):
        odds = np.convolve(odds, [1 - one, one])
    below, tail = np.cumsum(odds), (1 - level) / 2
    low, high = np.searchsorted(below, tail, side="right"), np.searchsorted(below, 1 - tail)
    return int(low), min(int(high), len(odds) - 1)


def reliability(probabilities: ArrayLike, came: ArrayLike, level: float = LEVEL) -> Reliability:
    """Return how probabilities fared, with the band in which all bins lie in `level` of the cases if every one is right.

    Parameters
    ----------
    probabilities : array-like, shape (N,)
        Predicted, each for an outcome that does not hang on the others. [-]
    came : array-like of bool, shape (N,)
        Whether it came true.
    level : float
        Of the band that all bins share (Bonferroni), and of every other interval. [-]

    Returns
    -------
    reliability : Reliability
    """
    chances, true = _pairs(probabilities, came)
    order = np.argsort(chances, kind="stable")
    chances, true = chances[order], true[order]
    ends = _ends(chances)
    shared = 1 - (1 - level) / max(len(ends) - 1, 1)
    bins = tuple(_bin(chances[a:b], true[a:b], shared, level) for a, b in pairwise(ends))
    drawn = np.random.default_rng(SEED).random((DRAWS, len(chances))) < chances
    scores = np.mean((chances - drawn) ** 2, axis=1)
    low, high = np.quantile(scores, ((1 - level) / 2, (1 + level) / 2))
    found = float(np.mean((chances - true) ** 2)), float(np.mean(chances * (1 - chances))), float(low), float(high)
    return Reliability(bins, _bin(chances, true, level, level), *found)


def _pairs(probabilities, came):
    chances, true = np.asarray(probabilities, float), np.asarray(came, float)
    if chances.ndim != 1 or chances.shape != true.shape or not len(chances):
        raise DataError("reliability: give as many probabilities as outcomes, and one at least.")
    if not np.all((chances >= 0) & (chances <= 1)):
        raise DataError("reliability: every probability must lie between 0 and 1; give 80 % as 0.8.")
    if not np.all((true == 0) | (true == 1)):
        raise DataError("reliability: an outcome is true or false, whether it came true.")
    return chances, true


def _ends(chances):
    """Return where bins of equal counts begin and end; equal probabilities stay in one."""
    count = len(chances)
    if count < LEAST:
        return [0]
    bins = min(MOST_BINS, max(2, count // A_BIN))
    ends = [round(count * place / bins) for place in range(bins + 1)]
    kept = [end for end in ends[1:-1] if chances[end - 1] < chances[end]]
    return [0, *kept, count]


def _bin(chances, true, level, own):
    count, held = len(chances), int(true.sum())
    low, high = count_limits(chances, level)
    found = share(held, count, own)
    return Bin(count, held, float(chances.mean()), held / count, low / count, high / count, found.low, found.high)
