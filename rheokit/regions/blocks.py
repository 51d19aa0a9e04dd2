"""A map worked in blocks, of rows for best values and of draws for the probability: only counts are kept.

A thousand draws of a map so cost their time and no memory.
"""

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from ..hints import Numbers
from ..limits.base import Limit
from ..limits.case import Case
from ..sampling import TAILS, Normals
from .axes import moved

ROWS = 1 << 15  # points of the map of best values that are worked at once: they stay in the cache
DRAWS = 1 << 17  # points times draws of the probable map that are worked at once


def margins_of(
    base: Case, limits: Sequence[Limit], axes: Collection[str], x: np.ndarray, y: np.ndarray
) -> dict[str, np.ndarray]:
    """Return the margins of best values by limit, worked in blocks of rows."""
    x_name, y_name = axes
    across = x[None, :]
    step = max(1, ROWS // len(x))
    blocks: dict[str, list[np.ndarray]] = {limit.name: [] for limit in limits}
    for start in range(0, len(y), step):
        case = moved(base, {x_name: across, y_name: y[start : start + step, None]})
        for limit in limits:
            blocks[limit.name].append(np.atleast_2d(limit.margin(case)))
    return {name: _joined(found) for name, found in blocks.items()}


def _joined(blocks):
    """Return the blocks of rows as one array; a margin that is the same in all rows stays one row."""
    if all(len(block) == 1 and np.array_equal(block, blocks[0], equal_nan=True) for block in blocks):
        return blocks[0]
    return np.concatenate(blocks)


def probabilities(
    drawn: Case, normals: Normals, limits: Sequence[Limit], axes: Mapping[str, np.ndarray]
) -> tuple[np.ndarray, dict[str, np.ndarray], dict[str, np.ndarray]]:
    """Return (probability, share that holds by limit, share broken first by limit), counted over blocks of draws."""
    (x_name, x), (y_name, y) = axes.items()
    draws = normals.count
    shape, failing = (len(y), len(x)), [limit for limit in limits if not limit.advice]
    columns = {name: normals(name) for name in {limit.error_name or limit.name for limit in failing}}
    holds = {limit.name: np.zeros(shape) for limit in failing}
    first = {limit.name: np.zeros(shape) for limit in failing}
    passed = np.zeros(shape)
    step = max(1, min(draws, DRAWS // (len(x) * len(y))))
    for start in range(0, draws, step):
        rows = slice(start, start + step)
        case = moved(drawn.rows(rows, draws), {x_name: x[None, :], y_name: y[:, None]})
        some = {name: column[rows] for name, column in columns.items()}
        count = _step_of(rows, draws)
        least, worst = np.full((count, *shape), np.inf), np.full((count, *shape), -1, np.int8)
        for place, limit in enumerate(failing):
            margin = limit.margin(case, some.__getitem__)
            holds[limit.name] += _count(margin >= 0, shape, count)
            if not limit.hard:
                np.copyto(worst, place, where=margin < least)
                np.minimum(least, margin, out=least)
        broken = least < 0
        passed += count - broken.sum(axis=0)
        cells = np.broadcast_to(np.arange(passed.size).reshape(shape), broken.shape)[broken]
        tally = np.bincount(cells * len(failing) + worst[broken], minlength=passed.size * len(failing))
        for limit, counts in zip(failing, tally.reshape(*shape, -1).transpose(2, 0, 1), strict=True):
            first[limit.name] += counts
    for shares in (holds, first):
        for name in shares:
            shares[name] /= draws
    probability = passed / draws
    for limit in failing:
        if limit.hard:
            stops = refused(holds[limit.name])
            probability = np.where(stops, 0.0, probability)
            for name in first:
                first[name] = np.where(stops, float(name == limit.name), first[name])
    return probability, holds, first


def refused(held: Numbers) -> Numbers:
    """Return whether a hard limit that holds in a share of the draws [-] fails for all: nothing is averaged over it."""
    return np.less(held, TAILS[1])


def _step_of(rows, draws):
    """Return how many draws a block holds."""
    return len(range(*rows.indices(draws)))


def _count(true, shape, draws):
    """Return how many draws of a block say yes at every point; what does not differ between draws counts for all."""
    true = np.asarray(true)
    if true.ndim < 3 or len(true) == 1:
        return np.broadcast_to(true, (1, *shape) if true.ndim == 3 else shape).reshape(shape) * float(draws)
    return np.broadcast_to(true.sum(axis=0), shape)
