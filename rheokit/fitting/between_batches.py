"""How far batches lie apart: the spread of ln stress from batch to batch, of a few batches and of what is usual.

Two batches that agree by chance tell next to nothing of how far the next one lies, and two of which no kind of test was read in both tell
nothing apart from the errors of the tests' theories. So the usual spread stands beside the readings as if so many differences between
batches more had told it as an uncertainty that was stated has degrees of freedom (a scaled inverse chi-square prior of its square, the
conjugate one: Gelman and others, Bayesian Data Analysis, from memory): 95 in 100 spreads then lie from 0.085 to 0.56. What is foretold of
the next batch is Student's t of all of these, the spread integrated out. Of 40000 sets of batches read to 2 % its 95 % limits held, in 100
for a true spread of 0.05, 0.15 and 0.3: of two batches 100, 99 and 88, of three 100, 98 and 88, of five 100, 97 and 90, of ten 100, 96 and
93; by the batches alone 95 to 98 each, with limits of two batches a factor of 5 to either side.
"""

import numpy as np

from ..nomenclature import number
from ..sampling import OF_STATED
from .paste_factors import batch_key

USUAL_SPREAD = 0.15  # sd of ln stress from batch to batch: 0.10 to 0.25 is usual; common practice, no source
AS_MANY = float(OF_STATED)  # differences between batches that the usual spread counts as
ENOUGH = 3.0  # differences between batches that tell what they vary with; with two Student's t is 4.3, with three 3.2


def spread_of_batches(problem, minimum):
    """Return the standard deviation of ln stress from batch to batch: by the squares of the factors and what is usual.

    Where no difference is left to tell it, the usual one is assumed.
    """
    if not spread_freedom(problem):
        return problem.batch_spread
    freedom, factors = batch_freedom(problem, minimum)
    return float(np.sqrt((AS_MANY * USUAL_SPREAD**2 + np.sum(factors**2)) / (AS_MANY + freedom)))


def batch_freedom(problem, minimum):
    """Return how many of the batch factors the readings fix, rather than their prior, and their logarithms."""
    places = [problem.names.index(batch_key(batch)) for batch in problem.batches]
    covariance = np.linalg.pinv(minimum.jacobian.T @ minimum.jacobian)
    held = np.sum(np.diag(covariance)[places]) / problem.batch_spread**2
    return float(np.clip(len(places) - held, 0.0, spread_freedom(problem))), minimum.theta[places]


def spread_freedom(problem):
    """Return how many differences between batches tell their spread: those that tell neither the level nor the effect of a condition.

    A condition that differs within a batch is told there.
    """
    effects = [one.name for one, _ in problem.law_class.conditions if one.parameter_name in problem.free]
    between = [name for name in effects if not any(_differs(problem, batch, name) for batch in problem.batches)]
    return max(len(problem.batches) - 1.0 - len(between), 0.0)


def more_batches(problem, name):
    """Return in words that more batches are needed to tell the effect of a condition; "" where it is told within one, or they are enough."""
    count, left = len(problem.batches), spread_freedom(problem)
    if not count or left >= ENOUGH or any(_differs(problem, batch, name) for batch in problem.batches):
        return ""
    said = f"{left:.0f} difference{'' if left == 1 else 's'}" if left else "no difference"
    return f"more batches, at any {name.replace('_', ' ')}: {count} of them leave {said} to tell how far batches lie apart, beside the effects"


def _differs(problem, batch, name):
    """Say whether a condition differs among the readings of a batch."""
    known = [np.ravel(test.conditions.get(name, np.nan)) for test in problem.tests if test.batch == batch]
    return bool(np.ptp(np.concatenate(known)) > 0)


# --- in words -------------------------------------------------------------------------------------------------------


def where_from(problem):
    """Return in words what the spread of several batches rests on, and what it is not told apart from."""
    count = len(problem.batches)
    if not spread_freedom(problem):
        return f"{number(USUAL_SPREAD)}, assumed: {count} batches tell the effects of their conditions and no spread"
    return (
        f"{number(problem.batch_spread, 2)}, of {count} batches and the usual {number(USUAL_SPREAD)} (common practice, no source), which counts as "
        f"{number(AS_MANY)} differences more: few batches may agree by chance{'; ' if (mixed_up := confounded(problem)) else ''}{mixed_up}"
    )


def confounded(problem):
    """Return in words that the spread is not told apart from errors of theories, where no kind of test was read in two batches."""
    kinds = {}
    for test in problem.tests:
        kinds.setdefault(test.kind, set()).add(test.batch)
    if not problem.batches or any(len(batches) > 1 for batches in kinds.values()):
        return ""
    return "no kind of test was read in two of them, so that how far they lie apart is not told from the errors of the tests' theories"
