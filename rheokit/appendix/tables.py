"""The tables of an appendix as files: each as CSV, and all of them as one XLSX; numbers to twelve digits, text as text.

A text that a spreadsheet would run begins with = + - @, a tab or a carriage return. In XLSX it is marked as text. CSV knows no such mark: there
an apostrophe stands before it, and before a text that begins with an apostrophe itself, so that the text is what follows the first apostrophe of
a cell that begins with one. A lone hyphen, which stands for what is not known, is left as it is.
"""

import csv
import io
import math
import re
import zipfile
from datetime import datetime
from typing import Any

from .document import Cell, Document, Shown, Table
from .letters import visible

RUNS = ("=", "+", "-", "@", "\t", "\r", "'")
LONGEST_CELL, LONGEST_SHEET = 32767, 31  # characters that XLSX has room for
DIGITS = 12  # of a number: those after them depend on the order in which a processor adds
WIDEST = 60  # letters of a column of a sheet
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # of each file within an XLSX, so that it holds no time of its own


def value(cell: Cell) -> float | str:
    """Return a cell as files hold it: a number, or the text of what is none."""
    if isinstance(cell, Shown):
        return float(f"{cell.value:.{DIGITS}g}") if math.isfinite(cell.value) else cell.text
    return cell


def guarded(text: str) -> str:
    """Return a text as a cell of CSV, which no spreadsheet runs."""
    return f"'{text}" if text.startswith(RUNS) and text != "-" else text


def as_csv(table: Table) -> bytes:
    """Return a table as CSV (RFC 4180, UTF-8): a row of headings, and the rows; numbers with a decimal point and twelve digits.

    What is text is `guarded`; half a character, which no file can hold, is named.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    for row in (table.columns, *table.rows):
        held = (value(cell) for cell in row)
        writer.writerow(repr(one) if isinstance(one, float) else guarded(one) for one in held)
    return re.sub("[\ud800-\udfff]", lambda half: visible(half.group()), out.getvalue()).encode()


def as_xlsx(document: Document) -> bytes:
    """Return all tables of a document as one XLSX: first a sheet of what is in it, then a sheet a table. The same document makes the same bytes."""
    from openpyxl import Workbook

    book = Workbook()
    book.properties.title, book.properties.creator = _text(document.title)[:255], "rheokit"
    first = book.active
    first.title = "contents"
    titled = list(zip(_sheets(document), document.tables, strict=True))
    _fill(
        first, Table("contents", "", ("sheet", "what it holds"), tuple((title, one.caption) for title, one in titled))
    )
    for title, table in titled:
        _fill(book.create_sheet(title), table)
    out = io.BytesIO()
    book.save(out)
    return _at(document.date, out.getvalue())


def _sheets(document):
    """Return the names of the sheets: those of the tables, as far as XLSX takes them, each once."""
    names: list[str] = []
    for table in document.tables:
        name = re.sub(r"[\[\]:*?/\\']", "_", _text(table.name))[:LONGEST_SHEET].strip() or "table"
        number = 1
        while name.lower() in ("contents", "history", *(one.lower() for one in names)):
            number += 1
            ending = f" {number}"
            name = f"{name.removesuffix(f' {number - 1}')[: LONGEST_SHEET - len(ending)]}{ending}"
        names.append(name)
    return names


def _fill(sheet, table):
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    for place, row in enumerate((table.columns, *table.rows), 1):
        for column, one in enumerate(row, 1):
            _put(sheet.cell(place, column), value(one))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    for column in range(len(table.columns)):
        longest = max((len(str(row[column])) for row in (table.columns, *table.rows)), default=0)
        sheet.column_dimensions[get_column_letter(column + 1)].width = min(longest + 2, WIDEST)
    sheet.freeze_panes = "A2"


def _put(cell: Any, held: float | str) -> None:
    if isinstance(held, float):
        cell.value = held
        return
    cell.value = _text(held)
    cell.data_type = "s"  # whatever it begins with
    cell.quotePrefix = held.startswith(RUNS)  # and that it stays text when somebody edits it


def _text(text):
    """Return a text as XLSX takes it: what it has no room for is said to be cut."""
    text = visible(text)
    if len(text) <= LONGEST_CELL:
        return text
    told = f"… (cut: {len(text)} characters; the CSV holds all)"
    return text[: LONGEST_CELL - len(told)] + told


def _at(date, raw):
    """Return an XLSX in which nothing tells when it was made but the date of the document."""
    day = datetime.fromisoformat(date).strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name in given.namelist():
            about = zipfile.ZipInfo(name, FIRST_DAY)
            about.compress_type, about.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            made.writestr(about, re.sub(rb"(?<=>)[^<]*(?=</dcterms:(created|modified)>)", day, given.read(name)))
    return out.getvalue()
