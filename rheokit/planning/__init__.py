"""The inverse of a region: the window of one axis, the point of the widest margin, what better measurements would change, what stands."""

from .chances import ALL, BATCH, LAW, LIKELY, chance, in_a_word, what_if
from .margins import widest_margin
from .standing import Standing, leaned
from .windows import Window, window

__all__ = [
    "ALL",
    "BATCH",
    "LAW",
    "LIKELY",
    "Standing",
    "Window",
    "chance",
    "in_a_word",
    "leaned",
    "what_if",
    "widest_margin",
    "window",
]
