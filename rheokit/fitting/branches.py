"""Runs of one record side by side: how much they differ, and how far up and down branch of a loop lie apart.

Both are told with their size, and fail where the stress at the rates of use depends on which run is taken by more than a repeat may
differ, or by more than it is known (see `consequence`). The intervals hold what sets runs apart (see `run_factors`), so a
failed row is to be read and forbids nothing.
"""

from itertools import pairwise

import numpy as np

from ..bench.runs import DOWN, UP, runs_of
from ..checking import Check
from ..nomenclature import written
from . import consequence
from .consequence import share
from .residuals import rows_of
from .run_factors import is_loop, levels

REPEATS = 0.10  # of the stress, by which a repeat may differ; common practice, no source
POINTS = 200  # along the rates that both branches cover


def all_checks(result):
    """Return the rows that can be asked."""
    return [*runs_repeat(result), *hysteresis(result)]


def runs_repeat(result):
    """Say how much the runs of one record differ, beside what their readings scatter."""
    runs = result.problem.runs
    if not runs or is_loop(runs):
        return []
    spread, freedom = result.run_spread
    above, _ = levels(result.problem, result.minimum.theta)
    low, high = (runs[int(place)] for place in (np.argmin(above), np.argmax(above)))
    passed = bool(spread < REPEATS)
    comment = (
        f"{len(runs)} runs of {' and '.join(dict.fromkeys(result.tests[run.test].name for run in runs))} differ by {share(spread)} of the stress "
        f"(standard deviation, beside the scatter of their readings): run {low.number} lies {_by(above.min())} the law, run {high.number} "
        f"{_by(above.max())}. The law is that of the median run; intervals hold what sets runs apart."
    )
    if freedom < 3:
        comment += " So few runs hardly tell how much runs differ: read more."
    if not passed:
        comment += (
            " That is more than repeats of one paste differ: fix filling, pre-shear and rest, or choose the runs that are meant with runs "
            "in the [[test]] of bench.toml."
        )
    rows = () if passed else rows_of([result.tests[place] for place in {run.test for run in runs}], result)
    return [Check("runs repeat", spread, REPEATS, passed, comment, rows)]


def _by(level):
    return f"{share(np.expm1(level))} {'above' if level > 0 else 'below'}"


def hysteresis(result):
    """Say how far up and down branch of a loop lie apart: the area between them, and what it leaves open of the stress in use."""
    found = [loop for test in result.tests if (loop := _loop(test)) is not None]
    if not found:
        return []
    test, numbers, rates, up, down = max(found, key=lambda one: abs(_area(*one[2:])[1]))
    area, part = _area(rates, up, down)
    most, used = consequence.allowed(result)
    used = np.clip(used, rates[0], rates[-1]) if used.max() > 0 else rates[:1]
    apart = np.interp(np.log(used), np.log(rates), np.log(up / down))
    size, allowed = consequence.worst(apart / 2, np.broadcast_to(most, apart.shape))
    passed = bool(abs(size) < allowed)
    which = "" if numbers[0] == numbers[1] else f" (runs {numbers[0]} and {numbers[1]})"
    comment = (
        f"{test.name}{which}: the up branch lies {'above' if part > 0 else 'below'} the down branch by an area of {written(abs(area), 'W/m³')} "
        f"(Pa/s), {share(part)} of that under the up branch. The law is taken from both, and lies within {share(size)} of the stress of either "
        f"{consequence.where(result)}."
    )
    if not passed:
        comment += (
            ' Which branch is meant matters: write branch = "down" in the [[test]] of bench.toml for paste that was sheared before, as in a '
            'nozzle, branch = "up" for paste at rest.'
        )
    return [
        Check(
            "up and down branch agree", abs(size), allowed, passed, comment, () if passed else rows_of([test], result)
        )
    ]


def _loop(test):
    """Return (test, numbers of the runs, rates [1/s], stresses up, stresses down [Pa]) of the first loop of a record; None without one."""
    rates, stresses = test.rough_curve()
    if len(rates) != len(test.readings) or test.general or np.min(stresses, initial=np.inf) <= 0:
        return None
    runs = runs_of(test)
    parts = [
        (number, way, rows)
        for number in runs.ways
        for way in (UP, DOWN)
        if (rows := np.flatnonzero(runs.rows(number) & (runs.branches == way))).size > 2
    ]
    parts.sort(key=lambda part: part[2][0] if test.run_order is None else test.run_order[part[2]].min())
    for first, second in pairwise(parts):
        if first[1] == second[1]:
            continue
        by_way = {first[1]: first[2], second[1]: second[2]}
        low, high = (choose(ends) for choose, ends in _ends(rates, by_way))
        if high > 1.5 * low > 0:
            at = np.geomspace(low, high, POINTS)
            up, down = (_along(rates[by_way[way]], stresses[by_way[way]], at) for way in (UP, DOWN))
            return test, (first[0], second[0]), at, up, down
    return None


def _ends(rates, by_way):
    """Return what chooses the rates that both branches cover: the greatest of the least, and the least of the greatest."""
    return (max, [rates[rows].min() for rows in by_way.values()]), (
        min,
        [rates[rows].max() for rows in by_way.values()],
    )


def _along(rates, stresses, at):
    """Return stresses [Pa] at rates [1/s], straight between readings in logarithms; repeats of a rate by their mean."""
    places, which = np.unique(rates, return_inverse=True)
    means = np.bincount(which, np.log(stresses)) / np.bincount(which)
    return np.exp(np.interp(np.log(at), np.log(places), means))


def _area(rates, up, down):
    """Return the area between the branches [W/m3], positive where the up branch is above, and its share of that under it [-]."""
    between, under = (float(np.trapezoid(values, rates)) for values in (up - down, up))
    return between, between / under
