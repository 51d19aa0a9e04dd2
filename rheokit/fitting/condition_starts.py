"""Effects of conditions to start a fit from: those that bring the curves and yield stresses of all records nearest to one."""

from functools import lru_cache

import numpy as np

from ..inputs import trusted
from ..laws.herschel_bulkley import HerschelBulkley

TIMES = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)  # of its usual size: effects that are tried, below 0 too where one may be
TURNS = 2  # through all conditions


def at_reference(law_class, test, rates, stresses, effects):
    """Return rates [1/s] and stresses [Pa] read off a test as they are at the reference of a law, by some effects of conditions."""
    stress, rate = law_class.factors_at(test.conditions, effects)
    if len(stresses) != len(test.readings):
        stress, rate = np.median(stress), np.median(rate)
    return rates * rate, stresses / stress


@lru_cache(maxsize=16)
def starting_effects(law_class, tests, fixed):
    """Return a value of each effect by the name of its parameter: as fixed, else the likeliest of a few, one condition after the other.

    `fixed` holds (name, value); a search asks for the same tests many times.
    """
    conditions, fixed = [condition for condition, _ in law_class.conditions], dict(fixed)
    sizes = {one.parameter_name: one.parameter.size for one in conditions}
    effects = {name: float(fixed.get(name, size)) for name, size in sizes.items()}
    free = [one for one in conditions if one.parameter_name not in fixed]
    with trusted(), np.errstate(all="ignore"):
        for _ in range(TURNS if len(free) > 1 else 1):
            for one in free:
                name, about = one.parameter_name, one.parameter
                tried = [sign * times * about.size for times in TIMES for sign in ((1, -1) if about.low < 0 else (1,))]
                effects[name] = min(
                    tried, key=lambda value, name=name: _apart(law_class, tests, effects | {name: value})
                )
    return effects


def _apart(law_class, tests, effects):
    """Return how far curves and yield stresses lie from one law and one value where conditions have such effects [squares of ln]."""
    curves = [at_reference(law_class, test, *test.rough_curve(), effects) for test in tests]
    rates, stresses = (np.concatenate(parts) for parts in zip(*curves, strict=True))
    seen = (rates > 0) & (stresses > 0)
    squares = 0.0
    if seen.sum() > 1:
        law = HerschelBulkley.guess(rates[seen], stresses[seen])
        squares += float(np.sum(np.log(law.shear_stress(rates[seen]) / stresses[seen]) ** 2))
    alone = [
        at_reference(law_class, test, found, found, effects)[1] for test in tests if len(found := test.yield_stresses())
    ]
    logs = np.log(np.concatenate(alone)) if alone else np.zeros(0)
    logs = logs[np.isfinite(logs)]
    return squares + float(np.sum((logs - logs.mean()) ** 2)) if len(logs) else squares
