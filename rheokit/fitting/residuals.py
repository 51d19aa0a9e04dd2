"""How surely a pattern is left in the residuals of a fit.

A pattern is a direction in the space of the residuals: a straight line along the order of reading, a bend along the
rate, a single reading. What the fitted parameters can follow of it is taken out first, so what is left is as probable
as stated.
"""

import numpy as np

from ..nomenclature import with_decimals

LEAST_LEFT = 0.05  # share of a direction's length that the fit must leave before anything is said of it
NOTHING = 1e-3  # standard uncertainties, below which residuals are rounding of the search
RANK = 1e-9  # of the greatest singular value, below which a direction of the parameters moves no reading
ALARMS = 0.01  # share of sound benches on which a check may fail by chance
FEWEST = 6  # readings along an order before neighbours are compared


def rows_of(tests, result):
    """Return every reading of some tests of a fit, each as (place of the test, place of the reading)."""
    places = [place for place, test in enumerate(result.tests) if test in tests]
    return tuple((place, row) for place in places for row in range(len(result.tests[place].readings)))


def relative_errors(result):
    """Return the standard uncertainty of each reading as a share of it, shape (N,) [-]."""
    shares = []
    for test, size in zip(result.tests, result.problem.sizes, strict=True):
        amount = np.maximum(np.abs(test.readings), 1e-300)
        if test.error_is_known:
            share = test.reading_errors / amount
        else:
            share = size if test.error == "relative" else size / amount
        shares.append(np.broadcast_to(share, amount.shape))
    return np.concatenate(shares)


def rarity(tail):
    """Return the normal deviate that is as rare, both ways, as a tail probability."""
    from scipy.special import ndtri

    return -ndtri(np.maximum(tail, 1e-300) / 2)


def limit(questions):
    """Return the normal deviate that any of so many questions passes by chance alone with a probability `ALARMS`."""
    return float(rarity(ALARMS / max(questions, 1)))


def chance_words(deviate, most):
    """Return in words how far something lies beyond chance: the numbers that stand behind a sentence about it."""
    return f"{with_decimals(abs(deviate), 1)} standard deviations; chance alone seldom passes {with_decimals(most, 1)}"


def studentised(deviate, freedom):
    """Return deviates in standard uncertainties as normal deviates that are as rare.

    Where the size of the error was estimated with `freedom` degrees of freedom, what is asked about is left out of that
    estimate first and Student's t with one degree less holds; fewer than one left say nothing (0).
    """
    deviate = np.asarray(deviate, float)
    if freedom is None:
        return deviate
    left = freedom - 1
    if left < 1:
        return np.zeros_like(deviate)
    from scipy.special import stdtr

    outside = np.abs(deviate) * np.sqrt(left / np.maximum(freedom - deviate**2, 1e-9))
    return np.sign(deviate) * rarity(2 * stdtr(left, -outside))


def _space(result, beside=()):
    """Return an orthonormal basis of what the fitted parameters can follow, shape (N, r); those at a bound cannot move.

    Directions `beside`, each of shape (N,), may be followed too.
    """
    fixed = [result.problem.names.index(name) for name in result.problem.free if result.is_at_bound(name)]
    jacobian = np.column_stack([np.delete(result.minimum.jacobian, fixed, axis=1), *beside])
    u, s, _ = np.linalg.svd(jacobian / np.maximum(np.linalg.norm(jacobian, axis=0), 1e-300), full_matrices=False)
    return u[:, s > RANK * s.max(initial=0.0)]


