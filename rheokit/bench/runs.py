"""Runs: the settings of one record that were gone through several times, or up and then down again.

A run is told by the column ``run``, or recognised from what was set: where settings fall back to the start a new run begins,
where they turn the way back is a run of its own. Rows are taken in their `run_order`, else as they stand.

What is no new run: repeats of one setting; settings that differ by less than a tenth (or a thirtieth of the whole range, in
logarithms), which is how well an instrument keeps them; one or two settings visited again after a run, such as the
first one repeated last, which count with the run before. Settings in no order, as a careful experimenter shuffles
them, are one run: they turn about as often as a random order does, 2/3 (n - 2) times with variance (16 n - 29)/90
(Kendall and Stuart, The Advanced Theory of Statistics 3, from memory), and runs are recognised only where turns are
fewer by two standard deviations, are one at most, or where every run goes through the same settings. Settings that were
shuffled within each run are recognised too, where one run after the other holds each of them once and a random order of all
would seldom do so (complete blocks).
"""

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from .record import Record

UP, DOWN, NEITHER = "up", "down", ""
ALIKE = 0.1, 1 / 30
"""Settings are one level where their logarithms differ by no more than this, or by this share of the range of all."""
REPEATED = 0.01  # difference of logarithms, up to which a setting is the one before, repeated
SELDOM = 0.05  # chance that a random order of all rows falls into complete blocks, below which these are taken for runs
BELOW = 100.0  # how far below the smallest setting zero counts as lying
NOT_SET = (
    "run",
    "run_order",
    "time",
    "stroke",
    "temperature",
    "water_content",
    "age",
)  # columns that say when and not what


class Runs(NamedTuple):
    """The runs of a record.

    Attributes
    ----------
    numbers : ndarray of int, shape (N,)
        Run of each row: as the column ``run`` tells it, else counted from 1 in the order of reading.
    branches : ndarray of str, shape (N,)
        "up" or "down" where the settings rise or fall in this part of the run, "" where they do neither.
    told : bool
        True where the column ``run`` tells them.
    """

    numbers: np.ndarray
    branches: np.ndarray
    told: bool

    @property
    def ways(self) -> dict[int, str]:
        """Way of each run by its number, in the order of reading: "up", "down", or "" for one that is not one of them alone."""
        found: dict[int, str] = {}
        for number, branch in zip(self.numbers.tolist(), self.branches.tolist(), strict=True):
            found[number] = branch if found.get(number, branch) == branch else NEITHER
        return found

    def rows(self, number: int) -> np.ndarray:
        """Return where the rows of a run stand, a mask of shape (N,)."""
        return self.numbers == number


def setting_of(test: Record) -> str:
    """Return the name of the column that was set: the first that varies and was not read; "" where there is none."""
    return _setting({name: getattr(test, name) for name in test.columns if name != test.reads})


def _setting(columns):
    names = [name for name in columns if name not in NOT_SET]
    return next((name for name in names if np.ptp(columns[name]) > 0), "")


def runs_of(test: Record) -> Runs:
    """Return the `Runs` of a record.

    Parameters
    ----------
    test : Record
        Any bench test. One without a setting that varies has one run, unless its column ``run`` tells otherwise.

    Returns
    -------
    runs : Runs
        See the head of this module for what counts as a run.
    """
    columns = {name: getattr(test, name) for name in test.columns if name != test.reads}
    return runs_among(columns, len(test.row_numbers))


def runs_among(columns: Mapping[str, np.ndarray], count: int) -> Runs:
    """Return the `Runs` of `count` rows of columns by name, in SI, without the column that was read."""
    name = _setting(columns)
    settings = columns[name] if name else np.ones(count)
    order = np.argsort(columns["run_order"], kind="stable") if "run_order" in columns else np.arange(count)
    if "run" not in columns:
        return Runs(*recognised(settings, order), told=False)
    numbers, branches = np.asarray(columns["run"]).astype(int), np.full(count, NEITHER, "<U4")
    for number in np.unique(numbers):
        own = order[numbers[order] == number]
        branches[own] = recognised(settings[own], np.arange(len(own)))[1]
    return Runs(numbers, branches, told=True)


