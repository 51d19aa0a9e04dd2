"""The rows of an instrument's export as they stand, text or sheet of a workbook: nothing is taken for a header yet."""

import re
from typing import NamedTuple

from ..errors import DataError
from .decoding import decoded
from .export_numbers import REAL, TROUBLE
from .export_units import splits
from .sheet import Sheet
from .tables import MOST_LINES, SEPARATORS, WITHIN, split_cells

MOST_CELLS = 400  # most cells of a row
LONGEST = 40_000  # most characters of a row that is parted into cells
LINES_OF_CELL = 5  # most lines over which the text of one cell may run


class Lines(NamedTuple):
    """Rows of a file: the number of each, its text, and the signs that may part its cells; encoding and hidden rows."""

    numbers: list
    texts: list
    signs: tuple
    encoding: str = ""
    hidden: tuple = ()

    def cells(self, place, sign):
        """Return the cells of a row, by its place in the list, parted by a sign; a quotation mark that does not close is text."""
        text = self.texts[place]
        if len(text) > LONGEST:
            raise DataError(f"row {self.numbers[place]} has {len(text)} characters; {LONGEST} at most")
        try:
            return split_cells(text, sign, self.numbers[place])
        except DataError:
            return tuple(cell.strip() for cell in text.split(sign))


def lines_of_text(raw, separator=None, headers=()):
    """Return the `Lines` of a text file; the sign that parts cells as stated in words, else to be found.

    The words of its headers, where they are known, tell its encoding if that is in doubt.
    """
    text, encoding = decoded(raw, [splits(header)[0][0] if splits(header) else header for header in headers])
    if (count := max(text.count("\n"), text.count("\r"))) > MOST_LINES:
        raise DataError(f"has {count} lines; {MOST_LINES} at most: take the steady readings, not the raw log")
    split, numbers, texts = re.split(r"\r\n|\r|\n", text), [], []
    at = 0
    while at < len(split):
        count = _lines_of_row(split, at)
        if (row := " ".join(split[at : at + count])).strip():
            numbers.append(at + 1)
            texts.append(row)
        at += count
    signs = (SEPARATORS[separator],) if separator else ("\t", ";", ",")
    return Lines(numbers, texts, signs, encoding)


def _lines_of_row(lines, at):
    """Return over how many lines a row runs, because a cell in quotes holds line breaks: one where the quotes do not close."""
    if lines[at].count('"') % 2 == 0 or not re.search(r'(?:^|[\t;,])\s*"', lines[at]):
        return 1
    quotes = 0
    for count, line in enumerate(lines[at : at + LINES_OF_CELL], 1):
        quotes += line.count('"')
        if quotes % 2 == 0:
            return count
    return 1


class WholeSheet(Sheet):
    """A sheet with all of its rows: cells beside the readings may hold anything."""

    most_columns = MOST_CELLS

    def typed(self, given, value, formula):
        """Return the text of a cell, with a mark where it is a number, or why it cannot be read."""
        try:
            text = super().typed(given, value, formula)
        except DataError as error:
            return TROUBLE + re.sub(r"^row [0-9]+, column [0-9]+: ", "", str(error))
        is_number = text and given.get("t", "n") == "n"
        return REAL + text if is_number else re.sub(r"[\x00-\x1f\s]+", " ", text).strip()

    def close(self):
        """Keep the row if something stands in it."""
        if not self.cells:
            return
        if len(self.lines) >= MOST_LINES:
            raise DataError(f"holds more than {MOST_LINES} rows; take the steady readings, not the raw log")
        if self.is_hidden:
            self.hidden.append(self.row)
        self.numbers.append(self.row)
        self.lines.append(WITHIN.join(self.cells.get(k, "") for k in range(1, max(self.cells) + 1)))
        self.cells = {}

    def table(self):
        """Return the `Lines` of the sheet."""
        self.close()
        return Lines(self.numbers, self.lines, (WITHIN,), hidden=tuple(self.hidden))
