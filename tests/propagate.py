"""Monte Carlo propagation of the inputs of a fit (as JCGM 101:2008 has it): each is moved by its own distribution, and the fit made again.

It knows nothing of the budget: it moves readings and the middles of priors, and searches the least sum of squares anew.
"""

from dataclasses import replace

import numpy as np

from rheokit.bench.gathered import counts_of
from rheokit.fitting.predictions import of_batch, stacked
from rheokit.fitting.run_factors import allowed_for, told_by_runs
from rheokit.fitting.search import minimise
from rheokit.inputs import trusted


def propagated(fit, question, count, extruder=None, batch="median", seed=5):
    """Return `count` answers, each of inputs moved at random, as an array."""
    random, fit_asked = np.random.default_rng(seed), of_batch(fit, batch)
    problem, theta = fit_asked.problem, fit_asked.minimum.theta
    answer = stacked(fit_asked, question, None if extruder is None else fit.known(extruder), np.zeros(()))
    found = []
    for _ in range(count):
        moved = replace(problem, tests=_read_again(problem, random))
        told = {name: getattr(problem, name) for name in ("curve", "typical_stress", "middle_rate", "start_effects")}
        priors = {key: _moved(prior, random) for key, prior in problem.nuisances.items()}
        vars(moved).update(told, nuisances=priors)
        end = minimise(moved, theta, moved.scales(theta), most=200)
        assert end.converged
        found.append(float(answer(end.theta[None])[0]))
    return np.array(found)


def _moved(prior, random):
    if not np.isfinite(prior.spread):
        return prior
    by = prior.spread * random.standard_normal()
    return prior._replace(middle=prior.middle * np.exp(by) if prior.logarithmic else prior.middle + by)


def _read_again(problem, random):
    """Return the tests with each reading moved by its error, and each run by its own."""
    errors = [random.standard_normal(count) for count in problem.counts]
    first, spread = np.cumsum([0, *problem.counts]), 0.0
    if problem.runs:
        spread = allowed_for(problem.runs, problem.run_spread, told_by_runs(problem))
    for run in problem.runs:
        slopes = np.array(problem.run_slopes)[first[run.test] + run.rows] / problem.sizes[run.test]
        errors[run.test][run.rows] += spread * slopes * random.standard_normal()
    tests = []
    for test, size, error in zip(problem.tests, problem.sizes, errors, strict=True):
        behind = counts_of(test)
        error = error if behind is None else error / np.sqrt(behind)
        if test.in_logarithms:
            share = size if test.relative_uncertainty is None else test.relative_uncertainty
            readings = test.readings * np.exp(share * error)
        else:
            amount = size if test.uncertainty is None else test.uncertainty
            share = test.relative_uncertainty or 0.0
            readings = test.readings + np.hypot(amount, share * test.readings) * error
        with trusted():
            tests.append(replace(test, **{test.reads: np.maximum(readings, 0.0)}))  # none is below nothing
    return tuple(tests)
