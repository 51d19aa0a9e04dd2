"""Runs of one file that are at conditions of their own are records as any others, whichever way they came.

Seven curves at seven temperatures may stand in seven files or in one with a column ``run``. What tells the effect of the temperature, and
what sets them apart beside it, is the same: so they are fitted and judged as the same.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple, Self

import numpy as np

from ..bench import BenchTest
from ..bench.runs import runs_of
from ..inputs import trusted
from ..laws import FlowLaw

ALONE = 0.1  # of the squares of a condition within its parts, below which its effect is told between them


class Rows(NamedTuple):
    """The numbers that rows had in the record of all runs."""

    row_numbers: tuple[int, ...]

    def where(self, keep: np.ndarray) -> Self:
        """Return the same of the rows where `keep` is true."""
        return self._replace(row_numbers=tuple(np.array(self.row_numbers)[keep].tolist()))


def told_between(parts: Iterable) -> bool:
    """Say whether a condition differs between parts of the readings and hardly within them; `parts` holds its values, a number or array each."""
    arrays = [np.ravel(part) for part in parts]
    values = np.concatenate(arrays)
    total = float(np.sum((values - values.mean()) ** 2))
    within = sum(float(np.sum((one - one.mean()) ** 2)) for one in arrays)
    return bool(np.ptp(values) > 0 and within < ALONE * total)


def as_records(law_classes: Iterable[type[FlowLaw]], tests: Sequence[BenchTest]) -> list[BenchTest]:
    """Return tests with a record of its own for each run at conditions of its own, on which one of the laws depends.

    The branches of a loop stay together: what sets them apart has a way.
    """
    names = {condition.name for law_class in law_classes for condition, _ in law_class.conditions}
    return [part for test in tests for part in _parts(test, names)]


def _parts(test, names):
    differing = [test.conditions[name] for name in names if np.ndim(test.conditions.get(name))]
    if test.general or not differing:
        return [test]
    runs = runs_of(test)
    each = [runs.rows(number) for number in runs.ways]
    if len(set(runs.ways.values())) > 1 or not any(
        told_between([values[rows] for rows in each]) for values in differing
    ):
        return [test]
    with trusted():
        known = test if test.origin is not None else replace(test, origin=Rows(tuple(test.row_numbers.tolist())))
        return [
            replace(known.where(rows), label=", ".join([*filter(None, [test.label]), f"run {number}"]))
            for number, rows in zip(runs.ways, each, strict=True)
        ]
