"""Roots of increasing functions, for whole arrays at once."""

import numpy as np


def increasing_root(miss, start, step=4.0, tolerance=1e-14, most=200):
    """Return where an increasing function crosses zero, by regula falsi inside a bracket (Illinois).

    Parameters
    ----------
    miss : callable
        Takes an array of trial values and returns the function there, same shape; elementwise and increasing.
    start : ndarray
        Where to begin, in the unit of the root; the bracket grows from here by doubling steps.
    step : float
        First step of the bracket. [-]
    tolerance : float
        Width of the bracket, or size of the miss, at which to stop. [-]
    most : int
        Greatest number of steps. [-]

    Returns
    -------
    root : ndarray
        The root; the far end of the bracket where the function has none within about 4000 steps of `step`.
    """
    low, high = np.array(start, float), np.array(start, float)
    f_low = f_high = miss(low)
    for grow in step * 2.0 ** np.arange(11):
        above, below = f_low > 0, f_high < 0
        if not (above.any() or below.any()):
            break
        high, f_high = np.where(above, low, high), np.where(above, f_low, f_high)
        low, f_low = np.where(below, high, low), np.where(below, f_high, f_low)
        low, high = np.where(above, low - grow, low), np.where(below, high + grow, high)
        f_low = np.where(above, miss(low), f_low) if above.any() else f_low
        f_high = np.where(below, miss(high), f_high) if below.any() else f_high
    side, root = np.zeros(low.shape), low
    for _ in range(most):
        gap = f_high - f_low
        root = (low * f_high - high * f_low) / np.where(gap == 0, 1.0, gap)
        root = np.where((root > low) & (root < high), root, (low + high) / 2)
        f = miss(root)
        up = f < 0
        f_high = np.where(up & (side > 0), f_high / 2, f_high)
        f_low = np.where(~up & (side < 0), f_low / 2, f_low)
        low, f_low = np.where(up, root, low), np.where(up, f, f_low)
        high, f_high = np.where(up, high, root), np.where(up, f_high, f)
        side = np.where(up, 1.0, -1.0)
        if np.all((np.abs(f) < tolerance) | (high - low < tolerance)):
            break
    return root
