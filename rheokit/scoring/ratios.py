"""What was observed over what was predicted: whether all of it is off by one factor."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError
from ..sampling import SURE, widened

LEAST = 3  # outcomes, or batches, below which nothing is said of a factor; common practice, no source


class Ratio(NamedTuple):
    """The geometric mean of what was observed over what was predicted [-], with its limits; NaN where there are too few.

    Attributes
    ----------
    value, low, high : float
        [-]
    of, batches : int
        Outcomes that count, and batches that are told; one where none is. [-]
    of_batches : bool
        Whether batches scatter for it, and not the outcomes of a single one.
    open : float
        Factor that the predictions themselves leave open to either side, the median of their intervals [-].
    """

    value: float
    low: float
    high: float
    of: int
    batches: int
    of_batches: bool
    open: float

    @property
    def is_systematic(self) -> bool:
        """Whether the limits leave 1 out."""
        return self.low > 1 or self.high < 1

    @property
    def is_offered(self) -> bool:
        """Whether it may serve as a factor on the model: it is systematic, and found in several batches."""
        return self.is_systematic and self.of_batches

    @property
    def was_open(self) -> bool:
        """Whether the predictions left room for it, each by its own interval."""
        return 1 / self.open <= self.value <= self.open


def batch_named(typed: str) -> str:
    """Return by what a batch that was typed is told from others: case and spaces are none of it; "" where it is not told."""
    return " ".join(str(typed).split()).casefold()


def ratio(
    predicted: ArrayLike, observed: ArrayLike, low: ArrayLike, high: ArrayLike, batches: Sequence[str] | None = None
) -> Ratio:
    """Return by what factor observations are off their predictions, with 95 % limits.

    Outcomes of one batch err together, so the means of batches count, with Student's t of their number; where all are of one
    batch, or none is told, the outcomes themselves count, and the limits hold for that batch alone, and not for the model. Where the
    batch of some is told, the others, which may be of any of these, do not count. Of too few batches for their means the one with most
    outcomes counts alone, if it has enough: outcomes of another batch take nothing from what is known of it.

    Parameters
    ----------
    predicted, observed, low, high : array-like, shape (N,)
        Best values, what came out, and the 95 % limits of the predictions, above 0 and in one unit.
    batches : sequence of str, optional
        Of each outcome; "" where it is not told.

    Returns
    -------
    ratio : Ratio
    """
    values = [np.asarray(one, float) for one in (predicted, observed, low, high)]
    if len({one.shape for one in values}) > 1 or values[0].ndim != 1:
        raise DataError("ratio: give as many observations and limits as predictions.")
    named = [""] * len(values[0]) if batches is None else [batch_named(one) for one in batches]
    if any(not np.all(one > 0) for one in values[:2]):
        raise DataError("ratio: predictions and observations must be above 0.")
    off, groups = np.log(values[1] / values[0]), sorted({*named} - {""})
    of_batches = len({*named}) > 1
    groups = groups or [""]
    means = np.array([off[[name == one for name in named]].mean() for one in groups]) if of_batches else off
    left = _left_open(*values)
    if of_batches and len(means) < LEAST:
        most = max(groups, key=named.count)
        if named.count(most) >= LEAST:
            means, of_batches = off[[name == most for name in named]], False
    if len(means) < LEAST:
        value = float(np.exp(means.mean())) if len(means) else float("nan")
        return Ratio(value, 0.0, float("inf"), len(off), len(groups), of_batches, left)
    half = SURE * widened(len(means) - 1) * np.std(means, ddof=1) / np.sqrt(len(means))
    value, least, upper = (float(np.exp(means.mean() + side * half)) for side in (0, -1, 1))
    return Ratio(value, least, upper, len(off) if of_batches else len(means), len(groups), of_batches, left)


def _left_open(predicted, _, low, high):
    """Return the factor to either side that the middle one of some intervals leaves open; of one without a lower end the upper alone."""
    if not len(predicted):
        return float("nan")
    below = np.where(low > 0, predicted / np.maximum(low, 1e-300), np.inf)
    return float(np.median(np.maximum(below, high / predicted)))
