"""Words on a region map: where each fits inside what it names, without standing on another; else beside it, with a leader.

Places are shares of the picture, 0 to 1 from left and from below.
"""

from typing import NamedTuple

import numpy as np

from .region_shapes import FINE

LETTER, LINE = 8.0, 19  # px of text, generously
NEAR_LINES = 2  # points of the fine grid kept free along lines, where there is room


class Label(NamedTuple):
    """Lines of text about a middle, and the leader to what they name, a (2, 2) array or None."""

    lines: list
    centre: tuple
    leader: np.ndarray | None = None


class Places:
    """What of a picture is still free for words.

    Parameters
    ----------
    plot : (float, float)
        Width and height of the picture. [px]
    lines : sequence of ndarray
        What words keep clear of where they can.
    """

    def __init__(self, plot, lines=()):
        """Start with a picture on which no word stands."""
        self.plot = plot
        self.free = np.ones((FINE, FINE), bool)
        self.clear = np.ones((FINE, FINE), bool)
        for line in lines:
            across, up = np.clip((np.asarray(line) * FINE).astype(int), 0, FINE - 1).T
            for right in range(-NEAR_LINES, NEAR_LINES + 1):
                for high in range(-NEAR_LINES, NEAR_LINES + 1):
                    self.clear[np.clip(up + high, 0, FINE - 1), np.clip(across + right, 0, FINE - 1)] = False

    def take(self, centre, wide, tall):
        """Keep a box about a centre free of words [px]."""
        self.free &= ~self._box(centre, (wide / self.plot[0], tall / self.plot[1]))

    def inside(self, zone, candidates):
        """Return the `Label` of the first candidate, a list of lines, that fits into a zone, or None."""
        for room in (zone & self.free & self.clear, zone & self.free):
            for lines in candidates:
                wide, tall = self.size(lines)
                centre = box_place(room, (wide / self.plot[0], tall / self.plot[1]))
                if centre:
                    self.take(centre, wide, tall)
                    return Label(lines, centre)
        return None

    def beside(self, zone, candidates):
        """Return the `Label` of the first candidate that fits near a zone, with a leader to its deepest point, one that crosses no word if there is, or None."""
        deepest = _deepest(zone)
        seen = self._seen_from(deepest)
        rooms = self.free & self.clear & ~zone, self.free & ~zone
        for room, centres in (*((one, seen) for one in rooms), *((one, None) for one in rooms)):
            for lines in candidates:
                wide, tall = self.size(lines)
                centre = box_place(room, (wide / self.plot[0], tall / self.plot[1]), near=deepest, centres=centres)
                if centre:
                    self.take(centre, wide, tall)
                    leader = np.array([self._edge(centre, (wide, tall), deepest), deepest])
                    for place in leader[0] + np.linspace(0, 1, FINE)[:, None] * (leader[1] - leader[0]):
                        self.take(place, LETTER, LETTER)  # that no later word stands on it
                    return Label(lines, centre, leader)
        return None

    def on_line(self, line, text):
        """Return the `Label` of a word on a line where nothing else stands, nearest to its middle, or None."""
        wide, tall = self.size([text])
        box = (wide / self.plot[0], (tall - 6) / self.plot[1])
        for place in sorted(range(len(line)), key=lambda k: abs(k - len(line) // 2)):
            across, up = line[place]
            within = box[0] / 2 < across < 1 - box[0] / 2 and box[1] / 2 < up < 1 - box[1] / 2
            if within and self.free[self._box((across, up), box)].all():
                self.take((across, up), wide, tall)
                return Label([text], (across, up))
        return None

    def _seen_from(self, place):
        """Return from where a straight way to a place crosses no word, shape (FINE, FINE)."""
        up, across = (np.indices((FINE, FINE)) + 0.5) / FINE
        seen = np.ones((FINE, FINE), bool)
        for share in np.linspace(0, 1, FINE // 2, endpoint=False):
            there = [(to + share * (one - to)) * FINE for one, to in ((up, place[1]), (across, place[0]))]
            seen &= self.free[tuple(np.clip(one.astype(int), 0, FINE - 1) for one in there)]
        return seen

    def _edge(self, centre, size, to):
        """Return where the way from the middle of a box [px] to another place leaves it, so that it strikes through no word."""
        way = np.asarray(to) - np.asarray(centre)
        half = np.asarray(size) / np.asarray(self.plot) / 2
        return centre + way * min(1.0, *(half / np.maximum(np.abs(way), 1e-9)))

    @staticmethod
    def size(lines):
        """Return the width and height that lines of text take [px]."""
        return LETTER * max(map(len, lines)) + 10, LINE * len(lines) + 8

    @staticmethod
    def _box(centre, box):
        middles = (np.arange(FINE) + 0.5) / FINE
        return (abs(middles - centre[1]) < box[1] / 2)[:, None] & (abs(middles - centre[0]) < box[0] / 2)[None, :]


def box_place(zone, box, near=None, centres=None):
    """Return the (across, up) share of the picture where a box fits inside a zone, deepest or nearest to a point, or None.

    Where given, `centres` holds the places about which it may stand.
    """
    rows, columns = zone.shape
    wide, tall = max(1, int(np.ceil(box[0] * columns))), max(1, int(np.ceil(box[1] * rows)))
    if wide >= columns or tall >= rows:
        return None
    summed = np.pad(zone.astype(int).cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    inside = summed[tall:, wide:] - summed[:-tall, wide:] - summed[tall:, :-wide] + summed[:-tall, :-wide]
    middles = slice(tall // 2, tall // 2 + inside.shape[0]), slice(wide // 2, wide // 2 + inside.shape[1])
    fits = inside == wide * tall
    if centres is not None:
        fits &= centres[middles]
    if not fits.any():
        return None
    if near is None:
        depth = _depth(zone)
        merit = depth[middles]
    else:
        up, across = np.indices(fits.shape)
        merit = -np.hypot((across + wide / 2) / columns - near[0], (up + tall / 2) / rows - near[1])
    row, column = np.unravel_index(int(np.argmax(np.where(fits, merit, -np.inf))), fits.shape)
    return (column + wide / 2) / columns, (row + tall / 2) / rows


def broken(text):
    """Return a text as candidates: in one line, two, three and four, each about equally long."""
    parts, out = text.split(), []
    for count in (1, 2, 3, 4):
        lines = [""]
        for part in parts:
            if lines[-1] and len(lines[-1]) + len(part) / 2 > len(text) / count and len(lines) < count:
                lines.append("")
            lines[-1] = f"{lines[-1]} {part}".strip()
        if len(lines) == count:
            out.append(lines)
    return out


def _depth(zone):
    from scipy.ndimage import distance_transform_edt

    return distance_transform_edt(np.pad(zone, 1))[1:-1, 1:-1]


def _deepest(zone):
    row, column = np.unravel_index(int(np.argmax(_depth(zone))), zone.shape)
    return (column + 0.5) / zone.shape[1], (row + 0.5) / zone.shape[0]
