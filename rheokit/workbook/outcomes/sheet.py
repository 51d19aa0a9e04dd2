"""`outcomes.csv` as text: its rows as outcomes, a row more, or what came out in a row that is there.

Lines stay as they are but for the one that is changed: comments, columns of one's own, separator and decimal sign. Whatever cannot be read is told by
row and column, and then nothing is written. What begins like a formula of a spreadsheet has an apostrophe before it in the file.
"""

import csv
import io
import re
from codecs import BOM_UTF8
from collections.abc import Callable, Mapping
from math import isfinite, isnan
from typing import Any, NamedTuple

from ...errors import DataError
from ...reading.faults import shown
from ...reading.tables import Row, Table, joined_header, read_csv
from ...things import nearest
from ..entries import number_of
from .answers import NO, YES, day, moment, yes_or_no
from .lines import in_one_line
from .outcome import DIGITS, Outcome
from .quantities import CLAIMS, NUMBERS, QUANTITIES, unit_of

HEAD = (
    "# What was predicted of this paste and what came out. Predictions are never changed. Type what came out into the columns from observed on: a "
    "number in the unit of the row or yes / no under came true and then the date as 2026-01-31 - last number given 0\n"
)
MOST_FAULTS = 12
MOST_NUMBER = 99_999  # of a prediction
GIVEN = re.compile(r"last number given ([0-9]{1,5})(?![0-9])")
LONGEST = 1500  # characters of a text in a cell


class Column(NamedTuple):
    """A column of the file: which field it holds, how that is written and read."""

    field: str
    write: Callable[[Any], str]
    read: Callable[[str], Any]


def _number(text):
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise DataError(f"{shown(text)} is no number; write it as it was, or take the row out")
    return value


def _optional(text):
    return _number(text) if text else float("nan")


def _plain(value):
    return "" if isnan(value) else f"{value:.{DIGITS}g}"


def _quantity(text):
    if text not in QUANTITIES:
        raise DataError(
            f"{shown(text)} is no quantity of this record{nearest(text, QUANTITIES)}; known are {', '.join(QUANTITIES)}"
        )
    return text


def _guarded(text, longest=LONGEST):
    """Return a text as a cell that no spreadsheet computes."""
    line = re.sub(r"\s+", " ", str(text).encode("utf-8", "backslashreplace").decode()).strip()
    line = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in line)
    line = line if longest is None or len(line) <= longest else line[: longest - 2] + " …"
    return f"'{line}" if line[:1] in ("=", "+", "-", "@", "'", "#") else line


def text_in(cell: str) -> str:
    """Return the text of a cell without its apostrophe."""
    return cell[1:] if len(cell) > 1 and cell[0] == "'" and cell[1] in "=+-@'#" else cell


def as_written(text: str, longest: int | None = LONGEST) -> str:
    """Return a text as the file will give it back, and of no more than so many characters."""
    return text_in(_guarded(text, longest))


def _flag(value):
    return "" if value is None else YES if value else NO


_text = (_guarded, text_in)
_whole_text = (lambda text: _guarded(text, None), text_in)  # what a person typed is never cut off
COLUMNS: Mapping[str, Column] = {
    "number": Column("number", str, lambda text: _whole(text)),
    "predicted at [UTC]": Column("when", lambda when: f"{when:%Y-%m-%d %H:%M:%S}", moment),
    "quantity": Column("quantity", str, _quantity),
    "unit": Column("unit", str, str),
    "predicted [unit of the row]": Column("value", _plain, _optional),
    "low 2.5 % [unit of the row]": Column("low", _plain, _optional),
    "high 97.5 % [unit of the row]": Column("high", _plain, _optional),
    "probability [-]": Column("probability", _plain, _optional),
    "holds": Column("holds", *_text),
    "doubt": Column("doubt", *_text),
    "settings": Column("settings", *_text),
    "invented": Column("invented", _flag, lambda text: bool(yes_or_no(text))),
    "made by": Column("by", *_text),
    "bench": Column("bench", *_text),
    "plan": Column("plan", *_text),
    "seal": Column("seal", *_text),
    "observed [unit of the row]": Column("observed", lambda value: "" if value is None else _plain(value), str),
    "came true": Column("came", _flag, yes_or_no),
    "observed on": Column("on", lambda on: "" if on is None else on.isoformat(), day),
    "batch": Column("batch", *_whole_text),
    "remark": Column("remark", *_whole_text),
}
HEADINGS = {column.field: name for name, column in COLUMNS.items()}
COMES_LATER = ("observed", "came", "on", "batch", "remark")
"""Fields of what came out."""
_SIGNED = ("value", "low", "high", "probability", "observed")


def _whole(text):
    if not re.fullmatch(r"[1-9][0-9]{0,4}", text):
        raise DataError(f"{shown(text)} is no number of a prediction; write it as it was")
    return int(text)


