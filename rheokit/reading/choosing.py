"""Which rows of a file count: by their numbers, by the runs they belong to, by the branch of a curve."""

import re

import numpy as np

from ..bench.runs import DOWN, UP, runs_among
from .faults import listed, shown
from .forms import UNCERTAINTIES

CHOICES = ("rows", "runs", "branch")
"""Keys of a [[test]] that choose rows of its file."""
READERS = ("sheet", "separator", "decimal", "thousands", "columns", "ignore", *CHOICES)
"""All keys of a [[test]] that say how its file is read."""
SHOWN = 12  # stretches of rows, and runs, that a message names
LARGEST = 10_000_000  # greatest number of a row


class Every:
    """Holds the number of every row."""

    def __contains__(self, number):
        return True

    def unused(self, numbers):
        """Return nothing: no row was named that is none."""
        return ""


class Named:
    """Holds the numbers of rows that `rows` of a [[test]] names, such as "12-45, 50"."""

    def __init__(self, parts):
        self.parts = parts

    def __contains__(self, number):
        return any(low <= number <= high for low, high in self.parts)

    def unused(self, numbers):
        """Return the first part that names none of the rows with readings, "" where all do."""
        numbers = np.asarray(numbers)
        return next((_text(p) for p in self.parts if not np.any((p[0] <= numbers) & (numbers <= p[1]))), "")


def wanted_rows(entry, where, faults):
    """Return what holds the numbers of the rows that a [[test]] asks for; None where that is faulty, which goes to the faults."""
    if "rows" not in entry:
        return Every()
    text, parts = entry["rows"], []
    for part in text.split(",") if isinstance(text, str) else [""]:
        found = re.fullmatch(r"\s*([0-9]{1,8})(?:\s*(?:-|–|to)\s*([0-9]{1,8}))?\s*", part)
        low, high = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
        if not 1 <= low <= high <= LARGEST:
            told = 'must be numbers of rows as they stand in the file, such as rows = "12-45, 50"'
            faults.add(where, f"rows = {shown(text)} {told}")
            return None
        parts.append((low, high))
    return Named(parts)


def with_rows(table, wanted, where, faults):
    """Return a table of the rows that are asked for; a part of `rows` that names no reading goes to the faults."""
    numbers = table.rows.numbers
    if unused := wanted.unused(numbers):
        told = f"rows: {unused} names no row with readings"
        faults.add(where, f"{told}; they stand in {in_words(numbers.tolist())}" if len(numbers) else told)
    if isinstance(wanted, Every):
        return table
    keep = np.array([number in wanted for number in numbers.tolist()], bool)
    return table._replace(rows=table.rows.where(keep), lines=())


def with_runs(typed, reads, entry, where, faults):
    """Return the columns of the runs and the branch that a [[test]] asks for; what is faulty goes to the faults."""
    if "runs" not in entry and "branch" not in entry:
        return typed
    inputs = {name for target, way in typed.ways.items() if target == reads for name in way.inputs}
    beside = {reads, *inputs, *UNCERTAINTIES}
    columns = {name: values for name, values in typed.values.items() if name not in beside}
    found = runs_among(columns, len(typed.table.rows))
    keep, before = np.ones(len(found.numbers), bool), len(faults)
    have = "; ".join(_told(found, number, typed.table.rows.numbers) for number in list(found.ways)[:SHOWN])
    if "runs" in entry:
        chosen = entry["runs"] if isinstance(entry["runs"], list) else [entry["runs"]]
        if not chosen or not all(isinstance(one, int) and not isinstance(one, bool) for one in chosen):
            faults.add(
                where, f"runs = {_as_typed(entry['runs'])} must be a list of their numbers, such as runs = [1, 3]"
            )
        elif missing := [one for one in chosen if one not in found.ways]:
            faults.add(where, f"runs = {chosen}: there is no run {listed(map(str, missing))}; there are {have}")
        else:
            keep &= np.isin(found.numbers, chosen)
    if "branch" in entry:
        if entry["branch"] not in (UP, DOWN):
            faults.add(where, f'branch = {shown(entry["branch"])} is not known; write branch = "up" or "down"')
        elif not np.any(keep & (found.branches == entry["branch"])):
            faults.add(where, f"branch = {shown(entry['branch'])}: no settings go {entry['branch']} in {have}")
        else:
            keep &= found.branches == entry["branch"]
    if len(faults) > before or not np.any(keep):
        return typed
    table = typed.table._replace(rows=typed.table.rows.where(keep), lines=())
    values = {name: column[keep] for name, column in typed.values.items()}
    return typed._replace(table=table, values=values, censored=typed.censored[keep])


def _as_typed(value):
    """Return what a [[test]] says, as it was typed."""
    parts = value if isinstance(value, list) else None
    return shown(value) if parts is None else f"[{listed(repr(p) if isinstance(p, str) else str(p) for p in parts)}]"


def rows_left(test, entry):
    """Return the numbers of the rows of a record that was read, as `rows` takes them.

    "" where its file is no export, nor one of which its [[test]] chooses rows; or the record is more than some of the rows read.
    """
    if not (test.origin.typed.table.own or {*CHOICES} & entry.keys()):
        return ""
    record, rows = test.origin.record, test.origin.rows
    columns = [*test.columns, *(name for name in UNCERTAINTIES if np.ndim(getattr(test, name))), "censored"]
    before = [*record.columns, *(name for name in UNCERTAINTIES if np.ndim(getattr(record, name))), "censored"]
    if columns != before or len(rows) != len(test.readings) or np.any(np.diff(rows) <= 0):
        return ""
    alike = all(np.array_equal(getattr(test, name), getattr(record, name)[rows]) for name in columns)
    return ranges(test.origin.row_numbers.tolist()) if alike else ""


def _told(found, number, rows):
    """Return a run in words: its number, its rows and its way."""
    way = found.ways[number]
    return f"run {number} in {in_words(sorted(rows[found.rows(number)].tolist()))}{f', {way}' if way else ''}"


def ranges(numbers):
    """Return numbers of rows as `rows` takes them, such as "12-45, 50"."""
    parts = []
    for number in numbers:
        if parts and parts[-1][1] == number - 1:
            parts[-1][1] = number
        else:
            parts.append([number, number])
    return ", ".join(map(_text, parts))


def in_words(numbers):
    """Return "row 4" or "rows 4-9, 12", cut short where there are many."""
    parts = ranges(numbers).split(", ")
    more = f" and {len(parts) - SHOWN} more" if len(parts) > SHOWN else ""
    return f"row{'s' * (len(numbers) > 1)} {', '.join(parts[:SHOWN])}{more}"


def _text(part):
    low, high = part
    return f"{low}-{high}" if high > low else str(low)