def lines(result, directions, beside=()):
    """Return how much of each direction is left in the residuals, and the normal deviate that is as rare, both (k,).

    A direction has one value a reading, in standard uncertainties a unit of it, zero where it says nothing; those
    `beside` may differ besides, as the levels of records do. Both results are zero where the fitted parameters follow
    the direction, so that nothing can be said.
    """
    residuals, freedom = result.minimum.residuals, result.freedom
    full, levels = (_with_priors(each, len(residuals)) for each in (directions, beside))
    basis = _space(result, levels)
    size = 1.0
    if freedom is not None and len(levels):  # the size of the error without what the levels take up
        more = basis.shape[1] - _space(result).shape[1]
        taken = np.sum((basis.T @ residuals) ** 2) - np.sum((_space(result).T @ residuals) ** 2)
        size = np.sqrt(max(freedom - taken, 1e-9) / max(freedom - more, 1e-9))
        freedom = freedom - more
    left = full - full @ basis @ basis.T
    length = np.linalg.norm(left, axis=1)
    seen = length > LEAST_LEFT * np.linalg.norm(full, axis=1)
    length = np.where(seen, length, np.inf)
    along = left @ residuals / length
    return along / length, studentised(along / size, freedom)


def pushed(result, rows, at_bound):
    """Return how far the readings push what was known, as normal deviates as rare: each prior, and all of them together.

    What the fit leaves free of a prior's residual is less than a standard deviation, the less the readings test it; a sum
    of squares of all has the mean and variance of what is left, and is taken as a scaled chi-square (Satterthwaite).
    `rows` are the places of the priors among the residuals; a parameter `at_bound` cannot follow: its residual counts
    as it is.
    """
    from scipy.special import chdtrc, ndtri

    if not len(rows):
        return np.zeros(0), 0.0
    residuals, basis = result.minimum.residuals[rows], _space(result)[rows]
    left = np.eye(len(rows)) - basis @ basis.T
    free = ~np.asarray(at_bound, bool)
    share = np.where(free, np.maximum(np.diag(left), LEAST_LEFT), 1.0)
    squares, left = float(np.sum(residuals[free] ** 2)), left[np.ix_(free, free)]
    mean, variance = np.trace(left), 2 * np.sum(left * left.T)
    together = 0.0
    if mean > LEAST_LEFT:
        together = float(-ndtri(np.clip(chdtrc(2 * mean**2 / variance, 2 * mean / variance * squares), 1e-300, 1.0)))
    return residuals / np.sqrt(share), together if np.isfinite(together) else 0.0


def _with_priors(directions, count):
    """Return directions of the readings as rows, with zeros for the residuals of the priors."""
    out = np.zeros((len(directions), count))
    for row, direction in zip(out, directions, strict=True):
        row[: len(direction)] = direction
    return out


def neighbours(result, order):
    """Return the normal deviate as rare as the likeness of neighbours along an order; negative where they differ.

    The sum of products of neighbours over the sum of squares is a ratio of quadratic forms, as that of Durbin and
    Watson (Biometrika 37 (1950) 409, from memory): its mean and variance follow from what the fit leaves free. A beta
    distribution between -1 and 1 is given both. A reading without a place in the order has NaN there.
    """
    from scipy.special import betainc, ndtri

    places = np.flatnonzero(np.isfinite(order))
    places = places[np.argsort(order[places], kind="stable")]
    residuals, basis = result.minimum.residuals[places], _space(result)[places]
    left = np.eye(len(places)) - basis @ basis.T
    free = np.trace(left)
    if len(places) < FEWEST or free < 2 or residuals @ residuals < NOTHING**2 * free:
        return 0.0
    beside = np.zeros_like(left)  # half the sum of the rows before and after
    beside[1:] += left[:-1] / 2
    beside[:-1] += left[1:] / 2
    mean = np.trace(beside) / free
    variance = 2 * (np.sum(beside * beside.T) / free - mean**2) / (free + 2)
    likeness = float(residuals[1:] @ residuals[:-1] / (residuals @ residuals))
    low, high = (1 - mean) / 2, (1 + mean) / 2
    both = 4 * low * high / variance - 1
    above = betainc(low * both, high * both, (1 - likeness) / 2)
    return float(-ndtri(np.clip(above, 1e-300, 1 - 1e-16)))
