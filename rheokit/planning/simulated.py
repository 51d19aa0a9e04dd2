"""One reading of a candidate, simulated: with the scatter that its record states, as a bound where its test reads no number."""

from dataclasses import replace
from typing import Any

import numpy as np

from ..bench.base import BenchTest
from ..hints import Numbers

LEAST = 1e-6  # of the greatest reading that is simulated: a share of nothing is no error


def simulated(test: BenchTest, row: int, predicted: Numbers, noise: Numbers, size: Any) -> np.ndarray:
    """Return readings with their scatter, as the residuals of their record take it; beyond the test's window one is its bound."""
    most, least = np.max(test.window[1]) * (1 + LEAST), LEAST * max(np.max(np.abs(predicted)), test.usual_resolution)
    relative, amount = _of_row(test.relative_uncertainty, row), _of_row(test.uncertainty, row)
    if test.in_logarithms:  # a mould that does not slump at all reads next to nothing, which is a bound
        read = predicted * np.exp(noise * (size if relative is None else relative))
        return np.clip(read, least, most)
    amount = size if amount is None else amount
    read = predicted + noise * np.hypot(amount, (relative or 0.0) * predicted)
    return read if test.general else np.clip(read, least, most)


def _of_row(values, row):
    return values if values is None or np.ndim(values) == 0 else values[row]


def repeated(test: BenchTest, row: int, readings: np.ndarray) -> BenchTest:
    """Return a record of one row of another, again and again, with the readings given."""
    count = len(readings)
    changed: dict[str, Any] = {name: np.repeat(getattr(test, name)[row], count) for name in test.columns}
    changed[test.reads] = readings
    for name in ("uncertainty", "relative_uncertainty"):
        changed[name] = _of_row(getattr(test, name), row)
    return replace(test, **changed, censored=np.zeros(count, int), origin=None)
