"""One sheet of a workbook: its elements to the texts of cells, as they were typed."""

import datetime
import re
from decimal import Decimal
from functools import lru_cache

from ..errors import DataError
from .faults import shown
from .stated import LONGEST_NUMBER, NUMBER
from .tables import MOST_COLUMNS, MOST_ROWS, NOTHING, WITHIN, Rows, Table

LONGEST_TEXT = 40_000  # most characters of a cell; a spreadsheet takes 32767
_IS_NUMBER = re.compile(NUMBER).fullmatch
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
DATE, PERCENT = "date", "percent"


class Damaged(Exception):
    """A workbook that no spreadsheet would open."""


@lru_cache(maxsize=1000)
def column_number(letters):
    """Return the number of a column by its letters."""
    number = 0
    for letter in letters[:4].upper():
        number = 26 * number + ord(letter) - 64 if "A" <= letter <= "Z" else LAST_COLUMN + 1
    if not 1 <= number <= LAST_COLUMN:
        raise Damaged
    return number


class Sheet:
    """The cells of one sheet, row by row."""

    most_columns = MOST_COLUMNS

    def __init__(self, styles, texts, first_day):
        self.texts, self.styles, self.first_day = texts, styles, first_day
        self.numbers, self.lines, self.header, self.hidden, self.is_hidden = [], [], None, [], False
        self.row, self.place, self.cells = 0, 0, {}

    def table(self):
        """Return the `Table` of the sheet."""
        self.close()
        if self.header is None:
            raise DataError(NOTHING)
        return Table(*self.header, Rows(self.numbers, self.lines, WITHIN), separator=WITHIN, hidden=tuple(self.hidden))

    def take(self, name, given, held):
        """Begin a row, or take a cell with the texts that it holds."""
        if name == "row":
            self.close()
            number = digits(given["r"]) if "r" in given else self.row + 1
            if not self.row < number <= LAST_ROW:
                raise Damaged
            self.row, self.place, self.cells = number, 0, {}
            self.is_hidden = given.get("hidden") in ("1", "true")
        elif not self.row:
            raise Damaged
        else:
            self.place = column_number(given["r"].rstrip("0123456789")) if "r" in given else self.place + 1
            value = held.get("t" if given.get("t") == "inlineStr" and "t" in held else "v")
            if (value is not None or "f" in held) and (text := self.typed(given, value, held.get("f"))):
                self.cells[self.place] = text

    def typed(self, given, value, formula):
        """Return the text of a cell."""
        kind, empty, value = given.get("t", "n"), value is not None, (value or "").strip()
        if not value:
            if formula is None or (kind == "str" and empty):
                return ""
            raise self.fault(
                f"the formula {shown('=' + formula)} was saved without its result; open the workbook, save it, or paste the values"
            )
        if self.place > self.most_columns:
            raise self.fault(f"something stands beyond column {self.most_columns}; {self.most_columns} columns at most")
        if kind == "s":
            return self.texts[digits(value)].strip()
        if kind in ("str", "inlineStr", "e"):
            return value
        if kind == "b":
            raise self.no_number(value != "0")
        if kind == "d":
            raise self.no_number(value)
        if not _IS_NUMBER(value):
            raise Damaged
        style = digits(given.get("s", "0"))
        shows = self.styles[style] if style < len(self.styles) else ""
        if shows == DATE:
            raise self.no_number(self.day(value))
        if shows == PERCENT and len(value) <= LONGEST_NUMBER:  # as the sheet shows it: 4 % of a cell that holds 0.04
            return f"{(100 * Decimal(repr(float(value)))).normalize():f} %"
        return value if len(value) > LONGEST_NUMBER or value.lstrip("-").isdigit() else repr(float(value))

    def fault(self, words):
        """Return the error of this cell."""
        return DataError(f"row {self.row}, column {self.place}: {words}")

    def no_number(self, value):
        """Return the error of a cell that holds something else."""
        told = f"{shown(value)} is a date, a time or a truth value, not a number"
        return self.fault(f"{told}; format the cell as a number and type it again")

    def day(self, number):
        """Return the date and time that a number shows."""
        try:
            return self.first_day + datetime.timedelta(days=float(number))
        except (OverflowError, ValueError):
            return number

    def close(self):
        """Keep the row if something stands in it that is no comment."""
        if not self.cells:
            return
        cells = [self.cells.get(k, "") for k in range(1, max(self.cells) + 1)]
        first = next(cell for cell in cells if cell)
        if first.startswith("#") and not re.fullmatch(r"#[A-Z/0-9]+[!?A]", first):
            return
        if self.header is None:
            self.header = self.row, tuple(cells)
            return
        if len(self.lines) >= MOST_ROWS:
            raise DataError(f"holds more than {MOST_ROWS} rows; take the steady readings, not the raw log")
        cells += [""] * (len(self.header[1]) - len(cells))
        if self.is_hidden:
            self.hidden.append(self.row)
        self.numbers.append(self.row)
        self.lines.append(WITHIN.join(cells))


def digits(text):
    """Return the number that a text of digits is."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise Damaged
    return int(text)


def check_length(length):
    """Refuse a text that no cell can hold."""
    if length > LONGEST_TEXT:
        raise DataError(f"holds a text of more than {LONGEST_TEXT} characters; take the steady readings only")
