"""Rising curves in tables, one row for each draw of what they rest on, read at any place and in both directions."""

from typing import NamedTuple

import numpy as np

from ..hints import Numbers

SEARCH = 3  # Newton's steps inside one step of a table


class Curve(NamedTuple):
    """A rising curve over a coordinate from 0 to 1, shape (..., nodes) at evenly spaced nodes.

    `value` stands in the curve's own unit, `slope` is its derivative by the coordinate. Between two nodes it follows the
    cubic that has both. Rows broadcast with what is asked: rows of shape (count, 1, 1) with places (rows, columns).
    """

    value: np.ndarray
    slope: np.ndarray

    @classmethod
    def summed(cls, slope: np.ndarray) -> "Curve":
        """Return the curve that begins at 0, from its slope at the nodes and at the middles between them, in turn."""
        step = 2 / (slope.shape[-1] - 1)
        parts = step / 6 * (slope[..., :-1:2] + 4 * slope[..., 1::2] + slope[..., 2::2])  # Simpson
        value = np.concatenate([np.zeros_like(parts[..., :1]), np.cumsum(parts, axis=-1)], axis=-1)
        return cls(value, np.ascontiguousarray(slope[..., ::2]))

    @property
    def lifted(self) -> "Curve":
        """The same rows, each to be asked along one more trailing axis."""
        return Curve(self.value[..., None, :], self.slope[..., None, :])

    @property
    def end(self) -> Numbers:
        """The last value of each row."""
        return self.value[..., -1]

    @property
    def _steps(self):
        return self.value.shape[-1] - 1

    @property
    def _rows(self):
        """Where each row begins among all values."""
        rows = self.value.shape[:-1]
        return np.arange(int(np.prod(rows))).reshape(rows) * self.value.shape[-1]

    def at(self, coordinate: Numbers) -> Numbers:
        """Return the value at a coordinate [-] from 0 to 1."""
        place = np.multiply(coordinate, self._steps)
        low = np.minimum(place.astype(int), self._steps - 1)
        return self._between(low + self._rows, place - low)[0]

    def reached(self, value: Numbers) -> Numbers:
        """Return the coordinate [-] at which a value above 0 is reached; NaN beyond the last one."""
        first, values = self._rows, self.value.ravel()
        low = np.zeros(np.broadcast_shapes(first.shape, np.shape(value)), int)
        jump = 1 << (self._steps.bit_length() - 1)
        while jump:  # halving what is left of the row
            further = np.minimum(low + jump, self._steps - 1)
            low = np.where(values[first + further] <= value, further, low)
            jump >>= 1
        at = low + first
        start, end = values[at], values[at + 1]
        part = np.clip((value - start) / np.where(end > start, end - start, 1.0), 0.0, 1.0)
        for _ in range(SEARCH):
            here, slope = self._between(at, part)
            part = np.clip(part - (here - value) / np.where(slope > 0, slope, np.inf), 0.0, 1.0)
        return np.where(value <= end, (low + part) / self._steps, np.nan)

    def _between(self, at, part):
        """Return the value and its derivative by `part`, the share of the step that begins at a node."""
        values, slopes = self.value.ravel(), self.slope.ravel()
        start = values[at]
        rise = values[at + 1] - start
        first, last = slopes[at] / self._steps - rise, slopes[at + 1] / self._steps - rise
        rest = 1 - part
        bend = rest * first - part * last
        return start + part * (rise + rest * bend), rise + (rest - part) * bend - part * rest * (first + last)
