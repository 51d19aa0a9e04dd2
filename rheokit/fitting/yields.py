"""What the tests of the yield stress say alone, each reading with its interval, beside the law that was fitted to all."""

from dataclasses import replace
from typing import Any

import numpy as np

from ..bench.base import CRITERION_ERROR
from ..framed import framed
from ..hints import Table
from ..sampling import TAILS
from .residuals import relative_errors
from .solution import Solution

STEP = 1e-4  # of a reading, by which its weight on the stress is found
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
        numbered = kept if len(alone) == len(kept) else np.arange(len(alone))
        weight = _moved(test, **{test.reads: test.readings * (1 + STEP)}) / STEP
        theory = np.hypot(test.model_error, 0.0 if test.simple_shear or not test.model_error else CRITERION_ERROR)
        squares = (weight * error[numbered]) ** 2 + theory**2 + _of_dimensions(test) ** 2
        factor = np.exp(ndtri(TAILS[1]) * np.sqrt(squares))
        ends = zip(numbered, alone, alone / factor, alone * factor, strict=True)
        rows += [[test.name, place, int(k), test.state, s, low, high] for k, s, low, high in ends if s > 0]
    return framed(rows, columns=COLUMNS)


def _moved(test, **more: Any):
    """Return the ln by which the yield stresses of a test move with a field of it, shape (N,)."""
    return np.log(replace(test, **more).yield_stresses() / test.yield_stresses())


def _of_dimensions(test):
    """Return the standard deviation of ln yield stress that uncertain dimensions of a test make, shape (N,)."""
    own = {key.name: prior for key, prior in test.own_nuisances().items() if key.name in test.__dataclass_fields__}
    shares = [_moved(test, **{name: one.middle - STEP * one.spread}) / STEP for name, one in own.items()]
    return np.sqrt(np.sum(np.square(shares), axis=0)) if shares else 0.0
