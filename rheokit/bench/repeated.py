"""The same readings given twice would narrow every interval: they are refused, whatever they are called."""

from typing import NamedTuple

import numpy as np

from ..errors import DataError

BESIDE, ALONE = 3, 5
"""Rows, each different, that two honest records never share to the last digit: with a setting beside the reading, and
without one, where a ruler reads 35 mm more than once; common practice, no source."""
ORDERS = (
    "run_order",
    "run",
    "time",
    "stroke",
    "temperature",
    "water_content",
    "age",
)  # columns that say when a row was read, and not what


def refuse_repeated(where, tests):
    """Raise a `DataError` if anything is given twice among tests (see `repeated`)."""
    if twice := repeated(tests):
        raise DataError(f"{where}: " + " ".join(twice))


def repeated(tests):
    """Return what is given twice among tests, one sentence each: the same object, file, or rows.

    Two records of one row, or of rows read with a ruler, may well be equal: they pass.
    """
    tests, found = list(tests), []
    keys = [_Keys.of(test) for test in tests]
    for place, one in enumerate(tests):
        if twice := _within(one, keys[place]):
            found.append(
                f"{one.name} holds its readings twice, {one.rows_where(twice[0])} again as {one.rows_where(twice[1])}, to the "
                "last digit; take the copy out, because readings count once."
            )
        for earlier, other in enumerate(tests[:place]):
            same = one is other or _same_file(one, other)
            rows = () if same else _shared(one, keys[place], keys[earlier])
            if not same and not len(rows):
                continue
            what = (
                "are the same record"
                if same
                else f"hold the same readings to the last digit ({one.rows_where(rows)} of the second)"
            )
            found.append(
                f"{other.name} and {one.name} {what}; readings count once, and two honest repeats are never equal in every "
                "digit: leave one out, or name the file that was meant."
            )
    return found


def _same_file(one, other):
    """Say whether two records were read from the same rows of one folder, or of a copy of it."""
    a, b = one.origin, other.origin
    if not hasattr(a, "toml") or not hasattr(b, "toml"):
        return False
    if (a.toml, a.entry) != (b.toml, b.entry) or one.batch != other.batch:
        return False
    return a.typed.table == b.typed.table and bool(set(a.rows.tolist()) & set(b.rows.tolist()))


class _Keys(NamedTuple):
    """What a record says was set and read: its kind, the names of these columns, each row as one key, and those that differ."""

    kind: str
    names: list
    rows: list
    different: frozenset

    @classmethod
    def of(cls, test):
        names = [name for name in test.columns if name not in ORDERS]
        rows = list(zip(*(getattr(test, name).tolist() for name in names), test.censored.tolist(), strict=True))
        return cls(test.kind, names, rows, frozenset(rows))

    @property
    def enough(self):
        return BESIDE if len(self.names) > 1 else ALONE


def _shared(test, own, other):
    """Return the rows of a record whose keys stand in another's, where those of the shorter do all, enough and different."""
    if own[:2] != other[:2] or own.different.isdisjoint(other.different):
        return ()
    shared = own.different & other.different
    least = max(own.enough, min(len(own.different), len(other.different)))
    if len(shared) < least or _settings_alone(test, own, shared):
        return ()
    return np.array([place for place, key in enumerate(own.rows) if key in shared])


def _settings_alone(test, own, rows):
    """Say whether the shared rows do not differ in what was read, so that only settings are the same."""
    at = own.names.index(test.reads)
    return len({row[at] for row in rows}) < min(BESIDE, len(rows))


def _within(test, own):
    """Return the places of rows that stand twice in one record as a block, first and again; nothing where none do."""
    half = len(own.rows) // 2
    if (
        len(own.rows) % 2
        or own.rows[:half] != own.rows[half:]
        or len(own.different) < own.enough
        or _settings_alone(test, own, own.different)
    ):
        return ()
    return np.arange(half), np.arange(half, len(own.rows))
