"""The file of readings of a record that was read, changed cell by cell: what need not change stays as it was typed.

Rows taken out are left out, a changed value is typed anew in the column and unit in which it stood, a new row stands below the
one it follows and a new column behind the others. Of a column that others give, such as a flow by caught mass and time,
the first of these is changed; where that cannot give the value, the quantity gets a column of its own.
"""

import re
from bisect import bisect_left
from collections import Counter
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..units import unit_scale
from .columns import bound_of
from .forms import UNCERTAINTIES, form_of
from .headers import title_of
from .origin import TestOrigin
from .tables import DECIMALS, MOST_LINES, SEPARATORS, joined_header, read_csv
from .typing_out import MARKS, dimension_values, scale_of

NEAR = 4 * np.finfo(float).eps
"""Relative difference within which a value that others give counts as the one meant: it is their rounding."""


class Retyped(NamedTuple):
    """The text of a file of readings, whether it is another one, and how its cells are parted and numbers written."""

    text: str
    changed: bool
    separator: str
    decimal: str

    def signs(self, stated):
        """Return what its [[test]] must state beside what it states of separator and decimal sign, so that it is read right."""
        wanted = {"separator": (SEPARATORS, self.separator), "decimal": (DECIMALS, self.decimal)}
        try:
            table = read_csv(self.text.encode(), stated.get("separator"), stated.get("decimal"))
            if (table.separator, table.decimal) == (self.separator, self.decimal):
                return {}
        except DataError:
            pass
        return {key: next(n for n, mark in known.items() if mark == sign) for key, (known, sign) in wanted.items()}


def column_names(test):
    """Return the columns that the file of a record must hold: its own, and uncertainties by row."""
    return [*test.columns, *by_row(test)]


def by_row(test):
    """Return the uncertainties by row that its [[test]] does not give by those of what its readings are computed from."""
    return [name for name in UNCERTAINTIES if np.ndim(getattr(test, name)) and not is_computed(test, name)]


def is_computed(test, name="uncertainty"):
    """Say whether an uncertainty by row follows from what its [[test]] states of the columns that give the readings."""
    if not isinstance(test.origin, TestOrigin) or name in test.origin.typed.columns:
        return False
    own, rows = getattr(test.origin.record, name), test.origin.rows
    return bool(np.ndim(own)) and np.array_equal(getattr(test, name), own[rows])


def plain_table(test):
    """Return the CSV text of a record: every column it holds, in units of the bench, bounds as ``<`` and ``>``."""
    required = form_of(type(test)).required_columns()
    errors = [name for name in UNCERTAINTIES if np.ndim(getattr(test, name))]
    names = [*required, *(name for name in (*test.columns, *errors) if name not in required)]
    rows = zip(*(_column(test, name) for name in names), strict=True)
    return "\n".join(", ".join(row) for row in rows) + "\n"


def _column(test, name, known=()):
    """Return the header and the cells of a column of a record; errors have a unit that is known for what was read."""
    form = form_of(type(test))
    if name == "relative_uncertainty":
        scale = unit_scale("%", "-")
    elif name == "uncertainty":
        read = known[test.reads].scale if test.reads in known else scale_of(form.quantity(test.reads).unit)
        scale = read.without_offset
    else:
        scale = scale_of(form.quantity(name).unit)
    pairs = zip(_sides(test, name), getattr(test, name), strict=True)
    return [title_of(name, scale.text), *(MARKS[int(side)] + scale.to_text(value) for side, value in pairs)]


def _sides(test, name):
    """Return on which side each cell of a column is a bound: 0 for a number."""
    return np.array(test.censored) if name == test.reads else np.zeros(len(test.censored), int)


def near(one, other):
    """Say where numbers are the same but for the rounding of a product."""
    return np.abs(one - other) <= NEAR * np.abs(other)


