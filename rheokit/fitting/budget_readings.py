"""What each reading moves of an answer of a fit, by its own scatter, and its run as a whole; and how large that scatter is."""

from typing import NamedTuple

import numpy as np

from ..bench.base import quantity_of
from ..bench.gathered import counts_of
from .run_factors import allowed_for, told_by_runs


class Reading(NamedTuple):
    """One reading as an input: its test, the number of its row, value, unit, standard uncertainty, and what that moves of the answer, signed."""

    test: str
    row: int
    value: float
    unit: str
    uncertainty: float
    move: float


def apart(problem, place, moves):
    """Return what each reading of a record moves by its own scatter, and what each of its runs moves as a whole.

    Residuals of a run are turned into independent ones (`run_factors`): the same turn takes the moves back.
    """
    own: np.ndarray = np.array(moves)
    whole: list[float] = []
    if not problem.run_slopes:
        return own, whole
    spread, first = (
        allowed_for(problem.runs, problem.run_spread, told_by_runs(problem)),
        np.cumsum([0, *problem.counts]),
    )
    for run in problem.runs:
        if run.test == place:
            slope = np.array(problem.run_slopes)[first[place] + run.rows] / problem.sizes[place]
            squares = max(float(slope @ slope), 1e-300)
            share = (1 - 1 / np.sqrt(1 + spread**2 * squares)) / squares
            own[run.rows] = moves[run.rows] - share * (moves[run.rows] @ slope) * slope
            whole.append(spread * float(own[run.rows] @ slope))
    return own, whole


def sizes_of(result, place, test):
    """Return the standard uncertainty of each reading by what was stated as an amount and by what is a share of it, in the unit read, both (N,)."""
    size, read = result.problem.sizes[place], np.abs(test.readings)
    if not test.error_is_known:
        amount, share = (0.0, size) if test.in_logarithms else (size, 0.0)
    else:
        amount, share = (0.0 if one is None else one for one in (test.uncertainty, test.relative_uncertainty))
    behind = counts_of(test)
    scale = 1.0 if behind is None else 1 / np.sqrt(behind)
    return np.broadcast_to(amount * scale, read.shape), np.broadcast_to(share * read * scale, read.shape)


def each_reading(result, moves):
    """Return every `Reading` of a fit, in order; `moves` as for `inputs_of`. A bound that grows pulls the answer by its own sign."""
    found, first = [], np.cumsum([0, *result.problem.counts])
    for place, test in enumerate(result.tests):
        own, _ = apart(result.problem, place, moves[first[place] : first[place + 1]])
        sizes, unit = np.hypot(*sizes_of(result, place, test)), quantity_of(test, test.reads).unit
        signs = np.where(test.bounds[0] == 0, 1, -test.bounds[0])
        rows = zip(test.row_numbers, test.readings, sizes, signs * own, strict=True)
        found += [
            Reading(test.name, int(row), float(value), unit, float(size), float(move))
            for row, value, size, move in rows
        ]
    return found
