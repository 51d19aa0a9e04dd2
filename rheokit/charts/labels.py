"""Words beside lines and marks: pushed apart where they would lie upon each other."""

import numpy as np

LINE = 20  # px from one line of words to the next
LETTER = 7.5  # px, mean width of a letter
USUAL = 15  # px of text of which that is the width
AWAY, CLEAR = 14, 3  # px from a mark to its name, across; and up or down, beside the height of the text
SIDES = {"above right": (1, 1), "below left": (-1, -1), "below right": (1, -1), "above left": (-1, 1)}
"""Of a mark, on which its name stands, the usual first: the way right and the way up."""


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


def sides_of(places, names, crowd, plot, text):
    """Return on which of the `SIDES` of its mark each name stands: inside the plot, on no other name or mark, and on little else.

    Parameters
    ----------
    places : ndarray, shape (N, 2)
        Of the marks. [px]
    names : sequence of str
    crowd : ndarray, shape (M, 2)
        Points of lines that names keep clear of where they can. [px]
    plot : (float, float)
        Width and height of the plot. [px]
    text : float
        Height of the text. [px]
    """
    taken, sides = [_box(place, text, text) for place in places], []
    for place, name in zip(places, names, strict=True):
        wide, found = LETTER * len(name) * text / USUAL, {}
        for side, (right, up) in SIDES.items():
            beside = np.array([right * (AWAY + wide / 2), up * (text + CLEAR)])
            box = _box(place + beside, wide, text + CLEAR)
            meets = np.count_nonzero([np.all((box[0] < high) & (low < box[1])) for low, high in taken])
            out = np.any(box[0] < 0) or np.any(box[1] > plot)
            crossed = np.count_nonzero(np.all((box[0] < crowd) & (crowd < box[1]), axis=1))
            found[side] = (meets + out, crossed), box
        side = min(found, key=lambda one: found[one][0])
        sides.append(side)
        taken.append(found[side][1])
    return sides


def _box(middle, wide, tall):
    """Return the lower left and the upper right corner of a box."""
    half = np.array([wide, tall]) / 2
    return middle - half, middle + half
