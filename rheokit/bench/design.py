"""What the plan of some measurements cannot tell apart: settings that moved together, as orders, times, batches and nozzles are recorded.

Two columns of one record move together where of all pairs of its rows that differ in both nearly all differ the same way (gamma of
Goodman and Kruskal, Journal of the American Statistical Association 49 (1954) 732, from memory): ties, such as one time waited at many
speeds, say nothing. Batches are not told from what no level of was read in two of them.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from ..hints import Numbers
from ..nomenclature import and_, capital, with_decimals, written
from .base import BenchTest
from .run import Run
from .runs import DOWN, UP, runs_of, setting_of

TOGETHER = 0.9
"""Gamma either way, from which two columns are said to move together; common practice, no source. [-]"""
FEWEST = 4  # rows of a record, fewer of which rise or fall by chance
KNOWN_TO = 3  # digits of a setting, to which sequences and conditions are compared
CHANGES = "what changes with time (age, evaporation, wear, drift)"


def told_alike(tests: Sequence[BenchTest]) -> tuple[str, ...]:
    """Return, a sentence each, what the readings of some tests cannot tell apart, whatever is fitted to them.

    Parameters
    ----------
    tests : sequence of BenchTest
        All that are fitted together.

    Notes
    -----
    It knows what is recorded: `run_order`, `time`, batches, nozzles and conditions. In which order tests were made is not.
    """
    set_ = [test for test in tests if len(test.readings) >= FEWEST and setting_of(test)]
    said = (*_orders(set_), *_sequences(set_), *_waits(set_), *_batches(tests), *_lands(tests))
    return tuple(map(capital, said))


def together(first: Numbers, second: Numbers) -> float:
    """Return how far two columns move together, gamma of Goodman and Kruskal: 1 the same way, -1 opposite, 0 where no pair tells [-]."""
    above = np.triu_indices(np.size(first), 1)
    signs = np.sign(np.subtract.outer(first, first)[above]) * np.sign(np.subtract.outer(second, second)[above])
    told = np.count_nonzero(signs)
    return float(np.sum(signs) / told) if told else 0.0


def _orders(tests):
    """Return where the order of reading is not known, or moves with what was set."""
    unknown = [test for test in tests if test.run_order is None]
    for setting, some in _by_setting([test for test in unknown if not turns(test)]):
        yield f"The order of reading of {_names(some)} is not recorded: {CHANGES} cannot be told from the {setting}."
    for setting, some in _by_setting([test for test in unknown if turns(test)]):
        yield (
            f"Of {_names(some)} no order of reading is recorded; by its rows the {setting} went up and down: {CHANGES} is told from it in part, as far "
            f"as both ways were read alike, and not what comes to an end within the first way."
        )
    moved = [test for test in tests if test.run_order is not None and abs(_with(test, "run_order")) >= TOGETHER]
    for setting, some in _by_setting(moved):
        yield f"In {_names(some)} the {setting} moves with the order of reading: {CHANGES} cannot be told from it."


def turns(test: BenchTest) -> bool:
    """Return whether a test has runs up and runs down, as far as its rows tell: such a pair tells in part what changes with time."""
    return {UP, DOWN} <= {*runs_of(test).ways.values()}


def _sequences(tests):
    """Return the tests that went through the same settings in the same order."""
    alike: dict[tuple, list] = {}
    for test in tests:
        if test.run_order is not None:
            settings = getattr(test, setting_of(test))[np.argsort(test.run_order, kind="stable")]
            alike.setdefault((setting_of(test), *(f"{one:.{KNOWN_TO}g}" for one in settings)), []).append(test)
    for (setting, *_), some in alike.items():
        if len(some) > 1:
            how = _with(some[0], "run_order")
            words = _words(setting)
            steady = (
                f"; a steady drift can be told from it (order and {words} move together by {with_decimals(how, 2)}, gamma, of 1 at most)"
                if abs(how) < TOGETHER
                else ""
            )
            yield (
                f"{_names(some)} went through the same {words}s in the same order, each at the same place of it in every test: what "
                f"such a place does, to all of them alike, cannot be told from what the {words} does{steady}."
            )


def _waits(tests):
    moved = [test for test in tests if test.time is not None and abs(_with(test, "time")) >= TOGETHER]
    for setting, some in _by_setting(moved):
        yield (
            f"In {_names(some)} the time waited before a reading moves with the {setting}: what time under flow does cannot be told from what the "
            f"{setting} does."
        )


def _batches(tests):
    """Return what batches differ in besides, of which no level was read in two of them."""
    batches = list(dict.fromkeys(test.batch for test in tests))
    if len(batches) < 2:
        return
    runs = [test for test in tests if isinstance(test, Run)]
    shared = [kind for kind, held in _levels(tests, lambda test: test.kind).items() if len(held) > 1]
    if not shared:
        yield "No kind of test was read in two batches: how batches differ cannot be told from how the kinds of test do."
    nozzles = _levels(runs, lambda test: test.nozzle.segments[-1].size)
    if len(nozzles) > 1 and len({test.batch for test in runs}) > 1 and all(len(held) == 1 for held in nozzles.values()):
        by_batch = "; ".join(
            f"batch {batch} {', '.join(size for size, held in nozzles.items() if batch in held)}"
            for batch in batches
            if any(batch in held for held in nozzles.values())
        )
        others = [kind for kind in shared if not any(run.kind == kind for run in runs)]
        by = f": that is left to the {' and the '.join(others)}, read in several" if others else ""
        yield f"No nozzle was read in two batches ({by_batch}): how batches differ cannot be told by them from what a nozzle does{by}."
    for name, words in (("water_content", "water content"), ("age", "age"), ("temperature", "temperature")):
        known = [test for test in tests if name in test.conditions]
        levels = _levels(known, lambda test, name=name: f"{float(np.median(test.conditions[name])):.{KNOWN_TO}g}")
        if len(known) == len(tests) and len(levels) > 1 and all(len(held) == 1 for held in levels.values()):
            told = ", ".join(written(float(value), name) for value in levels)
            yield f"Each {words} was read in one batch alone ({told}): its effect cannot be told from how batches differ, but by their usual spread."


def _lands(tests):
    """Return bore and length of lands where each bore has a length of its own: slip and end loss show as one."""
    sizes = {
        (
            test.kind,
            *(f"{float(np.min(one)):.{KNOWN_TO}g}" for one in (test.nozzle.bore, test.nozzle.segments[-1].length)),
        )
        for test in tests
        if isinstance(test, Run)
    }
    for kind in sorted({kind for kind, *_ in sizes}):
        pairs = [(bore, length) for one, bore, length in sorted(sizes) if one == kind]
        bores, lengths = {bore for bore, _ in pairs}, {length for _, length in pairs}
        if len(pairs) > 1 and len(bores) == len(pairs) == len(lengths):
            yield (
                f"Of the {kind} each bore has a land of its own length: what the bore does (slip) cannot be told by these readings alone from "
                "what the length does (end loss)."
            )


def _with(test, name):
    return together(getattr(test, setting_of(test)), getattr(test, name))


def _by_setting(tests: Iterable[BenchTest]):
    """Return tests by what was set in them, in words."""
    found: dict[str, list] = {}
    for test in tests:
        found.setdefault(_words(setting_of(test)), []).append(test)
    return found.items()


def _words(name):
    return name.replace("_", " ")


def _names(tests):
    names = [test.name for test in tests]
    if len({*names}) < len(names):
        return f"{len(names)} records of {' and '.join(dict.fromkeys(test.kind for test in tests))}"
    return and_(names)


def _levels(tests, level):
    """Return the batches in which each level of something was read."""
    found: dict[str, set] = {}
    for test in tests:
        found.setdefault(level(test), set()).add(test.batch)
    return found
