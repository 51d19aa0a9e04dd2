"""A picture apart from its numbers, so that one that only moves need not be built and checked anew."""

from collections.abc import Callable
from typing import NamedTuple

import altair as alt


class Drawing(NamedTuple):
    """What a picture shows, and how it is built.

    Attributes
    ----------
    frames : dict of str to DataFrame
        The numbers of every layer, by the name under which the layer asks for them (see `layer_of`).
    words : str
        The numbers in words.
    axes : tuple
        All else that the picture depends on: equal axes mean the same picture with other numbers.
    build : callable
        Takes the axes and returns the chart, without numbers.
    """

    frames: dict
    words: str
    axes: tuple
    build: Callable

    @property
    def numbers(self):
        """What a moved picture takes in place of its own: datasets and description."""
        return {"datasets": {name: frame.to_dict("records") for name, frame in self.frames.items()}, "description": self.words}

    def chart(self):
        """Return the chart with its numbers."""
        return self.build(*self.axes).properties(**self.numbers)


def layer_of(name):
    """Return a chart of the numbers of that name, for marks and encodings."""
    return alt.Chart(alt.NamedData(name))


def round_up(value):
    """Return the next of 1, 1.5, 2, 3, 5, 7 times a power of ten, at or above a value: an axis that moves seldom."""
    power = 10.0 ** len(f"{int(value)}") / 10 if value >= 1 else 10.0 ** (-len(f"{int(1 / value)}"))
    return next(step * power for step in (1, 1.5, 2, 3, 5, 7, 10, 15, 20) if step * power >= value)


def round_down(value):
    """Return the one of 1, 1.5, 2, 3, 5, 7 times a power of ten at or below a value."""
    return 1 / round_up(1 / value)