def retyped(test):
    """Return the `Retyped` file of a record that was read; a sheet of a workbook becomes the text of a CSV file."""
    typed, record = test.origin.typed, test.origin.record
    sheet = _Sheet(typed.table)
    sources, new = sheet.arrange(_aligned(test))
    given, names = test.origin.given | dimension_values(test), column_names(test)
    added, removed = [], []
    for name in names:
        column, way, values = typed.columns.get(name), typed.ways.get(name), getattr(test, name)
        sides = _sides(test, name)
        remarked = sides != (typed.censored[sources] if name == record.reads else 0)
        if column is None and way is None:
            added.append(name)
            continue
        if column is not None:
            changed, text = values != typed.values[name][sources], column.scale.to_text
            texts = {k: text(values[k]) for k in np.flatnonzero(changed)}
        else:
            column = typed.columns[next(iter(way.inputs))]
            inputs = {n: typed.values[n][sources] for n in way.inputs}
            texts = _by_way(way, column, inputs, given, values, new)
            if texts is None:
                added.append(name)
                removed += [typed.columns[n] for n in way.inputs]
                sheet.keep_as_comment()
                continue
        for k in np.union1d(list(texts), np.flatnonzero(remarked)).astype(int):
            sheet.put(k, column.place, MARKS[int(sides[k])], texts.get(k))
    for name in added:
        title, *texts = _column(test, name, typed.columns)
        sheet.add(title, texts)
    used = {*names, *(n for name in names if name in typed.ways for n in typed.ways[name].inputs)}
    removed += [column for name, column in typed.columns.items() if name not in used]
    for column in sorted(removed, key=lambda one: -one.place):
        sheet.remove(column.place)
    return Retyped(str(sheet), sheet.changed, sheet.separator, sheet.decimal)


def _by_way(way, column, inputs, given, values, new):
    """Return the new texts of the first input of a way by row, None where it cannot give the values.

    A new row has no other inputs of its own, so that a way of several says nothing of it.
    """
    if any(given.get(name) is None for name in way.given) or (len(inputs) > 1 and new.any()):
        return None
    first, dimensions, texts = next(iter(inputs)), {name: given[name] for name in way.given}, {}
    for k in np.flatnonzero(~near(way.compute(**inputs, **dimensions), values)):
        others = {name: column[k] for name, column in inputs.items()} | dimensions
        texts[k] = _inverse(lambda x, others=others: way.compute(**others | {first: x}), column.scale, values[k])
    return None if None in texts.values() else texts


def _inverse(compute, scale, wanted):
    """Return the text of the number that a way takes to a value, the shortest that will do; None where there is none."""
    with np.errstate(all="ignore"):
        x = wanted / compute(1.0)
        if not np.isfinite(x):
            return None
        short = f"{float((x - float(scale.offset)) / float(scale.factor)):.15g}"
        return next((t for t in (short, scale.to_text(x)) if near(compute(scale.to_si(Decimal(t))), wanted)), None)


def _aligned(test):
    """Return for each row of a record the row of the file it is, None for a new one, and that whose text it takes.

    Rows that are the same are matched in their order; of those between, one takes the place of the other.
    """
    origin, record = test.origin, test.origin.record
    names = ["censored", *(name for name in record.columns if name in test.columns)]
    rows = origin.rows.tolist()
    before = list(zip(*(np.array(getattr(record, name))[rows].tolist() for name in names), strict=True))
    after = list(zip(*(np.array(getattr(test, name)).tolist() for name in names), strict=True))
    place = {key: k for k, key in enumerate(_numbered(before))}
    found = [place.get(key) for key in _numbered(after)]
    own, ends = [None] * len(after), [(-1, -1), *_longest_rising(found), (len(after), len(before))]
    for (k, i), (next_k, next_i) in pairwise(ends):
        if k >= 0:
            own[k] = rows[i]
        for step in range(1, min(next_k - k, next_i - i)):
            own[k + step] = rows[i + step]
    return own, [None if f is None else rows[f] for f in found]


def _numbered(rows):
    """Return rows with how often each stood before, so that no two are the same."""
    seen, found = Counter(), []
    for row in rows:
        found.append((row, seen[row]))
        seen[row] += 1
    return found


def _longest_rising(places):
    """Return the longest run of (k, place) in which the places rise; None is no place."""
    tails, ends, before = [], [], {}
    for k, place in enumerate(places):
        if place is not None:
            at = bisect_left(tails, place)
            tails[at : at + 1], ends[at : at + 1] = [place], [k]
            before[k] = ends[at - 1] if at else None
    run, k = [], ends[-1] if ends else None
    while k is not None:
        run.append((k, places[k]))
        k = before[k]
    return run[::-1]


