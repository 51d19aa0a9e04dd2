"""Effects of conditions to start a fit from: those that bring the curves and yield stresses of all records nearest to one."""

import numpy as np

from ..inputs import trusted
from ..laws.herschel_bulkley import HerschelBulkley

TIMES = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)  # of its usual size: effects that are tried, below 0 too where one may be
TURNS = 2  # through all conditions


def starting_effects(problem):
    """Return a value of each effect by the name of its parameter: as fixed, else the likeliest of a few, one condition after the other."""
    conditions = [condition for condition, _ in problem.law_class.conditions]
    sizes = {one.parameter_name: one.parameter.size for one in conditions}
    effects = {name: float(problem.fixed.get(name, size)) for name, size in sizes.items()}
    free = [one for one in conditions if one.parameter_name not in problem.fixed]
    with trusted(), np.errstate(all="ignore"):
        for _ in range(TURNS if len(free) > 1 else 1):
            for one in free:
                name, about = one.parameter_name, one.parameter
                tried = [sign * times * about.size for times in TIMES for sign in ((1, -1) if about.low < 0 else (1,))]
                effects[name] = min(tried, key=lambda value, name=name: _apart(problem, effects | {name: value}))
    return effects


def _apart(problem, effects):
    """Return how far curves and yield stresses lie from one law and one value where conditions have such effects [squares of ln]."""
    curves = [problem.at_reference(test, *test.rough_curve(), effects) for test in problem.tests]
    rates, stresses = (np.concatenate(parts) for parts in zip(*curves, strict=True))
    seen = (rates > 0) & (stresses > 0)
    squares = 0.0
    if seen.sum() > 1:
        law = HerschelBulkley.guess(rates[seen], stresses[seen])
        squares += float(np.sum(np.log(law.shear_stress(rates[seen]) / stresses[seen]) ** 2))
    alone = [
        problem.at_reference(test, found, found, effects)[1]
        for test in problem.tests
        if len(found := test.yield_stresses())
    ]
    logs = np.log(np.concatenate(alone)) if alone else np.zeros(0)
    logs = logs[np.isfinite(logs)]
    return squares + float(np.sum((logs - logs.mean()) ** 2)) if len(logs) else squares
