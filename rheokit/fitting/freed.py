"""Does the misfit fall when something that a fit held is freed: a slip law, a length of land for the ends, the level of a kind of test?

A search that starts where the fit ended, with what was freed where it does nothing, stays there: no slope leads away. So it is begun
at many values of what was freed, all other coordinates being fitted again with each, the likeliest of them searched on. It begins in the error sizes
and spreads of the fit, in which what holds nothing besides can only lie lower; only what lowers the misfit there is settled with sizes of its own, as a
fit by hand is. Where the best end is no least sum of squares, or lies higher than the fit that it holds as a special case, the search has not
found what it looked for, and the question is open: the gain is NaN.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench import BenchTest
from ..bench.slip_starts import slip_starts
from ..inputs import trusted
from ..laws import FlowLaw
from .estimate import likeliest, settled, slip_trials
from .problem import Problem, same_prior
from .search import Minimum, minimise, step_in_box

TRIED = (0.0, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0)  # times the middle of what is freed
LOGARITHMS = (0.0, -0.4, 0.4, -1.0, 1.0, -2.3, 2.3)  # added to the logarithm of what is freed
SLIPS = 6  # trial slip laws, with the laws that they suggest
SHORT, LONG = (3, 10), (1, 200)  # of the likeliest trials: how many are searched on, and the most steps of each search
WORTH_SETTLING = 2.0  # fall of the sum of squares in the sizes of the fit, below which others make no large one of it
NOTHING = 0.1  # of the sum of squares: what a search that has ended may still leave


class Freed(NamedTuple):
    """How far the misfit falls [-], NaN where the search has not told; the law and what readings share there; the freedom behind error sizes."""

    gain: float
    law: FlowLaw
    nuisance: dict[str, float]
    freedom: float | None

    @property
    def known(self) -> bool:
        """Whether the search has told."""
        return bool(np.isfinite(self.gain))


def freed(
    fit, tests: Sequence[BenchTest], near: Sequence[FlowLaw], nested: bool = True, least: float = WORTH_SETTLING
) -> Freed:
    """Return what becomes of a fit with other choices made on its tests, as `Freed`.

    Parameters
    ----------
    fit : Solution
    tests : sequence of BenchTest
        Those of the fit, each in its place, with something freed.
    near : sequence of FlowLaw
        Laws to start from.
    nested : bool
        Whether what is freed can do what was held: the misfit then cannot rise.
    least : float
        Fall of the misfit in the sizes of the fit, from which sizes are settled anew. [-]
    """
    before = replace(fit.problem, lack_of_fit=0.0, next_batch=False)
    problem = replace(before, tests=tuple(tests))
    minimum = likeliest(problem, _trials(before, problem, fit, near), SHORT, LONG)
    gain, freedom = fit.chi_square - minimum.chi_square, fit.freedom
    if not (_ended(problem, minimum) and (gain > -NOTHING or not nested)):
        gain = np.nan
    elif gain > least:
        first = problem
        problem, minimum, freedom = settled(problem, minimum)
        if problem is not first:
            held = _with_sizes_of(before, problem)
            start = held.coordinates(fit.law, fit.nuisance)
            gain = minimise(held, start, held.scales(start), most=40).chi_square - minimum.chi_square
        gain = gain if _ended(problem, minimum) else np.nan
    nuisance = {key: float(value) for key, value in problem.nuisance_values(minimum.theta).items()}
    return Freed(float(gain), problem.law(minimum.theta), nuisance, freedom)


def _trials(before: Problem, problem: Problem, fit, near: Sequence[FlowLaw]) -> list[np.ndarray]:
    """Return coordinates to start from: each law with each trial value of what is freed, what else readings share as the fit has it."""
    own = [
        key
        for key, prior in problem.nuisances.items()
        if key not in before.nuisances or not same_prior(prior, before.nuisances[key])
    ]
    known = {key: value for key, value in fit.nuisance.items() if key in problem.nuisances}
    trials, slips = [], slip_starts(problem.tests)
    if slips:
        ranks = range(max(map(len, slips)))
        chosen = [[starts[min(rank, len(starts) - 1)] for starts in slips] for rank in ranks]
        for law in near:
            for starts in chosen:
                trial = {key: value for one in starts for key, value in one.nuisance.items()}
                trials.append(problem.coordinates(law, known | trial))
        return trials + slip_trials(problem, None, slips, SLIPS, known)
    for law in near:
        for share, step in zip(TRIED, LOGARITHMS, strict=True):
            trial = {key: _at(problem.nuisances[key], known.get(key), share, step) for key in own}
            trials.append(problem.coordinates(law, known | trial))
    return trials


def _at(prior, value, share, step):
    """Return a trial value of what is freed, of its middle or of the value that the fit has."""
    if prior.logarithmic:
        return (prior.middle if value is None else value) * np.exp(step)
    return float(np.clip(share * (prior.middle or 1.0), prior.low, prior.high))


def _with_sizes_of(held: Problem, found: Problem) -> Problem:
    """Return a problem with the error sizes and spreads of another one of the same readings."""
    tests = []
    for test, other in zip(held.tests, found.tests, strict=True):
        if test.rounding_alone:
            with trusted():
                test = replace(test, relative_uncertainty=other.relative_uncertainty)
        tests.append(test)
    names = ("sizes", "batch_spread", "run_spread", "run_slopes", "record_spread")
    return replace(held, tests=tuple(tests), **{name: getattr(found, name) for name in names})


def _ended(problem: Problem, minimum: Minimum) -> bool:
    """Return whether a search has ended: at a least sum of squares, or where one more step is expected to lower it by next to nothing."""
    if minimum.converged:
        return True
    normal, gradient = minimum.jacobian.T @ minimum.jacobian, minimum.jacobian.T @ minimum.residuals
    floor = (
        1e-12
        * np.max(np.diag(normal))
        / problem.scales(minimum.theta) ** 2
        * np.min(problem.scales(minimum.theta)) ** 2
    )
    step, _ = step_in_box(normal + np.diag(floor), gradient, minimum.theta, problem.box)
    return bool(np.isfinite(step).all() and -(2 * gradient @ step + step @ normal @ step) < NOTHING)