class _Sheet:
    """The lines of a file, of which cells, rows and columns are changed in place."""

    def __init__(self, table):
        self.separator, self.decimal, self.table = table.separator if table.lines else ",", table.decimal, table
        self.lines, self.head, self.below = list(table.lines), table.header_row - 1, table.rows.numbers - 1
        if not table.lines:  # a sheet of a workbook
            cells = [table.header, *(row.cells for row in table.rows)]
            self.lines = [", ".join(self._quoted(cell) for cell in row) + "\n" for row in cells]
            self.head, self.below = 0, np.arange(1, len(cells))
        self.before, self.changed, self.at, self.comment = tuple(self.lines), False, [], []
        self.sources, self.end = np.empty(0, int), "\r\n" if self.lines[self.head].endswith("\r\n") else "\n"

    def __str__(self):
        return "".join([*self.lines[: self.head], *self.comment, *self.lines[self.head :]])

    def arrange(self, aligned):
        """Put the rows into their order; return for each row that whose text it took, and whether it is a new one."""
        own, alike = aligned
        follow, last = {}, -1
        for k, row in enumerate(own):
            last = last if row is None else row
            follow.setdefault(last, []).append(k)
        self.at, lines, self.sources = [0] * len(own), [], np.zeros(len(own), int)
        row_of = {int(line): row for row, line in enumerate(self.below)}
        for number, line in enumerate(self.lines):
            row = row_of.get(number)
            if row is None:
                lines.append(line)
                continue
            for k in [*(follow.get(-1, []) if row == 0 else []), *follow.get(row, [])]:
                source = next(r for r in (alike[k], own[k], row) if r is not None)
                self.at[k], self.sources[k] = len(lines), source
                lines.append(self.lines[self.below[source]])
        if any(row is None for row in own):
            lines = [line if line.endswith(("\r", "\n")) else line + self.end for line in lines]
        self.changed, self.lines = lines != self.lines, lines
        return self.sources, np.array([row is None and one is None for row, one in zip(own, alike, strict=True)])

    def put(self, k, place, mark, number=None):
        """Type a mark and a number, by default the one that stands there, into a cell."""
        if number is None:
            number = self.table.rows[int(self.sources[k])].cells[place]
            number = number.removeprefix(bound_of(number)).strip()
        text, cells = mark + number.replace(".", self.decimal), self._cells(self.at[k])
        there = cells[place].strip()
        cells[place] = cells[place].replace(there, self._quoted(text), 1) if there else self._quoted(text)
        self._write(self.at[k], cells)

    def add(self, title, texts):
        """Add a column behind the others."""
        head = self._cells(self.head)
        while len(head) > 1 and not head[-1].strip():
            head.pop()
        width = len(head)
        blank = " " * (self.separator == "," if width == 1 else head[-1][:1] == " ")
        texts = [title, *(text.replace(".", self.decimal) for text in texts)]
        for line, text in zip((self.head, *self.at), texts, strict=True):
            cells = self._cells(line)
            self._write(line, [*cells[:width], blank + self._quoted(text), *cells[width + 1 :]])

    def remove(self, place):
        """Take a column out."""
        for line in (self.head, *self.at):
            cells = self._cells(line)
            del cells[place]
            self._write(line, [cells[0].lstrip(), *cells[1:]] if place == 0 else cells)

    def keep_as_comment(self):
        """Keep the header and rows as they were typed, each as a comment."""
        if not self.comment and len(self.before) + len(self.lines) < MOST_LINES:
            typed = [self.before[number] for number in (self.head, *self.below)]
            self.comment = [f"# {line.strip()}{self.end}" for line in typed]

    def _cells(self, line):
        """Return the cells of a line with the blanks around them; parts of a header that a comma parted are together."""
        body, sign = self.lines[line].rstrip("\r\n"), re.escape(self.separator)
        cells = body.split(self.separator)
        if '"' in body:
            cells = re.findall(rf'(?:^|{sign})([ ]*"(?:[^"]|"")*"[^{sign}]*|[^{sign}]*)', body)
        return joined_header(cells, self.separator) if line == self.head else cells

    def _write(self, line, cells):
        old = self.lines[line]
        self.lines[line] = self.separator.join(cells) + old[len(old.rstrip("\r\n")) :]
        self.changed = True

    def _quoted(self, text):
        quote = self.separator in text or text.startswith('"')
        return '"' + text.replace('"', '""') + '"' if quote else text