class Sheet:
    """The content of a file.

    Parameters
    ----------
    raw : bytes or None
        None where there is no file yet.
    """

    def __init__(self, raw: bytes | None) -> None:
        if raw is None or not raw.strip():
            raw = (HEAD + _line(list(COLUMNS), ",") + "\n").encode()
        self._mark = BOM_UTF8 if raw.startswith(BOM_UTF8) else b""
        self.table: Table = read_csv(in_one_line(raw), decimal="point")
        header = [name.strip().casefold() for name in joined_header(self.table.header, ", ")]
        gone = [name for name in COLUMNS if header.count(name.casefold()) != 1]
        if gone:
            told = "; ".join(
                f"column {shown(name)} is {'there twice' if name.casefold() in header else 'not there'}"
                for name in gone
            )
            raise DataError(f"row {self.table.header_row}: {told}; write the headers as they were")
        self.places = {column.field: header.index(name.casefold()) for name, column in COLUMNS.items()}
        self.width = len(header)
        sign = self.table.separator
        held = [
            row.cells[self.places[field]]
            for row in self.table.rows
            for field in _SIGNED
            if self.places[field] < len(row.cells)
        ]
        self._comma = sign != "," and any(re.fullmatch(r"-?[0-9]*,[0-9]+", cell) for cell in held)
        self.outcomes = self._read()

    def __bytes__(self) -> bytes:
        return self._encoded(self.table.lines)

    @property
    def next_number(self) -> int:
        """The number of a prediction that is added."""
        given = [int(found[1]) for line in self._above if (found := GIVEN.search(line))]
        number = max([one.number for one in self.outcomes] + given, default=0) + 1
        if number > MOST_NUMBER:
            raise DataError(
                f"number {MOST_NUMBER} is the last that there is; begin a new file, and keep this one under another name"
            )
        return number

    @property
    def _above(self):
        """The comments above the header."""
        return self.table.lines[: self.table.header_row - 1]

    def with_row(self, outcome: Outcome) -> bytes:
        """Return the file with a prediction more."""
        cells = [""] * self.width
        self._fill(cells, outcome, HEADINGS)
        lines = list(self.table.lines)
        end = self._end
        for place, line in enumerate(
            self._above
        ):  # the number is noted, so that it is not given again when its row is gone
            if GIVEN.search(line):
                lines[place] = GIVEN.sub(f"last number given {outcome.number}", line)
        if lines and not lines[-1].endswith(("\r", "\n")):
            lines[-1] += end
        return self._encoded([*lines, _line(cells, self.table.separator) + end])

    def with_observed(self, outcome: Outcome) -> bytes:
        """Return the file with what came out in the row of its number; the prediction stays to the letter."""
        row = self._row(outcome.number)
        cells = [*row.cells, *[""] * (self.width - len(row.cells))]
        self._fill(cells, outcome, COMES_LATER)
        lines = list(self.table.lines)
        old = lines[row.number - 1]
        lines[row.number - 1] = _line(cells, self.table.separator) + old[len(old.rstrip("\r\n")) :]
        return self._encoded(lines)

    def _encoded(self, lines):
        return self._mark + "".join(lines).encode()

    @property
    def _end(self):
        first = self.table.lines[self.table.header_row - 1]
        return first[len(first.rstrip("\r\n")) :] or "\n"

    def _fill(self, cells, outcome, fields):
        for field in fields:
            told = COLUMNS[HEADINGS[field]].write(getattr(outcome, field))
            cells[self.places[field]] = told.replace(".", ",") if self._comma and field in _SIGNED else told

    def _row(self, number):
        return next(row for row in self.table.rows if row.cells[self.places["number"]] == str(number))

    def _read(self):
        found, faults = [], []
        for row in self.table.rows:
            try:
                found.append(self._outcome(row))
            except DataError as fault:
                faults.append(str(fault))
        numbers = [one.number for one in found]
        faults += [
            f"number {one} stands in {numbers.count(one)} rows; take out the copy"
            for one in sorted(set(numbers))
            if numbers.count(one) > 1
        ]
        if faults:
            more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
            raise DataError("\n".join([*faults[:MOST_FAULTS], *more]))
        return found

    def _outcome(self, row: Row) -> Outcome:
        if len(row.cells) > self.width and any(row.cells[self.width :]):
            raise DataError(
                f"row {row.number} has {len(row.cells)} cells below {self.width} headers; put a text with {self.table.separator!r} in quotation marks"
            )
        at = {}
        for name, column in COLUMNS.items():
            place = self.places[column.field]
            cell = row.cells[place].strip() if place < len(row.cells) else ""
            cell = cell.replace(",", ".") if self._comma and column.field in _SIGNED else cell
            try:
                at[column.field] = column.read(cell)
                if column.field == "observed":
                    at["observed"] = observed_number(at["quantity"], cell)
                if column.field == "unit" and cell != unit_of(at["quantity"]):
                    raise DataError(
                        f"{shown(cell)} is not the unit of {at['quantity']}, {unit_of(at['quantity'])}; write it as it was"
                    )
                if column.field == "came" and cell and at["quantity"] not in CLAIMS:
                    raise DataError(
                        f"{shown(cell)} is an answer to what comes true; {at['quantity']} is a number: write it under observed"
                    )
            except DataError as fault:
                raise DataError(f"row {row.number}, column {place + 1} ({name}): {fault}") from None
        del at["unit"]
        return Outcome(**at)


def observed_number(quantity: str, text: str) -> float | None:
    """Return what was typed as observed of a quantity, a number in its unit or one with a unit, in its unit; None for nothing."""
    if not text.strip():
        return None
    if quantity in CLAIMS:
        raise DataError(f"{shown(text)} is a number; {CLAIMS[quantity]}: write {YES} or {NO} under came true")
    entry = NUMBERS[quantity]
    bare = re.fullmatch(r"\s*[+−-]?[0-9]*[.,]?[0-9]+(e[+-]?[0-9]+)?\s*", text)
    return number_of(entry, entry.typed(text) if bare else text).in_unit


def _line(cells, sign):
    text = io.StringIO()
    csv.writer(text, delimiter=sign, lineterminator="").writerow(cells)
    return text.getvalue()


__all__ = ["COLUMNS", "HEAD", "Sheet", "as_written", "observed_number"]
