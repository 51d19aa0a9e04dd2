"""Runs of a test and the way its settings went in each, up or down, as far as its rows tell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..bench.runs import runs_of, setting_of
from .cells import counted
from .document import Cell, Shown

if TYPE_CHECKING:
    from ..bench.base import BenchTest

MOST_NAMED = 4
"""Runs that are named one by one; of more it is counted how many went each way."""
NO_ORDER = "in no order"


def in_words(test: BenchTest) -> str:
    """Return how many runs a test has and the way of each, such as "2 runs: 1 up, 2 down"; "one" where nothing varies in it."""
    if test.gives:
        return "one"
    ways = runs_of(test).ways
    if len(ways) < 2:
        way = next(iter(ways.values()), "")
        return f"one, {way or NO_ORDER}" if setting_of(test) else "one"
    if len(ways) <= MOST_NAMED:
        told = [f"{number} {way or NO_ORDER}" for number, way in ways.items()]
    else:
        all_of = list(ways.values())
        told = [f"{all_of.count(way)} {way or NO_ORDER}" for way in dict.fromkeys(all_of)]
    return f"{counted(len(ways), 'run')}: {', '.join(told)}"


def told_of(test: BenchTest) -> str:
    """Return the way of the settings of a test for a list of all tests; "" where none varies in it, or the rows are in no order."""
    if test.gives or not setting_of(test) or not any(runs_of(test).ways.values()):
        return ""
    of = "in the order of reading" if test.run_order is not None else "in the order of the rows"
    return f"{test.name}: {setting_of(test).replace('_', ' ')}, {of}, {in_words(test)}"


def columns_of(test: BenchTest) -> dict[str, list[Cell]]:
    """Return the columns run and branch, a cell a reading; only of a test in which there are several runs."""
    if test.gives:
        return {}
    runs = runs_of(test)
    if len(runs.ways) < 2:
        return {}
    numbers: list[Cell] = [Shown(number, str(number)) for number in runs.numbers.tolist()]
    return {"run": numbers, "branch": [way or "none" for way in runs.branches.tolist()]}
