"""Words beside lines and marks: pushed apart where they would lie upon each other."""

import textwrap
from contextlib import suppress

import numpy as np

LINE = 20  # px from one line of words to the next
LETTER = 7.5  # px, mean width of a letter
AXIS_LETTER = 6.5  # px, of a title beside an axis
BESIDE_PLOT = 90  # px at most that a vertical axis takes
USUAL = 15  # px of text of which that is the width
AWAY, CLEAR = 14, 3  # px from a mark to its name, across; and up or down, beside the height of the text
WORSE = 1e6  # times is it to lie on a mark than on what words had better not lie on
EDGE = 1  # px by which words may stick out of a plot
SIDES = {"above right": (1, 1), "below left": (-1, -1), "below right": (1, -1), "above left": (-1, 1)}
"""Of a mark, on which its name stands, the usual first: the way right and the way up."""


def break_titles(chart, width, height):
    """Break the titles of a chart's axes that are longer than their axis; its width, axes included, and height in px of the usual text."""
    for part in getattr(chart, "layer", []):
        break_titles(part, width, height)
    for name, room in (("x", width - BESIDE_PLOT), ("y", height)):
        with suppress(AttributeError, KeyError, TypeError):  # what has no such axis, or no title
            title, letters = chart.encoding[name]["title"], int(room / AXIS_LETTER)
            if len(title) > letters:
                broken = textwrap.wrap(title, max(letters, 1), break_long_words=False, break_on_hyphens=False)
                chart.encoding[name]["title"] = broken


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


class FreeRoom:
    """Room for words in a plot, in px of the usual text from its lower left corner; what is put takes room from what comes later.

    Parameters
    ----------
    marks : ndarray, shape (N, 2, 2)
        Two opposite corners of each: what words must not lie on.
    softly : ndarray, shape (M, 2, 2)
        What they had better not lie on.
    plot : (float, float)
        Width and height of the plot.
    """

    def __init__(self, marks, softly, plot):
        self._taken, self._softly, self._plot = list(_sorted(marks)), _sorted(softly), np.array(plot)

    @staticmethod
    def wide(words):
        """Return how much room words take across."""
        return LETTER * len(words)

    def put(self, words, places):
        """Return the place of the left end of words, at half their height, that lies on least, the first of the like, with the words."""
        middles = np.array(places, float) + np.array([self.wide(words) / 2, 0])
        half = np.array([self.wide(words), USUAL]) / 2
        boxes = np.stack([middles - half, middles + half], axis=1)
        out = np.any((boxes[:, 0] < 0) | (boxes[:, 1] > self._plot + EDGE), axis=1)
        best = (WORSE * (_met(boxes, np.array(self._taken)) + out) + _met(boxes, self._softly)).argmin()
        self._taken.append(boxes[best])
        return *(float(one) for one in places[best]), words


def _sorted(corners):
    """Return lower left and upper right corners of boxes."""
    ends = np.asarray(corners, float).reshape(-1, 2, 2)
    return np.stack([ends.min(axis=1), ends.max(axis=1)], axis=1)


def _met(boxes, others):
    """Return on how many other boxes each lies."""
    if not len(others):
        return np.zeros(len(boxes), int)
    return np.count_nonzero(
        np.all((boxes[:, None, 0] < others[None, :, 1]) & (others[None, :, 0] < boxes[:, None, 1]), axis=2), axis=1
    )


def _box(middle, wide, tall):
    """Return the lower left and the upper right corner of a box."""
    half = np.array([wide, tall]) / 2
    return middle - half, middle + half
