"""Common random numbers: one named column of standard normals for each thing that is not known exactly.

Equal names give equal columns whatever else is drawn, so that two cases differ by what was changed in them and not by
chance, and a limit that is added moves no other number.
"""

from functools import cached_property
from zlib import crc32

import numpy as np
from numpy.typing import ArrayLike

from .hints import Numbers

LEVEL = 0.95
"""Of every interval that is shown, where nobody asks for another. [-]"""
TAILS = (0.025, 0.975)
"""Its two ends as shares of a distribution; the upper one is held by whatever can hurt someone. [-]"""
SURE = 1.959964
"""Standard deviations of a normal distribution to either side of it. [-]"""
FEW = 1.5
"""How many times as far as those of many readings the limits lie where readings are called few. [-]"""
OF_STATED = 3
"""Degrees of freedom of an uncertainty that was stated: of one known to 41 % of itself (JCGM 100:2008, G.4.2). [-]"""
BARELY = 1e-9  # chance of a draw to be the end of an interval, below which it counts as none
MOVED = 1e-3  # of its value: a quantity that differs more between such laws rests on what is not identified


def students(normals: Numbers, freedom: float) -> Numbers:
    """Return standard normals as Student's t of some degrees of freedom, each at its place in the distribution."""
    if not np.isfinite(freedom):
        return normals
    from scipy.special import ndtr, stdtrit

    return stdtrit(freedom, ndtr(normals))


def widened(freedom: float) -> float:
    """Return by how much Student's t of some degrees of freedom is wider than the normal distribution, at the limits that are shown [-]."""
    return float(students(SURE, freedom)) / SURE


def next_spread(spread: Numbers, one_read: bool) -> Numbers:
    """Return the sd of ln stress of the next batch about the law [-]: of the median batch the spread from batch to batch.

    Where one batch was read the law is of that one, whose own deviation is as unknown as that of the next: sqrt(2) of it.
    """
    return spread * np.sqrt(2.0) if one_read else spread


def by_scatter(squares: float, freedom: int, stated: bool = True) -> tuple[float, float]:
    """Return by how much readings err more than was stated of them, and the degrees of freedom that say so.

    What was stated counts as `OF_STATED` readings more that scatter as it says, so that limits do not jump where the readings scatter
    as much as that; readings that scatter less do not make it smaller, and where none is left to scatter it stands as if known exactly.
    Where nothing was stated the scatter is all that is known. Of 200000 straight lines through 3, 5 and 10 readings the 95 % limits of
    the slope held 0.99, 0.99 and 0.98 with errors as stated, and 0.89, 0.90 and 0.92 with errors twice as large.

    Parameters
    ----------
    squares : float
        Sum of squares of the residuals, in standard uncertainties. [-]
    freedom : int
        That they leave. [-]
    stated : bool
        Whether the uncertainties are stated, and no mere weights.

    Returns
    -------
    size, freedom : float
        [-]
    """
    if not stated:
        return float(np.sqrt(squares / freedom)), freedom
    if freedom < 1:
        return 1.0, np.inf
    together = OF_STATED + freedom
    return float(np.sqrt(max(1.0, (OF_STATED + squares) / together))), together


def limits_of(draws: ArrayLike, axis: int = 0) -> np.ndarray:
    """Return the two ends of the middle 95 of 100 draws along an axis; ends that are infinite are drawn values."""
    values = np.asarray(draws, float)
    with np.errstate(invalid="ignore"):
        ends = np.quantile(values, TAILS, axis=axis)
    if np.isnan(ends).any():  # between a number and infinity
        ends = np.quantile(values, TAILS, axis=axis, method="inverted_cdf")
    return ends


def errors_of_limits(draws: ArrayLike, effective: float = np.inf) -> tuple[float, float]:
    """Return by how much the two ends that `limits_of` finds would scatter from one set of as many draws to the next, as standard errors.

    That what is drawn has converged is to be looked at and said (JCGM 101:2008, 7.9, from memory). An end is the one of n ordered draws below which a
    share p lies; of another n it would be the k-th of these with the chance that a beta distribution of p n and (1 - p) n gives it (Maritz and
    Jarrett, Journal of the American Statistical Association 73 (1978) 194, from memory). No distribution of the draws is taken for granted, and an answer
    that comes in steps has its own.

    Parameters
    ----------
    draws : array-like, shape (N,)
        Drawn values, in any unit; [as drawn].
    effective : float
        Independent ones that the draws were chosen from; infinite for draws that are independent themselves. [-]

    Returns
    -------
    errors : tuple of float
        Of the lower and of the upper end, in the unit of the draws; NaN where draws there are infinite, 0 where all are alike, as at a bound. Counted
        over 400 sets of 1000 draws, rounded to whole numbers a third of their spread apart, ends scattered by 0.23 and 0.30 of one; this says 0.34 and 0.36.
    """
    from scipy.special import betainc

    values = np.sort(np.asarray(draws, float).ravel())
    worth = 1 / (1 / len(values) + 1 / effective)
    low, high = (
        _spread_of_end(values, np.diff(betainc(share * worth, (1 - share) * worth, np.linspace(0, 1, len(values) + 1))))
        for share in TAILS
    )
    return low, high


def _spread_of_end(values, chances):
    """Return the standard deviation of a value that is one of these, each with its chance; NaN where it may be infinite."""
    likely = chances > BARELY
    with np.errstate(invalid="ignore"):
        off = values[likely] - values[likely][likely.sum() // 2]
        return float(
            np.sqrt(np.average((off - np.average(off, weights=chances[likely])) ** 2, weights=chances[likely]))
        )


def error_of_share(share: float, count: int) -> float:
    """Return the standard error of a share [-] that was counted of so many draws: √(p(1 - p)/n) [-]."""
    return float(np.sqrt(share * (1 - share) / count))


def error_of_end(count: int) -> float:
    """Return the standard error of the share of so many draws that lies beyond an end of the middle 95 of 100 [-]."""
    return error_of_share(TAILS[0], count)


def limits_of_spread(value: Numbers, spread: Numbers) -> tuple[Numbers, Numbers]:
    """Return the 95 % limits of a value whose ln has a standard deviation [-], in the unit of the value."""
    factor = np.exp(SURE * np.asarray(spread))[()]
    return value / factor, value * factor


def moves(values: ArrayLike) -> bool:
    """Return whether a quantity differs between laws that are alike, shape (k, ...) to (...)."""
    values = np.asarray(values, float)
    with np.errstate(all="ignore"):
        apart = np.max(values, axis=0) - np.min(values, axis=0)
        same = apart <= MOVED * np.max(np.abs(values), axis=0)
    return ~(same & np.isfinite(values).all(axis=0))


class Normals:
    """Columns of standard normals, one a name, each stratified: every hundredth of the distribution has its share.

    Parameters
    ----------
    count : int
        How many draws.
    seed : int
    """

    def __init__(self, count: int, seed: int) -> None:
        """Set how many draws, and the seed."""
        self.count, self.seed = int(count), int(seed)

    @cached_property
    def _quantiles(self):
        from scipy.special import ndtri

        return ndtri((np.arange(self.count) + 0.5) / self.count)

    def __call__(self, name: str) -> np.ndarray:
        """Return the column of a name, shape (count, 1, 1)."""
        order = np.random.default_rng([self.seed, crc32(name.encode())]).permutation(self.count)
        return self._quantiles[order][:, None, None]
