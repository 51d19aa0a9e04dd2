"""Roots of increasing functions, for whole arrays at once."""

from collections.abc import Callable

import numpy as np

LONGEST = 2.0**10  # of the first step: as far as one step may go where no bracket is known yet


def increasing_root(
    miss: Callable[[np.ndarray], np.ndarray],
    start: np.ndarray,
    step: float = 4.0,
    tolerance: float = 1e-14,
    most: int = 200,
    slope: float | None = None,
) -> np.ndarray:
    """Return where an increasing function crosses zero, by secants inside a bracket, halved where these are slow.

    Parameters
    ----------
    miss : callable
        Takes an array of trial values and returns the function there, same shape; elementwise and increasing.
    start : ndarray
        Where to begin, in the unit of the root; until the root is bracketed the steps grow by doubling.
    step : float
        First step, or the longest first step where a slope is given. [-]
    tolerance : float
        Width of the bracket, or size of the miss, at which to stop. [-]
    most : int
        Greatest number of steps. [-]
    slope : float, optional
        About that of the function at the start. [-]

    Returns
    -------
    root : ndarray
        The root; where the search ended if the function has none within about 2000 steps of `step`.
    """
    old = np.array(start, float)
    f_old = miss(old)
    low, high = np.where(f_old < 0, old, -np.inf), np.where(f_old > 0, old, np.inf)
    first = -np.sign(f_old) * step if slope is None else np.clip(-f_old / slope, -step, step)
    x, reach, slow, done = old + first, step, np.zeros(old.shape), f_old == 0
    for _ in range(most):
        f = miss(x)
        done = done | (np.abs(f) < tolerance)
        low, high = np.where(f < 0, np.maximum(low, x), low), np.where(f > 0, np.minimum(high, x), high)
        width = high - low
        done = done | (width < tolerance)
        if done.all():
            break
        if np.isinf(width).any():
            reach = min(2 * reach, step * LONGEST)
        gap = f - f_old
        by_secant = x - f * (x - old) / np.where(gap == 0, 1.0, gap)
        slow = np.where(np.abs(f) > np.abs(f_old) / 2, slow + 1, 0)
        bracketed = np.isfinite(width)
        halfway = np.where(
            bracketed, (np.where(bracketed, low, 0.0) + np.where(bracketed, high, 0.0)) / 2, x - np.sign(f) * reach
        )
        near = (
            (by_secant > low)
            & (by_secant < high)
            & (gap * (x - old) > 0)
            & (slow < 3)
            & (np.abs(by_secant - x) <= reach)
        )
        slow = np.where(near, slow, 0)
        new = np.where(done, x, np.where(near, by_secant, halfway))
        old, f_old, x = np.where(done, old, x), f, new
    return x
