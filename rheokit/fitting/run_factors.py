"""Runs of one record differ by more than their readings scatter: each has a factor of its own on every stress.

Thirty curves of one sample are not thirty times as many independent readings: what moved one of them (filling, rest, temperature)
moved all its rows. The factors are random with one standard deviation of ln stress for all runs, as those of batches are. There
may be many, and nobody asks for one of them, so they are no coordinates: the residuals of a run are turned into as many
that are independent, with the factor integrated out (exact for errors that are shares of a stress, linear for others),

    z' = z - c g (g·z)/(g·g),   c = 1 - 1/√(1 + s² g·g),   g = dz/d ln stress,

which is the inverse root of their covariance 1 + s² g gᵀ. The spread s is that of DerSimonian and Laird (Controlled
Clinical Trials 7 (1986) 177, from memory). Two or three runs hardly tell it: they may agree by chance, and Student's t of two, which knows
nothing else, would leave a stress open by half. So what intervals allow for is pooled with what is usual, which counts as much as
two more runs would, and made wider by Student's t over the normal deviate of both.

Up and down branch of one loop are no sample of two: what sets them apart has a sign, and the law goes between. There the spread is
taken as it is, which holds either branch, and a check tells how far they lie apart (see `branches`).
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench.runs import DOWN, UP, runs_of
from ..inputs import trusted
from ..laws import Shifted
from ..sampling import SURE, widened
from .runs_apart import told_between

FACTOR = 1e-4  # of ln stress, for the slope of a residual along it
USUAL, USUAL_FREEDOM = (
    0.03,
    2.0,
)  # spread of ln stress from run to run of one paste, and what it counts for; common practice, no source


class RunRows(NamedTuple):
    """Rows of one run of a record: the place of its test, the number and way of the run, and its places in the record."""

    test: int
    number: int
    way: str
    rows: np.ndarray


def run_rows(tests):
    """Return the `RunRows` of every record that has two or more runs."""
    found = []
    for place, test in enumerate(tests):
        if test.general:
            continue
        runs = runs_of(test)
        ways = runs.ways
        if len(ways) > 1:
            found += [RunRows(place, number, way, np.flatnonzero(runs.rows(number))) for number, way in ways.items()]
    return found


def freedom_of(runs, effects=0):
    """Return how many differences between runs of one record tell their spread, and none of the effects of conditions that they tell."""
    return max(len(runs) - len({run.test for run in runs}) - effects, 0)


def told_by_runs(problem):
    """Return how many effects of conditions are told by differences between the runs of one record alone."""
    runs = problem.runs
    if not runs or len({run.test for run in runs}) > 1 or len(problem.tests) > 1:
        return 0
    count = 0
    for condition, _ in problem.law_class.conditions:
        value = problem.tests[0].conditions.get(condition.name)
        if condition.parameter_name in problem.free and np.ndim(value):
            count += told_between(value[run.rows] for run in runs)
    return count


def is_loop(runs):
    """Return whether runs are the up and the down branch of one loop a record, and nothing else."""
    ways = {}
    for run in runs:
        ways.setdefault(run.test, []).append(run.way)
    return all(sorted(way) == sorted((UP, DOWN)) for way in ways.values())


def allowed_for(runs, spread, effects=0):
    """Return the standard deviation of ln stress from run to run that intervals allow for [-], where readings say `spread`."""
    if not runs or is_loop(runs):
        return spread
    told, assumed = freedom_of(runs, effects), USUAL_FREEDOM
    pooled = np.sqrt((told * spread**2 + assumed * USUAL**2) / (told + assumed))
    return float(pooled * widened(told + assumed))


def independent(residuals, slopes, spread):
    """Return the residuals of one run, shape (k, n), as independent ones: a factor on its stresses of some spread integrated out."""
    squares = max(float(slopes @ slopes), 1e-300)
    share = (1 - 1 / np.sqrt(1 + spread**2 * squares)) / squares
    return residuals - share * (residuals @ slopes)[..., None] * slopes


def make_independent(problem, rows):
    """Put independent residuals in the place of those of runs; `rows` holds an array (k, n) a test."""
    spread, first = (
        allowed_for(problem.runs, problem.run_spread, told_by_runs(problem)),
        np.cumsum([0, *problem.counts]),
    )
    for run in problem.runs:
        slopes = np.array(problem.run_slopes)[first[run.test] + run.rows] / problem.sizes[run.test]
        rows[run.test] = np.array(rows[run.test])
        rows[run.test][:, run.rows] = independent(rows[run.test][:, run.rows], slopes, spread)


@trusted()
def stress_slopes(problem, theta):
    """Return by how many standard uncertainties the residual of each reading grows with ln stress at coordinates, shape (N,)."""
    law, nuisance = problem.law(theta), {key: float(value) for key, value in problem.nuisance_values(theta).items()}
    rows = []
    for test, size in zip(problem.tests, problem.sizes, strict=True):
        seen = problem.of_batch(law, test, nuisance)
        more, less = (test.residuals(Shifted(seen, np.exp(step)), nuisance, size) for step in (FACTOR, -FACTOR))
        rows.append((more - less) / (2 * FACTOR))
    return np.concatenate(rows)


def levels(problem, theta):
    """Return ln of the level of each run over the law, and its variance by the scatter of its readings alone, both (runs,)."""
    as_read = replace(problem, run_slopes=()).residuals(theta[None])[0]
    slopes, first = stress_slopes(problem, theta), np.cumsum([0, *problem.counts])
    found, variances = [], []
    for run in problem.runs:
        rows = first[run.test] + run.rows
        squares = max(float(slopes[rows] @ slopes[rows]), 1e-300)
        found.append(-float(slopes[rows] @ as_read[rows]) / squares)
        variances.append(1 / squares)
    return np.array(found), np.array(variances)


class RunFactor(NamedTuple):
    """The factor of one run on every stress, over the law of the median run [-], with its 95 % limits."""

    run: RunRows
    value: float
    low: float
    high: float


def factors(problem, minimum):
    """Return the `RunFactor` of every run: its level, drawn to 1 by as much as the spread of runs is told beside its scatter.

    The limits hold the scatter of its readings and, linear, what is not known of the law; the spread is taken as allowed for (see the head).
    """
    if not problem.runs:
        return []
    theta, scales = minimum.theta, problem.scales(minimum.theta)
    found, variances = levels(problem, theta)
    square = allowed_for(problem.runs, problem.run_spread, told_by_runs(problem)) ** 2
    as_read, slopes = replace(problem, run_slopes=()), stress_slopes(problem, theta)
    _, jacobian = as_read.jacobian(as_read.residuals, theta, scales)
    root, first, out = np.linalg.pinv(minimum.jacobian * scales), np.cumsum([0, *problem.counts]), []
    for run, level, variance in zip(problem.runs, found, variances, strict=True):
        rows, share = first[run.test] + run.rows, square / (square + variance)
        moves = -variance * slopes[rows] @ jacobian[rows] * scales @ root
        error = np.sqrt(share * variance + share**2 * float(moves @ moves))
        ends = share * level + np.array([-SURE, 0.0, SURE]) * error
        low, value, high = np.exp(ends).tolist()
        out.append(RunFactor(run, value, low, high))
    return out


def spread_of_runs(problem, theta):
    """Return the standard deviation of ln stress from run to run [-], beside what the scatter of readings explains."""
    if not problem.runs:
        return 0.0
    found, variances = levels(problem, theta)
    tests = np.array([run.test for run in problem.runs])
    excess = amount = 0.0
    for test in np.unique(tests):
        own = tests == test
        weights = 1 / variances[own]
        middle = np.sum(weights * found[own]) / weights.sum()
        excess += np.sum(weights * (found[own] - middle) ** 2) - (own.sum() - 1)
        amount += weights.sum() - np.sum(weights**2) / weights.sum()
    freedom, effects = freedom_of(problem.runs), told_by_runs(problem)
    left = freedom_of(problem.runs, effects)
    if not left:
        return 0.0
    return float(np.sqrt(max((excess + effects) / (amount * left / freedom), 0.0)))
