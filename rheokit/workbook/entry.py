"""One entry of a plan: its words, its unit, its bounds, and what stays open without it."""

import math
from decimal import Decimal
from typing import NamedTuple

from ..units import ZERO_CELSIUS, unit_scale

NONE = "none"
"""What is written where there is none: a barrel without a rating."""

SI = {  # of the units of entries
    "mm": "m", "mm/s": "m/s", "mm³/s": "m³/s", "mm/min": "m/s", "mm³/kPa": "m³/Pa", "N": "N", "N·m": "N·m", "Pa": "Pa", "kPa": "Pa", "Pa/s": "Pa/s",
    "°C": "K", "K": "K", "s": "s", "min": "s", "g": "kg", "%": "-", "-": "-", "°": "rad", "1/s": "1/s", "m/s": "m/s", "g/(m²·h)": "kg/(m²·s)",
    "10⁻¹⁰ m²/s": "m²/s", "kg/m³": "kg/m³", "µm": "m", "Pa·s": "Pa·s", "J/(kg·K)": "J/(kg·K)",
}  # fmt: skip


class Entry(NamedTuple):
    """What a plan may say under one key.

    Attributes
    ----------
    words : str
        As on the pages, without the unit.
    unit : str
        Of the field, of the bounds and of what a page writes; "" where it is a text or a choice.
    low, high : float
        Bounds, in the unit.
    example : float
        In the unit; said where something else was typed.
    or_0 : bool
        Whether 0 (none of it) goes below the bounds as well.
    choices : tuple of str
        The texts of which it is one; nothing for a number or a free text.
    or_none : bool
        Whether ``none`` is an answer: a barrel without a rating.
    without : str
        What stays open while it is not known.
    by_gauge : bool
        Whether a needle may be named by its gauge instead.
    """

    words: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    example: float = 0.0
    or_0: bool = False
    choices: tuple[str, ...] = ()
    or_none: bool = False
    without: str = ""
    by_gauge: bool = False

    @property
    def is_number(self) -> bool:
        """Whether it is a number."""
        return bool(self.unit)

    @property
    def label(self) -> str:
        """The words with the unit, as beside a field."""
        return f"{self.words} [{self.unit}]" if self.unit else self.words

    @property
    def si(self) -> str:
        """Its unit in SI."""
        return SI[self.unit]

    @property
    def such(self) -> str:
        """An example of it, as it is written in a plan."""
        if self.choices:
            return repr(self.choices[0])
        return f'"{self.typed(f"{self.example:g}")}"' if self.is_number else '"a text"'

    def typed(self, text: str) -> str:
        """Return the text of a field, a number in the unit of the entry, as a plan holds it."""
        text = text.strip()
        if not text or not self.is_number or self.unit == "-" or text == NONE:
            return text
        if self.unit.startswith("10"):
            return f"{text}e-10 m²/s"
        return f"{text} {self.unit}"

    def from_si(self, value: float) -> float:
        """Return a number in the unit of the entry, of one in SI."""
        if self.unit == "°C":
            return value - ZERO_CELSIUS
        return value / self._factor

    def in_si(self, number: float) -> float:
        """Return a number in SI, of one in the unit of the entry."""
        return number + ZERO_CELSIUS if self.unit == "°C" else number * self._factor

    @property
    def _factor(self) -> float:
        if self.unit.startswith("10"):
            return 1e-10
        if self.unit == "°":
            return math.pi / 180
        return 1.0 if self.unit == "-" else unit_scale(self.unit, self.si).to_si(Decimal(1))
