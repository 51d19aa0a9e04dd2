"""Runs of a test and the way its settings went in each, up or down, as far as its rows tell."""

from __future__ import annotations

from collections.abc import Sequence
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


def told_of(tests: Sequence[BenchTest]) -> str:
    """Return the way of the settings of tests in words, those that went alike together; "" where their rows tell none."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for test in tests:
        if not test.gives and setting_of(test) and any(runs_of(test).ways.values()):
            order = "in the order of reading" if test.run_order is not None else "in the order of the rows"
            way = in_words(test).removeprefix("one, ")
            found.setdefault((test.kind, setting_of(test).replace("_", " "), f"{order}, {way}"), []).append(test.name)
    return "; ".join(
        f"{names[0] if len(names) == 1 else f'{len(names)} tests of {kind}, each'}: {setting}, {way}"
        for (kind, setting, way), names in found.items()
    )


def columns_of(test: BenchTest) -> dict[str, list[Cell]]:
    """Return the columns run and branch, a cell a reading; only of a test in which there are several runs."""
    if test.gives:
        return {}
    runs = runs_of(test)
    if len(runs.ways) < 2:
        return {}
    numbers: list[Cell] = [Shown(number, str(number)) for number in runs.numbers.tolist()]
    return {"run": numbers, "branch": [way or "none" for way in runs.branches.tolist()]}
