"""Many readings of one record as few: means of neighbours, which count as many as they are.

A logger writes a hundred thousand rows where a fit needs two hundred. Everything after sees the means as rows, so nothing is
gathered elsewhere. Rows are gathered that were set alike (settings a few per cent apart) and read one after the other (a part
of the stroke, or of the order), in one branch of one run (`bench.runs`), never across "at most" or "at least".
Means are of the logarithms where errors are shares of a reading. A mean of m readings weighs m times; the scatter about the
lines through the groups is kept, with its degrees of freedom, so that the size of an unknown error, and every interval,
stays what the single readings give. Over 120 benches of 2000 readings 95 % limits held the truth as often as without
(`tests/test_many_rows.py`).
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..inputs import trusted
from .record import Origin
from .runs import NOT_SET, UP, runs_of

MANY = 400  # readings of all records, above which they are gathered
ENOUGH, LEAST = 200, 8  # means of all records, and of each
OF_A_RUN, MOST = 40, 2000  # means of each of several runs, and of all of them
WIDTHS = (0.01, 0.02, 0.04, 0.08, 0.15, 0.3, 0.6, 1.2, 2.5, np.inf)  # of a group, in ln of a setting
PARTS = (8, 8, 8, 4, 4, 4, 2, 2, 1, 1)  # of the stroke, or of the order of reading, at each width
ORDERS = ("stroke", "run_order", "time")  # columns that say when a row was read, the most telling first


class Gathered(NamedTuple):
    """What stands behind the rows of a gathered record.

    `row_numbers` of the first reading of each group, `counts` of its readings; `squares` of what they scatter about their
    lines, in ln or in the unit read (squared), with its degrees of `freedom`; `origin` of the record that was gathered.
    """

    row_numbers: tuple
    counts: np.ndarray
    squares: float
    freedom: float
    origin: Origin | None

    def where(self, keep):
        """Return the same of some groups; their scatter stays that of all."""
        keep = np.asarray(keep, bool)
        return self._replace(row_numbers=tuple(np.array(self.row_numbers)[keep]), counts=self.counts[keep])


def gathered(tests):
    """Return records with as few rows as a fit needs; the same where there are few."""
    total = sum(len(test.readings) for test in tests)
    if total <= MANY:
        return list(tests)
    return [_gathered(test, _means_of(test, total)) for test in tests]


def _means_of(test, total):
    """Return how many means a record gets: its share, and enough for every run of it to show how it bends."""
    runs = len(runs_of(test).ways)
    share = max(LEAST, round(ENOUGH * len(test.readings) / total))
    return share if runs == 1 else max(share, min(OF_A_RUN * runs, MOST))


def counts_of(test):
    """Return how many readings stand behind each row of a record, shape (N,); None where each row is one."""
    return test.origin.counts if isinstance(test.origin, Gathered) else None


def count_of(test):
    """Return the number of readings behind the rows of a record."""
    counts = counts_of(test)
    return len(test.readings) if counts is None else int(np.sum(counts))


def words(tests):
    """Return in words what was gathered; "" where nothing was."""
    behind = [test for test in tests if counts_of(test) is not None]
    if not behind:
        return ""
    return (
        f"{sum(map(count_of, behind))} readings were gathered into {sum(len(test.readings) for test in behind)} means of "
        "neighbours (settings alike, read one after the other); each counts as often as it holds readings, and their scatter "
        "is kept. A row number is that of the first of them; single stray readings are not looked for among so many."
    )


def _gathered(test, most):
    if len(test.readings) <= most:
        return test
    settings = [name for name in test.columns if name != test.reads and name not in NOT_SET]
    settings += [name for name, values in test.conditions.items() if np.ndim(values)]  # on which a law may depend
    order, runs = _order(test), runs_of(test)
    for width, parts in zip(WIDTHS, PARTS, strict=True):
        keys = [_steps(getattr(test, name), width) for name in settings]
        keys += [np.minimum(order * parts, parts - 1).astype(int), test.bounds[0], np.sign(test.readings)]
        keys += [runs.numbers, runs.branches == UP]
        _, group = np.unique(np.column_stack(keys).astype(int), axis=0, return_inverse=True)
        group = np.ravel(group)
        if group.max() < most:
            break
    if np.ptp(runs.numbers):
        test = replace(test, run=runs.numbers)  # which means in another order would not tell any more
    return _means(test, group, settings, order)


def _order(test):
    """Return how far through the record each row was read, from 0 to 1, shape (N,) [-]; 0 where nothing says."""
    values = next(
        (getattr(test, name) for name in ORDERS if getattr(test, name) is not None), np.zeros(len(test.readings))
    )
    return (values - values.min()) / (np.ptp(values) or 1.0)


def _steps(values, width):
    """Return the number of the step of each value of a setting: in its logarithm where it has one."""
    place = np.log(np.maximum(values, 1e-300)) if values.min() > 0 else values / (np.max(np.abs(values)) or 1.0)
    return np.zeros(len(values)) if np.isinf(width) else np.clip(np.floor((place - place.min()) / width), 0, 1e9)


def _means(test, group, settings, order):
    counts = np.bincount(group)

    def mean(values):
        return np.bincount(group, values) / counts

    def middle(values):
        return np.exp(mean(np.log(values))) if values.min() > 0 else mean(values)

    in_ln = test.in_logarithms and test.readings.min() > 0
    read = np.log(test.readings) if in_ln else test.readings
    means = mean(read)
    squares, freedom = _scatter(read - means[group], _along(test, settings, group, mean), group, counts)
    rows = np.full(len(counts), np.iinfo(int).max)
    np.minimum.at(rows, group, np.arange(len(group)))
    changed = {
        name: middle(getattr(test, name)) if name in settings else mean(getattr(test, name)) for name in test.columns
    }
    changed[test.reads] = np.exp(means) if in_ln else means
    for name in ("uncertainty", "relative_uncertainty"):
        if np.ndim(getattr(test, name)):
            changed[name] = np.sqrt(mean(np.square(getattr(test, name))))
    changed["censored"] = test.censored[rows]
    turn = np.argsort(mean(order), kind="stable")
    changed = {name: values[turn] for name, values in changed.items()}
    origin = Gathered(tuple(test.row_numbers[rows[turn]].tolist()), counts[turn], squares, freedom, test.origin)
    with trusted():
        return replace(test, **changed, origin=origin)


def _along(test, settings, group, mean):
    """Return how far the first setting of each row lies from the middle of its group, in ln; None where none is set."""
    if not settings:
        return None
    values = getattr(test, settings[0])
    place = np.log(values) if values.min() > 0 else values
    return place - mean(place)[group]


def _scatter(left, along, group, counts):
    """Return the squares that the readings leave about the line of their group, and the degrees of freedom of it."""
    squares, freedom = np.bincount(group, left**2), counts - 1.0
    if along is not None:
        spread, both = np.bincount(group, along**2), np.bincount(group, along * left)
        sloping = (spread > 1e-20 * counts) & (counts > 2)
        squares = squares - np.where(sloping, both**2 / np.where(sloping, spread, 1.0), 0.0)
        freedom = freedom - sloping
    return float(np.sum(np.maximum(squares, 0.0))), float(np.sum(freedom))
