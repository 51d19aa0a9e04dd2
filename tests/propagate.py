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
    problem, known = fit_asked.problem, None if extruder is None else fit.known(extruder)
    found = []
    for _ in range(count):
        priors = {key: _moved(prior, random.standard_normal) for key, prior in problem.nuisances.items()}
        found.append(_answer(fit_asked, question, known, _read_again(problem, random), priors))
    return np.array(found)


def held(problem):
    """Return the keys of the parameters that a prior holds, in their order."""
    return [key for key, prior in problem.nuisances.items() if np.isfinite(prior.spread)]


def moved_by(fit, question, key, by):
    """Return the answer where the middle of one prior lies `by` of its standard deviation higher."""
    priors = dict(fit.problem.nuisances)
    priors[key] = _moved(priors[key], lambda: by)
    return _answer(fit, question, None, fit.problem.tests, priors)


def _answer(fit, question, known, tests, priors):
    """Return the answer of the least sum of squares with other readings and priors."""
    problem, theta = fit.problem, fit.minimum.theta
    told = {name: getattr(problem, name) for name in ("curve", "typical_stress", "middle_rate", "start_effects")}
    moved = replace(problem, tests=tests)
    vars(moved).update(told, nuisances=priors)
    end = minimise(moved, theta, moved.scales(theta), most=200)
    assert end.converged
    return float(stacked(fit, question, known, np.zeros(()))(end.theta[None])[0])


def _moved(prior, drawn):
    if not np.isfinite(prior.spread):
        return prior
    by = prior.spread * drawn()
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
