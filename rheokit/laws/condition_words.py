"""What laws may depend on beside the rate, and how a condition is told."""

from collections.abc import Mapping

import numpy as np

from ..hints import Numbers
from ..nomenclature import between, number, written

CONDITIONS = ("temperature", "water_content", "age")
UNITS = {"temperature": "K", "age": "h"}  # in which they are told
ROUNDING = 1e-9  # of a condition that was turned from one unit into another


def in_words(name: str, low: float, high: float) -> str:
    """Return the ends of a condition in words: "u = 0.9 to 1.1", "24 h", "34 to 60 °C"."""
    if name == "water_content":
        return f"u = {number(low, 4)}" if low == high else f"u = {between(low, high, digits=4)}"
    unit = UNITS[name]
    return written(low, unit) if low == high else between(low, high, unit)


def beyond(asked: Mapping[str, Numbers], ranges: Mapping[str, tuple[float, float] | None]) -> str:
    """Return in a sentence which conditions lie outside what was read, by name; empty where none does or the range is not known."""
    said = []
    for name, value in asked.items():
        low, high = float(np.min(value)), float(np.max(value))
        covered = ranges.get(name)
        if covered is not None and (low < covered[0] * (1 - ROUNDING) or high > covered[1] * (1 + ROUNDING)):
            said.append(f"{in_words(name, low, high)} is outside the readings, {in_words(name, *covered)}")
    return f"{'; '.join(said)}: extrapolated." if said else ""
