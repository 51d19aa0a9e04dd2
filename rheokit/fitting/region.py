"""The extremes of a quantity over all laws that still belong to the readings.

A profile follows the slope of a quantity; a flow near its start pressure has none, because it is 0 over part of the
region. Laws spread over the region find the neighbourhood of each extreme, and steps that never leave the region finish.
So a limit is always a value that a law of the region gives; one that is reached on a plateau is the plateau's value.
"""

from typing import NamedTuple

import numpy as np

from .search import minimise, shortened, step_in_box

SPREAD = 240  # laws of the region at which a quantity is computed first
AIMS = np.array([1.0, 0.995, 0.98, 0.9, 0.6])  # of the misfit's rise, that a step aims at
SHARES = np.array([1.0, 0.5, 0.2, 0.05])  # of a step, that are tried at once
STEPS = 40
SETTLED = 1e-3  # of the distance from the value: a step that gains less is the last but one
OPEN = 0.1  # of that distance, still gained by the last step: the readings set no limit


class Extreme(NamedTuple):
    """A value, the rise of the misfit there over the threshold, why the search ended, and the coordinates there."""

    value: float
    share: float
    why: str
    theta: np.ndarray


def inside(misfit, cloud, chi_square, generator):
    """Return coordinates within the region, shape (k, p): the outermost of a cloud and some of the rest."""
    theta, parts = cloud
    share = (misfit.total(parts) - chi_square) / misfit.rise
    theta = theta[np.argsort(-np.where(share <= 1, share, -np.inf))][: np.count_nonzero(share <= 1)]
    if len(theta) <= SPREAD:
        return theta
    outer, rest = theta[: SPREAD // 2], theta[SPREAD // 2 :]
    return np.concatenate([outer, rest[generator.choice(len(rest), SPREAD // 2, replace=False)]])


def on_walls(problem, misfit, best):
    """Return coordinates within the region with a parameter of the law at an end of what it can be, each of the least misfit, shape (k, p).

    A climb towards such a wall, as a yield stress of zero, slows down and stops short of it: whoever starts there does not.
    """
    found, scales = [], problem.scales(best.theta)
    for place, about in enumerate(map(problem.about, problem.free)):
        for end in (about.low, about.high):
            if about.logarithmic or not np.isfinite(end) or end not in about.ends or best.theta[place] == end:
                continue
            start = np.where(np.arange(len(scales)) == place, end, best.theta)
            held = minimise(
                problem, start, scales, lambda stack, place=place: stack[:, place], end, scales[place], misfit=misfit
            ).theta
            held[place] = end
            if misfit.of(problem.residuals(held[None])[0]) <= best.chi_square + misfit.rise:
                found.append(held)
    return np.reshape(found, (-1, len(scales)))


def extreme(problem, misfit, best, scalar, side, start, width):
    """Return the `Extreme` of a scalar on one side (-1 or 1), from coordinates `start` within the region.

    `scalar` takes a stack (k, p) and gives (k,); `width` is that of the region first seen, in its unit.
    """
    top = best.chi_square + misfit.rise
    theta, origin, why, quiet = start, None, "plateau", 0

    def both(stack):
        return np.column_stack([problem.residuals(stack), scalar(stack)])

    for _ in range(STEPS):
        values, slopes = problem.jacobian(both, theta, problem.scales(theta))
        residuals, slope, value = values[:-1], slopes[-1], values[-1]
        now = misfit.of(residuals)
        origin = value if origin is None else origin
        if not np.isfinite(slopes).all() or not np.any(slope):
            break
        steps = _steps(problem, misfit, theta, residuals, slopes[:-1], side * slope, best.chi_square, now)
        stack = np.clip(theta + steps, *problem.box)
        with np.errstate(all="ignore"):
            tried = both(stack)
            allowed = np.isfinite(tried).all(1) & (misfit.of(tried[:, :-1]) <= top + 1e-9 * misfit.rise)
        gains = np.where(allowed, side * (tried[:, -1] - value), -np.inf)
        chosen = int(np.argmax(gains))
        if gains[chosen] <= 0:
            why = "top"
            break
        far = max(abs(tried[chosen, -1] - origin), width)
        quiet = quiet + 1 if gains[chosen] < SETTLED * far else 0
        theta, value, now = stack[chosen], tried[chosen, -1], misfit.of(tried[chosen, :-1])
        if quiet == 2:
            why = "top"
            break
    else:
        why = "open" if gains[chosen] > OPEN * far else "steps"
    return Extreme(float(value), float((now - best.chi_square) / misfit.rise), why, theta)


def _steps(problem, misfit, theta, residuals, jacobian, uphill, least, now):
    """Return trial steps: to the highest point of the region by its quadratic model, for several aims and shares."""
    weights = misfit.weights(residuals)
    normal, gradient = (jacobian.T * weights) @ jacobian, (jacobian.T * weights) @ residuals
    scales = problem.scales(theta)
    normal = normal + np.diag(1e-9 * (np.diag(normal) * scales**2).max(initial=1e-300) / scales**2)
    out, (down, _) = [], step_in_box(normal, gradient, theta, problem.box)
    for aim in AIMS:
        length = 1.0
        for _ in range(3):  # the length of the climb depends on which coordinates the box holds
            step, _ = step_in_box(normal, gradient - length * uphill, theta, problem.box)
            climb = step - down
            bend = climb @ normal @ climb
            room = least + aim * misfit.rise - (now + 2 * gradient @ down + down @ normal @ down)
            if bend <= 0 or room <= 0:
                length = 0.0
                break
            length *= np.sqrt(room / bend)
        out.append(shortened(step_in_box(normal, gradient - length * uphill, theta, problem.box)[0], scales))
    return (np.array(out)[:, None] * SHARES[:, None]).reshape(-1, len(theta))
