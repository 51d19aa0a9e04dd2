"""What a file of readings says beside its readings: its comments, and of an instrument's export the rows of words about the table."""

import re
from collections.abc import Collection
from typing import NamedTuple

from ..errors import DataError
from .export_lines import WholeSheet, lines_of_text
from .export_numbers import REAL, TROUBLE, looks_like_number
from .tables import WITHIN, text_of
from .workbook import Workbook

_WORD = re.compile(r"[^\W\d_]{2}")
"""Two letters together: a row with none of them is one of numbers."""


class Remark(NamedTuple):
    """A row of a file that is no reading and no header: its number, counted from 1, and its text."""

    row: int
    text: str


def remarks_in(
    name: str, raw: bytes, *, export: bool = False, sheet: str | None = None, read: Collection[int] = ()
) -> tuple[Remark, ...]:
    """Return the remarks of a file of readings, none where it cannot be read.

    Parameters
    ----------
    name : str
        Of the file.
    raw : bytes
        Its content.
    export : bool
        Whether it is an instrument's export, of which every row of words is a remark; else those that begin with # are.
    sheet : str
        Of a workbook; the only one where none is named.
    read : collection of int
        Numbers of the rows that are headers or readings.
    """
    try:
        return tuple(
            Remark(number, text)
            for number, text in _rows(name, raw, export, sheet)
            if number not in read and (_is_words(text) if export else text.startswith("#"))
        )
    except DataError:
        return ()


def _is_words(text):
    """Return whether a row of an export says something: words, and not two numbers, as a reading has them."""
    sign = next((one for one in ("\t", ";") if one in text), ",")
    return bool(_WORD.search(text)) and sum(looks_like_number(cell.strip()) for cell in text.split(sign)) < 2


def _rows(name, raw, export, sheet):
    """Yield number and text of each row of a file in which something stands."""
    if name.lower().endswith(".xlsx"):
        lines = Workbook(raw).table(sheet, WholeSheet)
        for number, text in zip(lines.numbers, lines.texts, strict=True):
            cells = [cell.lstrip(REAL + TROUBLE).strip() for cell in text.split(WITHIN)]
            yield number, "; ".join(filter(None, cells))
    elif export:
        lines = lines_of_text(raw)
        for number, text in zip(lines.numbers, lines.texts, strict=True):
            yield number, text.strip(" \t;,")
    else:
        for number, line in enumerate(re.split(r"\r\n|\r|\n", text_of(raw)), 1):
            yield number, line.strip(" \t;,")
