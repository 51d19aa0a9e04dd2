"""Words beside lines: pushed apart where they would lie upon each other."""

import numpy as np

LINE = 20  # px from one line of words to the next
LETTER = 7.5  # px, mean width of a letter


def apart(places, gap, low, high):
    """Return places that keep a gap from each other, moved as little as it takes, between two bounds.

    Parameters
    ----------
    places : sequence of float
    gap, low, high : float
        In the unit of the places.
    """
    order = np.argsort(places, kind="stable")
    moved = np.clip(np.asarray(places, float)[order], low, high)
    for k in range(1, len(moved)):
        moved[k] = max(moved[k], moved[k - 1] + gap)
    ceiling = high
    for k in reversed(range(len(moved))):
        moved[k] = min(moved[k], ceiling)
        ceiling = moved[k] - gap
    back = np.empty(len(moved))
    back[order] = moved
    return back
