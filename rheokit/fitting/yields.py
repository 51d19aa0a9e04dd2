"""What the tests of the yield stress say alone, each reading with its interval, beside the law that was fitted to all."""

from dataclasses import replace
from typing import Any

import numpy as np

from ..bench.base import CRITERION_ERROR, BenchTest
from ..framed import framed
from ..hints import Table
from ..inputs import trusted
from ..laws.bingham import Bingham
from ..roots import increasing_root
from ..sampling import TAILS
from .residuals import relative_errors
from .solution import Solution

STEP = 1e-4  # of a reading, by which its weight on the stress is found
ENDS = 1e-3, 1e7  # Pa, of yield stresses among which that of a bound is looked for
BOUNDS = ["test", "place", "reading_place", "state", "stress", "side"]
COLUMNS = ["test", "place", "reading_place", "state", "stress", "low", "high"]


def yield_readings(result: Solution) -> Table:
    """Return the yield stress that each reading gives alone, taken to the law's reference.

    Parameters
    ----------
    result : FitResult

    Returns
    -------
    table : DataFrame
        Columns test, place (of the test), reading_place (in it), state ("dynamic" or "static"), and stress, low, high [Pa]: 95 %
        limits of the error of the reading with those of the test's own theory and of its uncertain dimensions. A bound gives no yield stress.
    """
    from scipy.special import ndtri

    errors = np.split(relative_errors(result), np.cumsum([len(test.readings) for test in result.tests])[:-1])
    rows = []
    for place, (test, error) in enumerate(zip(result.tests, errors, strict=True)):
        alone = np.asarray(test.at_reference(result.law, 0.0, test.yield_stresses())[1])
        kept = np.flatnonzero(test.bounds[0] == 0)
        if not len(alone) or len(alone) not in (len(kept), len(test.readings)):
            continue
        alone = alone if len(alone) == len(kept) else alone[kept]
        weight = _moved(test, **{test.reads: test.readings * (1 + STEP)}) / STEP
        theory = np.hypot(test.model_error, 0.0 if test.simple_shear or not test.model_error else CRITERION_ERROR)
        squares = (weight * error[kept]) ** 2 + theory**2 + _of_dimensions(test) ** 2
        factor = np.exp(ndtri(TAILS[1]) * np.sqrt(squares))
        ends = zip(kept, alone, alone / factor, alone * factor, strict=True)
        rows += [[test.name, place, int(k), test.state, s, low, high] for k, s, low, high in ends if s > 0]
    return framed(rows, columns=COLUMNS)


def read_alone(result: Solution) -> dict[int, tuple[float, ...]]:
    """Return the yield stress that each test gives alone with its limits, the middle of its readings, by its place among the tests [Pa]."""
    groups = yield_readings(result).groupby("place")
    return {place: tuple(map(float, rows[["stress", "low", "high"]].median())) for place, rows in groups}


def yield_bounds(result: Solution) -> Table:
    """Return the bound on the yield stress that each reading gives alone which is no number, as `yield_readings` those that are.

    Parameters
    ----------
    result : FitResult

    Returns
    -------
    table : DataFrame
        Columns test, place, reading_place, state, stress [Pa], and side: 1 where it is at least that, -1 at most.
    """
    rows = []
    for place, test in enumerate(result.tests):
        side, limit = test.bounds
        bound = np.flatnonzero(side)
        if not len(bound) or type(test).yield_stresses is BenchTest.yield_stresses:
            continue
        rises = 1 if np.all(_read(test, ENDS[1]) > _read(test, ENDS[0])) else -1
        found = _stress_of(test, limit, rises)
        stress = np.broadcast_to(test.at_reference(result.law, 0.0, found)[1], limit.shape)
        states = np.where(test.static_rows, "static", "dynamic")
        rows += [
            [test.name, place, int(k), str(states[k]), stress[k], int(side[k] * rises)]
            for k in bound
            if ENDS[0] < found[k] < ENDS[1]
        ]
    return framed(rows, columns=BOUNDS)


def _stress_of(test, reading, rises):
    """Return the yield stress [Pa] of which a test reads so much, shape (N,); `rises` is 1 where a larger one reads more, else -1."""

    def miss(ln_stress):
        return rises * (_read(test, np.exp(ln_stress)) - reading)

    return np.exp(increasing_root(miss, np.full(reading.shape, np.mean(np.log(ENDS)))))


def _read(test, yield_stress):
    """Return what a test of the yield stress reads of one [Pa], shape (N,)."""
    with trusted():
        return np.broadcast_to(test.expected(Bingham(yield_stress, 1.0), {}), test.readings.shape)


def _moved(test, **more: Any):
    """Return the ln by which the yield stresses of a test move with a field of it, shape (N,); what is a number stays one beyond its window's end."""
    other = replace(test, **more)
    vars(other)["bounds"] = test.bounds
    return np.log(other.yield_stresses() / test.yield_stresses())


def _of_dimensions(test):
    """Return the standard deviation of ln yield stress that uncertain dimensions of a test make, shape (N,)."""
    own = {key.name: prior for key, prior in test.own_nuisances().items() if key.name in test.__dataclass_fields__}
    shares = [_moved(test, **{name: one.middle - STEP * one.spread}) / STEP for name, one in own.items()]
    return np.sqrt(np.sum(np.square(shares), axis=0)) if shares else 0.0
