"""CSV files to cells as they were typed, with the row each stands in; nothing is guessed, nothing dropped."""

import csv
import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from .faults import shown
from .misread import THOUSANDS

LARGEST_FILE = 20_000_000  # most bytes of one file
MOST_ROWS = 100_000  # most rows of readings in one file
MOST_COLUMNS = 40  # most columns; no bench test has a third of them
MOST_LINES = 2 * MOST_ROWS  # most lines of a text file, with empty ones and comments
LONGEST_LINE = 10_000  # most characters of a line of readings
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
DECIMALS = {"point": ".", "comma": ","}
WITHIN = "\x1f"  # parts the cells of a row that was no line of text; no cell can hold it
NOTHING = "holds no header and no rows; give one row of headers such as 'force [N]' and the readings below"


class Row(NamedTuple):
    """One row of readings: its number in the file, counted from 1, and its cells."""

    number: int
    cells: tuple


class Rows(Sequence):
    """The rows of readings of a file, with the number of each in it.

    They are kept as lines, and split at the separator when they are asked for: a tenth of the memory of cells.
    """

    def __init__(self, numbers, lines, separator):
        self.numbers, self.lines, self.separator = np.array(numbers, int), tuple(lines), separator

    def __len__(self):
        return len(self.lines)

    def __getitem__(self, place):
        if isinstance(place, slice):
            return [self._row(*pair) for pair in zip(self.numbers[place].tolist(), self.lines[place], strict=True)]
        return self._row(int(self.numbers[place]), self.lines[place])

    def where(self, keep):
        """Return the rows where `keep`, shape (N,), is true."""
        kept = np.flatnonzero(keep).tolist()
        return Rows(self.numbers[kept], [self.lines[k] for k in kept], self.separator)

    def _row(self, number, line):
        return Row(number, split_cells(line, self.separator, number))

    def __eq__(self, other):
        return self.lines == other.lines and np.array_equal(self.numbers, other.numbers)

    __hash__ = None


class Table(NamedTuple):
    """A file of readings as typed.

    `lines` are all the lines of a text file with their line ends, so that rows can be taken out and comments stay; empty where
    the file is not changed in place: for a sheet of a workbook, of which `hidden` are the numbers of rows that it does not show,
    for an instrument's export, and where rows were chosen. `ignored` are the places of columns to pass over. Of an export `own` holds,
    for each block, the number of its header row and place and header of each column there, `typed` the cells of its rows as they stand
    in the file; `notes` say how it was taken.
    """

    header_row: int
    header: tuple
    rows: Rows
    separator: str = ","
    decimal: str = "."
    lines: tuple = ()
    hidden: tuple = ()
    ignored: frozenset = frozenset()
    own: tuple = ()
    notes: tuple = ()
    typed: Rows | None = None

    def place(self, column, row):
        """Return where a cell of a column stands in the file, in words, for the number of its row."""
        place, header = self._stands(column, row) or (column.place, column.header)
        return f"column {place + 1} ({header})"

    def _stands(self, column, row):
        """Return place and header in the file of a column of an export for the number of a row; None where it is no export's, or none of its columns."""
        blocks = [columns for begin, columns in self.own if begin <= row]
        return blocks[-1][column.place] if blocks and column.place < len(blocks[-1]) else None

    def headers_in_file(self, column):
        """Return each header in the file under which a column stands, one for most; none of a column that no file holds."""
        if not self.own:
            return (column.header,)
        return tuple(dict.fromkeys(columns[column.place][1] for _, columns in self.own if column.place < len(columns)))

    def cell_in_file(self, column, place):
        """Return the cell of a column as it stands in the file, for the place of a row among those that are read."""
        number, cells = self.rows[place]
        if self.typed is not None and self._stands(column, number):
            cells = self.typed[int(np.searchsorted(self.typed.numbers, number))].cells
        return cells[column.place] if column.place < len(cells) else ""


def text_of(raw, remedy="save it as 'CSV UTF-8'", but=""):
    """Return the text of a CSV or TOML file; `DataError` if it is none in UTF-8, ending on the remedy."""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise DataError(f"is UTF-16 text; {remedy}")
    if b"\0" in raw:
        raise DataError("is not text (it holds a zero byte); save the sheet as CSV UTF-8 or XLSX")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = raw.count(b"\n", 0, error.start) + 1
        raise DataError(f"is not UTF-8 text (row {row}, byte {raw[error.start]:#04x}); {remedy}") from error
    refuse_control_characters(text, but)
    return text


def refuse_control_characters(text, but=""):
    """Raise a `DataError` where a text holds a character that no text has, except those that a format takes as letters."""
    found = re.finditer(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x85\u2028\u2029]", text)
    if strange := next((one for one in found if one[0] not in but), None):
        row = text.count("\n", 0, strange.start()) + 1
        raise DataError(f"holds a control character ({ord(strange[0]):#04x}) in row {row}; take it out")


