"""Factors on every stress that no apparatus explains: of a batch, of a record, for what the law leaves along the rate.

Records of one kind and batch at several conditions were filled anew for each, or warmed, or rested: beside what the conditions do they differ
by what two fillings differ by. A law that depends on no condition takes them as they are, since each tells the whole of it. The effect of a
condition is told by these differences alone: a percent between two fillings, half a kelvin apart, is 250 kJ/mol. So where records lie apart
by more than their scatter (once in twenty by chance), each has a factor of its own, random with a spread that is estimated as that of
batches is; where no difference is left to tell it, beside the effects, the usual spread from run to run is assumed.
"""

import numpy as np

from ..bench.base import Shared, nuisance
from ..laws import Shifted
from ..sampling import next_spread
from .run_factors import USUAL, run_rows, stress_slopes
from .runs_apart import told_between

NEXT_BATCH = Shared("next_batch_factor")
LACK_OF_FIT = Shared("lack_of_fit_factor")
NOTICED = 0.05  # chance that records of one paste, alike but for their scatter, are taken to lie apart
LEAST_SPREAD = 0.005  # of ln stress from record to record, as of batches
LEAST_INSIDE = 3  # degrees of freedom of the scatter within records, below which nothing is said of what lies between


def batch_key(batch):
    """Return the key of the factor on every stress of a batch."""
    return Shared("batch_factor", batch)


def factors_of(problem):
    """Return the nuisance parameters that are factors on every stress, by key; that of the next batch is the last."""
    found = {}
    if problem.lack_of_fit > 0:
        found[LACK_OF_FIT] = nuisance("lack_of_fit_factor", 1.0, problem.lack_of_fit, logarithmic=True)
    if problem.record_spread > 0:
        prior = nuisance("record_factor", 1.0, problem.record_spread, logarithmic=True)
        found |= dict.fromkeys(problem.record_keys.values(), prior)
    for key in map(batch_key, problem.batches):
        found[key] = nuisance("batch_factor", 1.0, problem.batch_spread, logarithmic=True)
    if problem.next_batch:
        spread = next_spread(problem.batch_spread, one_read=not problem.batches)
        found[NEXT_BATCH] = nuisance("batch_factor", 1.0, spread, logarithmic=True)
    return found


def shifted(problem, law, test, values):
    """Return a law as the batch and the record of a test have it."""
    if problem.batches:
        law = Shifted(law, values[batch_key(test.batch)])
    key = problem.record_keys.get(test) if problem.record_spread > 0 else None
    return law if key is None else Shifted(law, values[key])


# --- records --------------------------------------------------------------------------------------------------------


def record_keys(tests):
    """Return the key of the factor of each record that stands beside others of its kind and batch."""
    keys = {}
    for members in _groups(tests):
        for place in members:
            name = tests[place].name_and_batch
            alike = sum(key.startswith(f"record_factor[{name}") for key in keys.values())
            keys[tests[place]] = Shared("record_factor", f"{name} {alike + 1}" if alike else name)
    return keys


def _groups(tests):
    """Return the places of records of one kind and batch, two or more of them, that have no runs of their own."""
    runs, found = {run.test for run in run_rows(tests)}, {}
    for place, test in enumerate(tests):
        if place not in runs and not test.general:
            found.setdefault((test.kind, test.batch), []).append(place)
    return [members for members in found.values() if len(members) > 1]


def effects_between(problem):
    """Return how many effects of conditions are told by differences between records of one kind and batch alone."""
    tests, groups, count = problem.tests, _groups(problem.tests), 0
    for condition, _ in problem.law_class.conditions:
        if condition.parameter_name in problem.free:
            values = [test.conditions[condition.name] for test in tests]
            differs = any(len({float(np.mean(values[place])) for place in members}) > 1 for members in groups)
            count += differs and told_between(values)
    return count


def record_freedom(problem):
    """Return how many differences between records tell their spread, beside levels and effects of conditions."""
    effects = effects_between(problem)
    return max(sum(len(members) - 1 for members in _groups(problem.tests)) - effects, 0) if effects else 0


def spread_of_records(problem, minimum):
    """Return the standard deviation of ln stress from record to record [-]; 0 where none is noticed, or no effect rests on it."""
    if not problem.law_class.conditions or not effects_between(problem):
        return 0.0
    told = record_freedom(problem)
    if not told:
        return USUAL
    if problem.record_spread > 0:
        places = [problem.names.index(key) for key in problem.record_keys.values()]
        covariance, factors = np.linalg.pinv(minimum.jacobian.T @ minimum.jacobian), minimum.theta[places]
        held = np.sum(np.diag(covariance)[places]) / problem.record_spread**2
        freedom = float(np.clip(len(places) - held, 0.2, told))
        return max(float(np.sqrt(np.sum(factors**2) / freedom)), LEAST_SPREAD)
    return _noticed(problem, minimum, told)


def _noticed(problem, minimum, told):
    """Return the spread of records that lie apart by more than the scatter within them; 0 where they do not."""
    from scipy.special import fdtrc

    slopes, first = stress_slopes(problem, minimum.theta), np.cumsum([0, *problem.counts])
    members = [place for group in _groups(problem.tests) for place in group]
    squares = between = amount = 0.0
    for place in members:
        rows = slice(first[place], first[place + 1])
        left, slope = minimum.residuals[rows], slopes[rows]
        weight = max(float(slope @ slope), 1e-300)
        squares, between, amount = (
            squares + float(left @ left),
            between + float(slope @ left) ** 2 / weight,
            amount + weight,
        )
    count = sum(problem.counts[place] for place in members)
    inside = count - len(members) - max(len(problem.free) - 1 - effects_between(problem), 0)
    if inside < LEAST_INSIDE:
        return 0.0
    known = all(problem.tests[place].error_is_known for place in members)
    size = 1.0 if known else max(squares - between, 1e-300) / inside
    if fdtrc(told, inside, between / told / size) >= NOTICED:
        return 0.0
    return max(float(np.sqrt((between - told * size) / (amount * told / len(members)))), LEAST_SPREAD)
