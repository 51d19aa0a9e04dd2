"""Rows of the files of a bench that no test reads, because its [[test]] chose others by rows, runs or branch; and the bench with them."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from .choosing import CHOICES
from .faults import Faults
from .files import Memory
from .folder import read_files
from .named_files import Tables
from .toml import toml_document

if TYPE_CHECKING:
    from ..bench import Bench
    from ..bench.base import BenchTest


class PassedOver(NamedTuple):
    """Rows of one file that no test reads.

    `test` is the first that chose its rows there, `others` are the further tests of the file, `choices` what was typed, such as
    ``rows = "4-10"``. `rows` are the numbers of the rows, headers counted, `cells` of each what stands in the columns that the test
    reads, in their order. `fault` says why the rows cannot be read; "" where they can.
    """

    test: BenchTest
    others: tuple[BenchTest, ...]
    choices: str
    rows: tuple[int, ...]
    cells: tuple[tuple[str, ...], ...]
    fault: str = ""


def passed_over(bench: Bench) -> tuple[PassedOver, ...]:
    """Return what the tests of a bench that was read pass over of their files, one a file; none of a file that is read whole."""
    if bench.origin is None:
        return ()
    files, entries = bench.origin.files, toml_document(bench.origin.files["bench.toml"]).get("test", [])
    read: dict[tuple[str, Any], list[Any]] = {}
    tests: list[Any] = list(bench.tests)
    for test in tests:
        if getattr(test.origin, "typed", None) is not None and test.origin.bench is bench.origin:
            read.setdefault((test.origin.file, entries[test.origin.entry].get("sheet")), []).append(test)
    found = (_of_file(files, entries, own) for own in read.values())
    return tuple(one for one in found if one is not None and (one.rows or one.fault))


def _of_file(files, entries, tests):
    """Return what the tests of one file pass over; None where none of them chooses rows."""
    chosen = [test for test in tests if {*CHOICES} & entries[test.origin.entry].keys()]
    if not chosen:
        return None
    first, others = chosen[0], tuple(test for test in tests if test is not chosen[0])
    entry = entries[first.origin.entry]
    choices = ", ".join(f"{key} = {_typed(entry[key])}" for key in CHOICES if key in entry)
    faults, where = Faults(), f"bench.toml, [[test]] {first.origin.entry + 1}"
    _, table = Tables(Memory(files), {}, faults).of(_without(entry), where)
    if table is None or len(faults):
        return PassedOver(first, others, choices, (), (), "; ".join(f"{place}: {why}" for place, why in faults.found))
    taken = {int(number) for test in tests for number in test.origin.typed.table.rows.numbers}
    places = [k for k, number in enumerate(table.rows.numbers.tolist()) if number not in taken]
    columns = sorted(first.origin.typed.columns.values(), key=lambda one: one.place)
    return PassedOver(
        first,
        others,
        choices,
        tuple(int(table.rows.numbers[k]) for k in places),
        tuple(tuple(table.cell_in_file(one, k) for one in columns) for k in places),
    )


def _typed(value):
    return f'"{value}"' if isinstance(value, str) else str(value)


def _without(entry):
    return {key: value for key, value in entry.items() if key not in CHOICES}


def read_with(bench: Bench, found: Iterable[PassedOver]) -> Bench:
    """Return a bench read anew with every row of the files of what was passed over.

    Raises
    ------
    DataError
        If a row that was passed over cannot be read, or does not fit its test.
    """
    whole: Collection[int] = {getattr(one.test.origin, "entry", -1) for one in found}
    files = dict(bench.origin.files) if bench.origin else {}
    return read_files(Memory(files), whole=whole)
