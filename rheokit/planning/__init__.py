"""The inverse of a region: the window of one axis, the point of the widest margin, what better measurements would change."""

from .chances import ALL, BATCH, LAW, LIKELY, chance, in_a_word, what_if
from .margins import widest_margin
from .windows import Window, window

__all__ = ["ALL", "BATCH", "LAW", "LIKELY", "Window", "chance", "in_a_word", "what_if", "widest_margin", "window"]