def recognised(settings: np.ndarray, order: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return number and branch of the run of each row, shape (N,), from the settings and the order of the rows."""
    numbers, branches = np.ones(len(settings), int), np.full(len(settings), NEITHER, "<U4")
    place = _logarithms(settings)[order]
    for number, (first, last, branch) in enumerate(_parts(place), 1):
        numbers[order[first:last]], branches[order[first:last]] = number, branch
    return numbers, branches


def _logarithms(settings):
    """Return the logarithm of each setting but for a constant; of zero and negative ones what goes on evenly from there."""
    sizes = np.abs(settings)
    least = np.min(sizes[sizes > 0], initial=np.max(sizes, initial=1.0))
    return np.arcsinh(settings * (BELOW / (least or 1.0)))


def _parts(place):
    """Return first row, row after the last and branch of each run of settings in the order of reading."""
    share, of_range = ALIKE
    width = max(share, of_range * np.ptp(place))
    starts = _levels(place, width)
    levels = place[starts]
    climbs = np.sign(np.diff(levels)).astype(int)
    turns = int(np.count_nonzero(np.diff(climbs)))
    if not turns:
        return [(0, len(place), (UP if climbs[0] > 0 else DOWN) if len(climbs) else NEITHER)]
    ends = np.flatnonzero(np.diff(climbs)) + 1
    pieces = zip([0, *ends], [*ends, len(climbs)], strict=True)
    pieces = [(int(a), int(b)) for a, b in pieces if b - a >= 2]  # levels from a to b, both counted: three at least
    in_order = turns == 1 or _fewer_than_by_chance(turns, len(levels))
    if not pieces or not (in_order or _same([levels[a : b + 1] for a, b in pieces], width)):
        return _blocks(place)
    changes = np.flatnonzero(np.abs(np.diff(place)) > REPEATED) + 1
    repeats = float(np.median(np.diff([0, *changes, len(place)])))
    stops = [*starts[1:], len(place)]
    cuts = [0]
    for (_, end), (begin, _) in pairwise(pieces):
        turned = _cut(place, starts[end], stops[end], climbs[end - 1], repeats)
        cuts.append(turned if begin == end else int(starts[begin]))
    cuts.append(len(place))
    ways = [UP if climbs[begin] > 0 else DOWN for begin, _ in pieces]
    return [(a, b, way) for (a, b), way in zip(pairwise(cuts), ways, strict=True)]


def _levels(place, width):
    """Return where each level begins: rows that stay within a width of the first of them are one."""
    starts, first = [0], place[0]
    for row, value in enumerate(place.tolist()):
        if abs(value - first) > width:
            starts.append(row)
            first = value
    return np.array(starts)


def _cut(place, first, last, climb, repeats):
    """Return the row at which the way back begins, in the level where settings turn.

    The setting at the turn belongs to the way there; where it stands twice as often as others do, half of it to each.
    """
    level = climb * place[first:last]
    at_turn = np.flatnonzero(level >= level.max() - REPEATED)
    rows = int(at_turn[-1] - at_turn[0]) + 1
    kept = rows // 2 if rows >= 2 * repeats else rows
    return int(first + at_turn[0] + kept)


def _fewer_than_by_chance(turns, count):
    """Say whether settings turn less often than in a random order of so many."""
    return turns < 2 / 3 * (count - 2) - 2 * np.sqrt(max(16 * count - 29, 0) / 90)


def _blocks(place):
    """Return `_parts` of settings that are in no order: complete blocks, each with every setting once, or all rows as one."""
    for size in range(3, len(place) // 2 + 1):
        count, left = divmod(len(place), size)
        if left or _chance_of_blocks(size, count) > SELDOM:
            continue
        blocks = place.reshape(count, size)
        apart = np.min(np.diff(np.sort(blocks[0])))
        if apart > REPEATED and _same(blocks, apart / 2):
            return [(first, first + size, NEITHER) for first in range(0, len(place), size)]
    return [(0, len(place), NEITHER)]


def _chance_of_blocks(size, count):
    """Return how often a random order of so many settings, each read a number of times, falls into complete blocks [-]."""
    alike = count * math.lgamma(size + 1) + size * math.lgamma(count + 1)
    return math.exp(alike - math.lgamma(size * count + 1))


def _same(pieces, width):
    """Say whether every one of several runs goes through the same settings."""
    first, *others = map(np.sort, pieces)
    return bool(others) and all(len(one) == len(first) and np.all(np.abs(one - first) <= width) for one in others)
