"""How far batches lie apart: the spread of ln stress from batch to batch, of a few batches and of what is usual.

Two batches that agree by chance tell next to nothing of how far the next one lies, and two of which no kind of test was read in both tell
nothing apart from the errors of the tests' theories. So the usual spread counts as the differences between batches that lack to three (a
scaled inverse chi-square prior of its square, the conjugate one: Gelman and others, Bayesian Data Analysis, from memory), and what is
foretold of the next batch is Student's t of three or more, the spread integrated out; three differences and more stand for themselves.
Of 40000 sets of batches read to 2 % its 95 % limits held, in 100 for a true spread of 0.05, 0.15 and 0.3: of two batches 100, 100 and 92,
of three 100, 99 and 94, of five 96, 95 and 95; of two batches alone 98, 96 and 95, with limits a factor of 5 to either side.

One batch tells nothing of the spread: the usual one is taken as known. The law is then that of the batch read, which lies off the median of
batches by a deviation of its own, as the next one does: the next lies sqrt(2) of the spread off the one read. Taken as the median one, it
held 83 in 100 (two normal deviations, by hand: 2 Phi(1.96 / sqrt(2)) - 1).
"""

import numpy as np

from ..nomenclature import number, with_decimals
from .paste_factors import batch_key

USUAL_SPREAD = 0.15  # sd of ln stress from batch to batch: 0.10 to 0.25 is usual; common practice, no source
LEAST_USUAL = 0.1  # below which a spread is unusual: common practice, no source
FEW = 6  # batches, fewer of which may have a small spread by chance
ENOUGH = 3.0  # differences between batches that tell what they vary with; with two Student's t is 4.3, with three 3.2
FIXED = 0.75  # of a difference, which the readings fix so far, counts as the whole of it
NOTHING = 0.05  # of a difference, which is not worth a word
SMALLEST = 0.005  # spread of ln stress that is believed of any batches


def spread_of_batches(problem, minimum):
    """Return the standard deviation of ln stress from batch to batch: by the squares of the factors and what is usual.

    Where no difference is left to tell it, the usual one is assumed.
    """
    if not spread_freedom(problem):
        return problem.batch_spread
    freedom, factors = batch_freedom(problem, minimum)
    _, missing = told_and_missing(problem, minimum)
    squares = missing * USUAL_SPREAD**2 + np.sum(factors**2)
    return max(float(np.sqrt(squares / (missing + freedom))), SMALLEST)


def batch_freedom(problem, minimum):
    """Return how many of the batch factors the readings fix, rather than their prior, and their logarithms."""
    places = [problem.names.index(batch_key(batch)) for batch in problem.batches]
    covariance = np.linalg.pinv(minimum.jacobian.T @ minimum.jacobian)
    held = np.sum(np.diag(covariance)[places]) / problem.batch_spread**2
    return float(np.clip(len(places) - held, 0.2, spread_freedom(problem))), minimum.theta[places]


def told_and_missing(problem, minimum):
    """Return how many differences between batches tell their spread, and for how many the usual one counts beside them."""
    told = min(batch_freedom(problem, minimum)[0] / FIXED, spread_freedom(problem))
    return told, max(ENOUGH - told, 0.0)


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


def where_from(problem, missing):
    """Return in words what the spread of several batches rests on, and what it is not told apart from; `missing` is of `told_and_missing`."""
    count, spread = len(problem.batches), problem.batch_spread
    if not spread_freedom(problem):
        return f"{number(USUAL_SPREAD)}, assumed: {count} batches tell the effects of their conditions and no spread"
    said = f"{number(spread, 2)} from {count} batches"
    if missing > NOTHING:
        said += (
            f" and the usual {number(USUAL_SPREAD)} (common practice, no source), which counts as {number(missing, 2)} differences more: so few "
            "may agree by chance"
        )
    elif spread < LEAST_USUAL and count < FEW:
        said += f", less than the usual {with_decimals(LEAST_USUAL)} or more: so few may agree by chance"
    return "; ".join(filter(None, [said, confounded(problem)]))


def confounded(problem):
    """Return in words that the spread is not told apart from errors of theories, where no kind of test was read in two batches."""
    kinds = {}
    for test in problem.tests:
        kinds.setdefault(test.kind, set()).add(test.batch)
    if not problem.batches or any(len(batches) > 1 for batches in kinds.values()):
        return ""
    return "no kind of test was read in two of them, so that how far they lie apart is not told from the errors of the tests' theories"
