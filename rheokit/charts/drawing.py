"""A picture apart from its numbers, so that one that only moves need not be built and checked anew."""

import math
from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import Any, NamedTuple, ParamSpec

import altair as alt
import numpy as np

STEPS = (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)


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
    def numbers(self) -> dict[str, Any]:
        """What a moved picture takes in place of its own: datasets and description."""
        datasets = {name: frame.to_dict("records") for name, frame in self.frames.items()}
        return {"datasets": datasets, "description": self.words}

    def chart(self) -> alt.LayerChart:
        """Return the chart with its numbers."""
        return self.build(*self.axes).properties(**self.numbers)


Given = ParamSpec("Given")


def chart_of(draw: Callable[Given, Drawing]) -> Callable[Given, alt.LayerChart]:
    """Return the chart of a function that draws: it takes the same, and has its name without ``drawn_``."""

    @wraps(draw)
    def chart(*given, **named):
        return draw(*given, **named).chart()

    chart.__name__ = chart.__qualname__ = draw.__name__.removeprefix("drawn_")
    shown = signature(draw).replace(return_annotation=alt.LayerChart)
    chart.__signature__ = shown  # type: ignore[attr-defined]  # which inspect asks for
    return chart


def layer_of(name):
    """Return a chart of the numbers of that name, for marks and encodings."""
    return alt.Chart(alt.NamedData(name))


def stretches(curve):
    """Return (rows, covered) of the stretches of a curve that are covered or not; what is not reaches to the points beside it."""
    inside, found = curve.covered.to_numpy(), []
    for places in np.split(np.arange(len(curve)), np.flatnonzero(inside[1:] != inside[:-1]) + 1):
        covered = bool(inside[places[0]])
        beside = 0 if covered else 1
        found.append((curve.iloc[max(places[0] - beside, 0) : places[-1] + 1 + beside], covered))
    return found


def round_up(value, steps=STEPS):
    """Return a round number at or a little above a positive value, for the end of an axis: it changes seldom."""
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in steps if step * power >= value * (1 - 1e-9))


def round_down(value):
    """Return a round number at or a little below a positive value."""
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in reversed(STEPS) if step * power <= value * (1 + 1e-9))