def read_csv(raw, separator=None, decimal=None):
    """Return the `Table` of a CSV file; separator and decimal sign as stated, or found where there is no doubt.

    `DataError` is one sentence, with the place in the file.
    """
    text = text_of(raw)
    if (count := max(text.count("\n"), text.count("\r"))) > MOST_LINES:
        raise DataError(f"has {count} lines; {MOST_LINES} at most: take the steady readings, not the raw log")
    lines = tuple(re.findall(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text))
    written = [n for n, line in enumerate(lines, 1) if line.strip(" \t\r\n;,") and line.lstrip()[0] != "#"]
    if not written:
        raise DataError(NOTHING)
    number, *below = written
    if len(below) > MOST_ROWS:
        raise DataError(f"holds {len(below)} rows; {MOST_ROWS} at most: take the steady readings, not the raw log")
    if long := next((n for n in written if len(lines[n - 1]) > LONGEST_LINE), None):
        told = f"row {long} has {len(lines[long - 1])} characters; {LONGEST_LINE} at most"
        raise DataError(f"{told}: give each reading a row")
    head = lines[number - 1].rstrip("\r\n")
    sign = SEPARATORS[separator] if separator else _separator(head, number)
    if separator is None and decimal == "comma" and sign == ",":
        sign = ";"
    header = joined_header(split_cells(head, sign, number), ", ")
    while len(header) > 1 and not header[-1]:  # a spreadsheet's empty last columns
        header.pop()
    if len(header) > MOST_COLUMNS:
        raise DataError(f"row {number} has {len(header)} columns; {MOST_COLUMNS} at most")
    bodies = [(n, lines[n - 1].rstrip("\r\n")) for n in below]
    bodies = [(n, line) for n, line in bodies if line.strip(' \t;,"') or any(split_cells(line, sign, n))]
    body = Rows([n for n, _ in bodies], [line for _, line in bodies], sign)
    for n, line in bodies:
        if '"' in line:
            split_cells(line, sign, n)
    two = separator is None and sign == "," and len(header) == 2 and len(body) and decimal is None
    if two and all(re.fullmatch(r"\s*[0-9]+,[0-9]+\s*", line) for line in body.lines):
        told = f"row {body[0].number}: {shown(body.lines[0])} can be two numbers or one with a decimal comma"
        remedy = 'write separator = "comma" in its [[test]] if they are two, else save the file with semicolons between columns'
        raise DataError(f"{told}; {remedy}")
    point = DECIMALS[decimal] if decimal else _decimal(body, sign)
    return Table(number, tuple(header), body, sign, point, lines)


def _separator(head, number):
    outside = re.sub(r"\[[^\]]*\]", "", head)
    present = [name for name, sign in SEPARATORS.items() if sign in outside]
    if "semicolon" in present and "tab" in present:
        told = f"row {number} holds semicolons and tabs"
        raise DataError(f'{told}; write separator = "semicolon" or "tab" in its [[test]]')
    return SEPARATORS[present[-1]] if present else ","  # a comma beside one of the others is one of words


def split_cells(line, sign, number):
    """Return the cells of a line, parted by a sign; `DataError` where a quotation mark does not close."""
    if '"' not in line or sign == WITHIN:
        return tuple(cell.strip() for cell in line.split(sign))
    try:
        row = next(csv.reader([line], delimiter=sign, strict=True, skipinitialspace=True))
        return tuple(cell.strip() for cell in row)
    except (csv.Error, StopIteration) as error:
        raise DataError(f"row {number}: {shown(line)} has a quotation mark that does not close; take it out") from error


def joined_header(header, comma):
    """Join ``pressure`` and ``gauge [kPa]``, which the comma of a header parted."""
    cells = []
    for cell in header:
        if cells and "[" not in cells[-1] and re.match(r"\s*(gauge|absolute)\b", cell, re.IGNORECASE):
            cells[-1] += comma + cell
        else:
            cells.append(cell)
    return cells


def _decimal(body, sign):
    """Return the decimal sign of the cells of a file, where they leave no doubt."""
    present = [mark for mark in ",." if any(mark in line for line in body.lines)]
    if sign == "," and not any('"' in line for line in body.lines):
        return "."
    commas = points = None
    thousands = {",": True, ".": True}
    for row in body:
        if sign != "," and len(present) == 1 and not thousands[present[0]]:  # no doubt, and nothing to speak against it
            break
        for cell in row.cells:
            mark = "," if "," in cell else "." if "." in cell else ""
            if mark and re.fullmatch(r"[<>≤≥ +-]*[0-9]*[.,][0-9.,]*", cell):
                commas = commas or ((row, cell) if "," in cell else None)
                points = points or ((row, cell) if "." in cell else None)
                if thousands[mark] and not THOUSANDS.fullmatch(cell):
                    thousands[mark] = False
    if commas and points:
        row, cell = commas
        told = f"row {row.number}: {shown(cell)} has a comma but row {points[0].number} has {shown(points[1])} with a point"
        raise DataError(f"{told}; use one decimal sign in a file and none for thousands")
    doubtful = commas or (points if sign == ";" else None)
    if doubtful and thousands["," if commas else "."]:
        row, cell = doubtful
        told = f"row {row.number}: {shown(cell)} can be a decimal or a thousand"
        raise DataError(f'{told}; write decimal = "comma" or "point" in its [[test]]')
    return "," if commas else "."
