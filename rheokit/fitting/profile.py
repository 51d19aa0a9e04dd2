"""Profile-likelihood limits of any scalar: a parameter, a stress at a rate, a force.

The limit is where the least sum of squares, given the scalar, has risen by the threshold. Over 300 synthetic benches 95 %
limits so found held the truth in 93 to 97 %, also where one fit in ten ends at no yield stress. An open end is an answer:
the readings do not say.
"""

from typing import NamedTuple

import numpy as np

from . import region
from .search import minimise

TOLERANCE = 5e-3  # of the signed root of the rise
NEAR = 0.9  # of the misfit's rise, below which no crossing is reported
FAR = 1e3  # standard errors without a crossing that count as open


class Limits(NamedTuple):
    """Lower and upper limit of a scalar, and why each stands where it does ("crossed", "bound" or "open")."""

    low: float
    high: float
    why_low: str
    why_high: str


def limits(problem, misfit, best, scalar, extent=(-np.inf, np.inf)):
    """Return the limits of a scalar of the coordinates.

    Parameters
    ----------
    problem : Problem
    misfit : Misfit
        Its rise at the limit.
    best : Minimum
        The least sum of squares.
    scalar : callable
        Takes a stack (k, p), gives (k,).
    extent : tuple of float
        Least and greatest value the scalar can take, in the unit of the scalar.
    """
    scales = problem.scales(best.theta)
    value, slope = problem.jacobian(lambda stack: scalar(stack)[:, None], best.theta, scales)
    value, slope = float(value[0]), slope[0]
    error = _standard_error(problem, best, slope, scales)
    sides = []
    for side, edge in ((-1, extent[0]), (1, extent[1])):
        sides.append(_one_side(problem, misfit, best, scalar, value, error, side, edge))
    (low, why_low), (high, why_high) = sides
    return Limits(low, high, why_low, why_high)


def one_side(problem, misfit, best, scalar, side, start):
    """Return the limit of a scalar on one side (-1 or 1), from coordinates that belong to the readings as well as the best."""
    scales = problem.scales(start)
    value, slope = problem.jacobian(lambda stack: scalar(stack)[:, None], start, scales)
    best = best._replace(theta=start)
    error = _standard_error(problem, best, slope[0], scales)
    return _one_side(problem, misfit, best, scalar, float(value[0]), error, side, side * np.inf)[0]


def _standard_error(problem, best, slope, scales):
    """Return the linear standard error of the scalar, or a large step where the readings do not fix it."""
    inside = (best.theta > problem.box[0]) & (best.theta < problem.box[1])
    scaled = best.jacobian * scales
    keep = inside if inside.any() else np.ones(len(inside), bool)
    _, s, vt = np.linalg.svd(scaled[:, keep], full_matrices=False)
    weights = (slope * scales)[keep] @ vt.T
    s = np.maximum(s, 1e-6 * max(s.max(initial=0.0), 1e-12))
    error = float(np.sqrt(np.sum((weights / s) ** 2)))
    if error > 0 and np.isfinite(error):
        return error
    return float(np.abs(slope * scales).max(initial=0.0)) or 1e-12


def _one_side(problem, misfit, best, scalar, value, error, side, edge):
    root = np.sqrt(misfit.rise)
    scales = problem.scales(best.theta)
    inner, z_inner, theta = value, 0.0, best.theta
    outer = z_outer = None
    trial = value + side * root * error
    if side * (value - edge) >= 0:
        return edge, "bound"
    for _ in range(40):
        trial = edge if side * (trial - edge) >= 0 else trial
        found = minimise(problem, theta, scales, scalar, trial, size=error, most=40, misfit=misfit)
        met = abs(float(scalar(found.theta[None])[0]) - trial) < 1e-3 * error
        z = np.sqrt(max(misfit.of(found.residuals) - best.chi_square, 0.0)) if met else np.inf
        if abs(z - root) < TOLERANCE:
            return trial, "crossed"
        if z < root:
            if trial == edge:
                return edge, "bound"
            inner, z_inner, theta = trial, z, found.theta
        else:
            outer, z_outer = trial, z
        if outer is None:
            if abs(trial - value) > FAR * error:
                return side * np.inf, "open"
            trial = value + (trial - value) * min(max(root / max(z, 0.05), 1.15), 4.0)
        elif not np.isfinite(z_outer):
            trial = (inner + outer) / 2
        else:
            share = (root - z_inner) / (z_outer - z_inner)
            trial = inner + min(max(share, 0.1), 0.9) * (outer - inner)
        if outer is not None and abs(outer - inner) < 1e-3 * error:
            break
    climbed = region.extreme(
        problem, misfit, best, scalar, side, theta, error
    )  # the constraint was not met further out
    return (climbed.value, "crossed") if climbed.share > NEAR else (side * np.inf, "open")
