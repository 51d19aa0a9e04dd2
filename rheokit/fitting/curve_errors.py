"""How far one standard uncertainty of a reading moves its point on the flow curve."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ..bench.gathered import counts_of
from .residuals import relative_errors

if TYPE_CHECKING:
    from .result import FitResult

STEP = 1e-4  # of a reading, by which its point is moved to see how far it goes [-]


def curve_errors(fit: FitResult) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return how far the points of each test move in rate [1/s] and in stress [Pa] with one standard uncertainty of their readings, to first order.

    Friction, bores, batches and the law stay as they are: what they leave open is the band of the law, and no error of a reading.
    """
    sizes, found, first = relative_errors(fit), [], 0
    for test in fit.tests:
        counts = counts_of(test)
        shares = sizes[first : first + len(test.readings)] / np.sqrt(1.0 if counts is None else counts)
        first += len(test.readings)
        points = _points(fit, test)
        if not len(points[0]) or np.any(test.readings <= 0):
            found.append((np.zeros(len(points[0])), np.zeros(len(points[0]))))
            continue
        more: dict[str, Any] = {test.reads: test.readings * (1 + STEP)}
        moved = _points(fit, replace(test, **more))
        rate, stress = ((new - old) / STEP * shares for new, old in zip(moved, points, strict=True))
        found.append((rate, stress))
    return found


def _points(fit, test):
    read = test.curve_points(test.at_its_condition(fit.law), fit.nuisance)
    return [np.atleast_1d(one) for one in test.at_reference(fit.law, *read)]
