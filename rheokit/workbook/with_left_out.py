"""What the answers become with what was left out: rows that a [[test]] passes over, and tests that the plan leaves out."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..bench import Bench
from ..errors import DataError
from ..fitting import fit, over_conditions
from ..fitting.result import REFERENCE_RATES
from ..laws import LAWS
from ..nomenclature import written
from ..reading.passed_over import PassedOver, passed_over, read_with
from .of_fit import LEAVE_OUT

if TYPE_CHECKING:
    from ..fitting import FitResult
    from ..fitting.predictions import Interval
    from .opened import Workbook


class Changed(NamedTuple):
    """An answer in words with its SI unit, and its intervals without and with what was left out."""

    words: str
    unit: str
    without: Interval
    with_all: Interval


class Effect(NamedTuple):
    """The refit with what was left out and what the answers become, or why that cannot be told."""

    fit: FitResult | None
    answers: tuple[Changed, ...]
    why: str = ""


SHARED = "several tests read {file}, so that nobody can tell whose the rows are that none of them reads"


def effect_of(book: Workbook, force: tuple[Callable[..., Any], Any, Any] | None = None) -> Effect | None:
    """Return what yield stress, stresses at reference rates and the force of the plan become with all that was left out, by one refit.

    Parameters
    ----------
    book : Workbook
    force : tuple, optional
        What is asked of a law and an extruder [N], the extruder, and the law that the question takes its condition and stiffness from.

    Returns
    -------
    Effect or None
        None where nothing was left out.
    """
    found = passed_over(book.bench)
    if not found and not book.plan.listed(*LEAVE_OUT):
        return None
    try:
        refit = _refit(book, found)
        with warnings.catch_warnings(action="ignore"):  # what is extrapolated or open stands in the intervals
            return Effect(refit, tuple(_changed(book.fit, refit, force)))
    except DataError as error:
        return Effect(None, (), str(error))


def _refit(book: Workbook, found: tuple[PassedOver, ...]) -> FitResult:
    for one in found:
        if one.fault:
            raise DataError(f"The rows cannot be read: {one.fault}")
        if one.others:
            raise DataError(f"{SHARED.format(file=getattr(one.test.origin, 'file', 'the file'))}.")
    bench: Bench = read_with(book.bench, found) if found else book.bench
    with warnings.catch_warnings(action="ignore"):  # each warning has its row among the checks
        return fit(over_conditions(LAWS[book.law], bench), bench, use_range=book.use_range)


def _changed(
    first: FitResult, second: FitResult, force: tuple[Callable[..., Any], Any, Any] | None
) -> Iterator[Changed]:
    """Return each answer without and with what was left out."""
    both = (first, second)
    if "yield_stress" in first.law.parameters():
        yield Changed("yield stress", "Pa", *(one.interval(lambda law: law.yield_stress) for one in both))
    low, high = first.rate_range or (float("inf"), 0.0)
    for rate in REFERENCE_RATES:
        if low <= rate <= high:
            ends = (one.interval(lambda law, rate=rate: law.shear_stress(rate)) for one in both)
            yield Changed(f"shear stress at {written(rate, '1/s')}", "Pa", *ends)
    if force is not None:
        ask, extruder, like = force
        yield Changed(
            "force on the plunger at the flow of the plan",
            "N",
            *(one.interval(ask, extruder=extruder, like=like) for one in both),
        )
