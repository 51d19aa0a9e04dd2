"""The same readings given twice would narrow every interval: they are refused, whatever they are called."""

import numpy as np

from ..errors import DataError

BESIDE, ALONE = 3, 5
"""Rows, each different, that two honest records never share to the last digit: with a setting beside the reading, and
without one, where a ruler reads 35 mm more than once; common practice, no source."""
ORDERS = ("run_order", "time", "stroke", "temperature")  # columns that say when a row was read, and not what


def refuse_repeated(where, tests):
    """Raise a `DataError` if anything is given twice among tests (see `repeated`)."""
    if twice := repeated(tests):
        raise DataError(f"{where}: " + " ".join(twice))


def repeated(tests):
    """Return what is given twice among tests, one sentence each: the same object, file, or rows.

    Two records of one row, or of rows read with a ruler, may well be equal: they pass.
    """
    tests, found = list(tests), []
    for place, one in enumerate(tests):
        if twice := _within(one):
            found.append(
                f"{one.name} holds its readings twice, {one.rows_where(twice[0])} again as {one.rows_where(twice[1])}, to the "
                "last digit; take the copy out, because readings count once."
            )
        for other in tests[:place]:
            same = one is other or _same_file(one, other)
            rows = () if same else _shared(one, other)
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


def _keys(test):
    """Return the columns that say what was set and read, and each row of them as one key."""
    names = [name for name in test.columns if name not in ORDERS]
    return names, list(zip(*(getattr(test, name).tolist() for name in names), test.censored.tolist(), strict=True))


def _shared(one, other):
    """Return the rows of the shorter of two records where all of them, enough and different, stand in the longer one."""
    if one.kind != other.kind:
        return ()
    (names, keys), (others, theirs) = _keys(one), _keys(other)
    if names != others:
        return ()
    shared = set(keys) & set(theirs)
    enough = BESIDE if len(names) > 1 else ALONE
    if len(shared) < max(enough, min(len(set(keys)), len(set(theirs)))) or _settings_alone(one, names, shared):
        return ()
    return np.array([place for place, key in enumerate(keys) if key in shared])


def _settings_alone(test, names, rows):
    """Say whether the shared rows do not differ in what was read, so that only settings are the same."""
    at = names.index(test.reads)
    return len({row[at] for row in rows}) < min(BESIDE, len(rows))


def _within(test):
    """Return the places of rows that stand twice in one record as a block, first and again; nothing where none do."""
    names, keys = _keys(test)
    half = len(keys) // 2
    enough = BESIDE if len(names) > 1 else ALONE
    if (
        len(keys) % 2
        or keys[:half] != keys[half:]
        or len(set(keys)) < enough
        or _settings_alone(test, names, set(keys))
    ):
        return ()
    return np.arange(half), np.arange(half, len(keys))
