"""How readings scatter of which only the rounding was stated: from what they lie off the law, beside what rounding makes of it.

"To 1 g" says how far a reading may be off because of the scale's last digit, and nothing of how a hand or a paste repeats. Where that alone
counted as the error, 40 invented kitchens whose flows scattered by 4 % besides had consistency and flow index inside their 95 %
limits 35 and 36 times; with the scatter from the residuals 37 and 38 times (`tests/kitchen.py`).
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench.gathered import counts_of
from ..inputs import trusted
from .misfit import LEAST_FREEDOM, Group, leverages

SETTLED = 1e-5  # relative change of a scatter at which it is left as it is


class Rounded(NamedTuple):
    """Readings of one kind of test that are known to rounding alone: the places of its tests, their rows, and the freedom they leave.

    `squares` of each row, in the unit read, times what stands behind it, of `rounding` and of the `readings`; then those of what
    scatters about rows that are means.
    """

    members: list
    rows: np.ndarray
    freedom: float
    squares: np.ndarray
    rounding: np.ndarray
    readings: np.ndarray

    def scatter(self):
        """Return the relative scatter beside rounding [-]."""

        def more(square):
            return np.sum(self.squares / (self.rounding + square * self.readings)) - self.freedom

        if self.freedom <= LEAST_FREEDOM or more(0.0) <= 0:
            return 0.0
        from scipy.optimize import brentq

        return float(np.sqrt(brentq(more, 0.0, np.sum(self.squares / self.readings) / self.freedom, rtol=1e-12)))

    def group(self, scatter):
        """Return the `Group` of a scatter: what rounding makes of the error is known, which counts as freedom (JCGM 100:2008, G.4.1)."""
        whole = self.rounding + scatter**2 * self.readings
        known = self.freedom * (1 / np.mean(scatter**2 * self.readings / whole) ** 2 - 1)
        squares, rows = self.squares / whole, len(self.rows)
        return Group(
            self.rows, float(squares[:rows].sum()), self.freedom + known, inside=(float(squares[rows:].sum()), known)
        )


def rounded(problem, minimum):
    """Return the `Rounded` readings of each kind of test; nothing where none is known to rounding alone."""
    kinds = list(dict.fromkeys(test.kind for test in problem.tests if test.rounding_alone))
    if not kinds:
        return []
    share, first, found = leverages(minimum), np.concatenate([[0], np.cumsum(problem.counts)]), []
    for kind in kinds:
        members = [k for k, test in enumerate(problem.tests) if test.rounding_alone and test.kind == kind]
        parts = []
        for place in members:
            test, rows = problem.tests[place], np.arange(first[place], first[place + 1])
            sound = (test.bounds[0] == 0) & (test.readings != 0)
            squares = np.square(minimum.residuals[rows] * test.reading_errors)
            rounding = np.broadcast_to(np.square(test.uncertainty), squares.shape)
            parts.append([each[sound] for each in (rows, squares, rounding, np.square(test.readings))])
        rows, *columns = map(np.concatenate, zip(*parts, strict=True))
        freedom = float(len(rows) - share[rows].sum())
        for test in (problem.tests[place] for place in members):
            if (behind := counts_of(test)) is None:
                continue
            sizes = np.broadcast_to(test.uncertainty, behind.shape), test.readings
            within = test.origin.squares, *(np.average(np.square(one), weights=behind) for one in sizes)
            columns = [np.append(column, one) for column, one in zip(columns, within, strict=True)]
            freedom += test.origin.freedom
        found.append(Rounded(members, rows, freedom, *columns))
    return found


def beside_rounding(problem, minimum):
    """Return the tests of a problem, those of which rounding alone was stated with the scatter that the residuals show besides.

    Its square is the one with which the residuals are as large as the parameters they pay for leave them (Paule and Mandel,
    Journal of Research of the National Bureau of Standards 87 (1982) 377, from memory); 0 where rounding alone explains them.
    """
    tests = list(problem.tests)
    for rows in rounded(problem, minimum):
        scatter = rows.scatter()
        for place in rows.members:
            if abs((tests[place].relative_uncertainty or 0.0) - scatter) > SETTLED * (scatter or 1.0):
                with trusted():
                    tests[place] = replace(tests[place], relative_uncertainty=scatter or None)
    return tuple(tests)
