"""CSV and XLSX files to cells as they were typed, with the row each stands in; nothing is guessed, nothing dropped."""

import csv
import re
from typing import NamedTuple

from ..errors import DataError
from .faults import listed, shown

LARGEST_FILE = 20_000_000
"""Most bytes of one file."""
MOST_ROWS = 100_000
"""Most rows of readings in one file."""
MOST_COLUMNS = 40
"""Most columns; no bench test has a third of them."""
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
DECIMALS = {"point": ".", "comma": ","}


class Row(NamedTuple):
    """One row of readings: its number in the file, counted from 1, and its cells."""

    number: int
    cells: tuple


class Table(NamedTuple):
    """A file of readings as typed.

    `lines` are all the lines of a text file with their line ends, so that rows can be taken out and comments stay;
    empty for a sheet of a workbook.
    """

    header_row: int
    header: tuple
    rows: tuple
    separator: str = ","
    decimal: str = "."
    lines: tuple = ()


def text_of(raw, remedy="save it as 'CSV UTF-8'"):
    """Return the text of a CSV or TOML file; the remedy for one in another encoding ends the message.

    Raises
    ------
    DataError
        If it is no text in UTF-8.
    """
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise DataError(f"is UTF-16 text; {remedy}")
    if b"\0" in raw:
        raise DataError("is not text (it holds a zero byte); save the sheet as CSV UTF-8 or XLSX")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = raw.count(b"\n", 0, error.start) + 1
        raise DataError(f"is not UTF-8 text (row {row}, byte {raw[error.start]:#04x}); {remedy}") from error
    strange = re.search(r"[\x01-\x08\x0b\x0c\x0e-\x1f\x7f\x85\u2028\u2029]", text)
    if strange:
        row = text.count("\n", 0, strange.start()) + 1
        raise DataError(f"holds a control character ({ord(strange[0]):#04x}) in row {row}; take it out")
    return text


def read_csv(raw, separator=None, decimal=None):
    """Return the `Table` of a CSV file; separator and decimal sign as stated, or found where there is no doubt.

    Raises
    ------
    DataError
        One sentence; its place in the file is in it.
    """
    lines = tuple(re.findall(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text_of(raw)))
    written = [
        (n, line.rstrip("\r\n"))
        for n, line in enumerate(lines, 1)
        if line.strip(" \t\r\n;,") and line.lstrip()[0] != "#"
    ]
    if not written:
        raise DataError(
            "holds no header and no rows; give one row of headers such as 'force [N]' and the readings below"
        )
    if len(written) - 1 > MOST_ROWS:
        raise DataError(
            f"holds {len(written) - 1} rows; {MOST_ROWS} at most: take the steady readings, not the raw log"
        )
    number, head = written[0]
    sign = SEPARATORS[separator] if separator else _separator(head, number)
    if separator is None and decimal == "comma" and sign == ",":
        sign = ";"
    rows = [Row(n, _cells(line, sign, n)) for n, line in written]
    header = _joined(rows[0].cells)
    if len(header) > MOST_COLUMNS:
        raise DataError(f"row {number} has {len(header)} columns; {MOST_COLUMNS} at most")
    body = tuple(row for row in rows[1:] if any(row.cells))
    if separator is None and sign == "," and len(header) == 2 and body and decimal is None:
        halves = [line for n, line in written[1:] if not re.fullmatch(r"\s*[0-9]+,[0-9]+\s*", line)]
        if not halves:
            raise DataError(
                f"row {body[0].number}: {shown(written[1][1])} can be two numbers or one with a decimal comma; write "
                'separator = "comma" in its [[test]] if they are two, else save the file with semicolons between columns'
            )
    point = DECIMALS[decimal] if decimal else _decimal(body, sign)
    return Table(number, header, body, sign, point, lines)


def _separator(head, number):
    outside = re.sub(r"\[[^\]]*\]", "", head)
    present = [name for name, sign in SEPARATORS.items() if sign in outside]
    if "semicolon" in present and "tab" in present:
        raise DataError(
            f'row {number} holds semicolons and tabs; write separator = "semicolon" or "tab" in its [[test]]'
        )
    for name in ("semicolon", "tab"):
        if name in present:
            return SEPARATORS[name]
    return ","


def _cells(line, sign, number):
    try:
        return tuple(
            cell.strip() for cell in next(csv.reader([line], delimiter=sign, strict=True, skipinitialspace=True))
        )
    except (csv.Error, StopIteration) as error:
        raise DataError(f"row {number}: {shown(line)} has a quotation mark that does not close; take it out") from error


def _joined(header):
    """Join ``pressure`` and ``gauge [kPa]``, which the comma of a header parted."""
    cells = []
    for cell in header:
        if cells and "[" not in cells[-1] and re.match(r"(gauge|absolute)\b", cell, re.IGNORECASE):
            cells[-1] = f"{cells[-1]}, {cell}"
        else:
            cells.append(cell)
    while len(cells) > 1 and not cells[-1]:  # a spreadsheet's empty last columns
        cells.pop()
    return tuple(cells)


def _decimal(body, sign):
    """Return the decimal sign of the cells of a file, where they leave no doubt."""
    marked = [(row, cell) for row in body for cell in row.cells if re.fullmatch(r"[<>≤≥ +-]*[0-9]*[.,][0-9.,]*", cell)]
    commas = [(row, cell) for row, cell in marked if "," in cell]
    points = [(row, cell) for row, cell in marked if "." in cell]
    if commas and points:
        row, cell = commas[0]
        raise DataError(
            f"row {row.number}: {shown(cell)} has a comma but row {points[0][0].number} has {shown(points[0][1])} with a point; "
            "use one decimal sign in a file and none for thousands"
        )
    doubtful = commas or (points if sign == ";" else [])
    thousands = all(re.fullmatch(r"[<>≤≥ +-]*[1-9][0-9]{0,2}([.,][0-9]{3})+", cell) for _, cell in doubtful)
    if doubtful and thousands:
        row, cell = doubtful[0]
        raise DataError(
            f'row {row.number}: {shown(cell)} can be a decimal or a thousand; write decimal = "comma" or "point" in its [[test]]'
        )
    return "," if commas else "."


def read_xlsx(raw, sheet=None):
    """Return the `Table` of a sheet of an XLSX workbook.

    Raises
    ------
    DataError
        One sentence; its place in the file is in it.
    """
    import io
    import warnings
    import zipfile

    import openpyxl

    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as parts:
            if sum(part.file_size for part in parts.infolist()) > 10 * LARGEST_FILE:
                raise DataError(
                    f"unpacks to more than {10 * LARGEST_FILE // 1_000_000} MB; take the steady readings only"
                )
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            values, formulas = (
                openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=cached, keep_links=False)
                for cached in (True, False)
            )
            return _sheet_table(values, formulas, sheet)
    except DataError:
        raise
    except Exception as error:  # a damaged workbook fails in as many ways as there are parts of it
        raise DataError(
            f"is no readable XLSX workbook ({type(error).__name__}); save it again as XLSX or CSV UTF-8"
        ) from error


def _sheet_table(values, formulas, sheet):
    names = values.sheetnames
    if sheet is None and len(names) > 1:
        raise DataError(
            f"has {len(names)} sheets ({listed(shown(n) for n in names)}); name one with sheet = in its [[test]]"
        )
    if sheet is not None and sheet not in names:
        raise DataError(f"has no sheet {shown(sheet)}; it has {listed(shown(n) for n in names)}")
    for book in (values, formulas):
        book[sheet or names[0]].reset_dimensions()
    found = []
    both = zip(
        *(book[sheet or names[0]].iter_rows(max_col=MOST_COLUMNS + 1) for book in (values, formulas)), strict=False
    )
    for number, (cells, behind) in enumerate(both, 1):
        if len(found) > MOST_ROWS + 1 or number > 2 * MOST_ROWS:
            raise DataError(f"holds more than {MOST_ROWS} rows; take the steady readings, not the raw log")
        texts = [
            _cell_text(cell, source, number, k) for k, (cell, source) in enumerate(zip(cells, behind, strict=False), 1)
        ]
        while texts and not texts[-1]:
            texts.pop()
        first = next((t for t in texts if t), "")
        if first and not (first.startswith("#") and not re.fullmatch(r"#[A-Z/0-9]+[!?A]", first)):
            found.append(Row(number, tuple(texts)))
    if not found:
        raise DataError(
            "holds no header and no rows; give one row of headers such as 'force [N]' and the readings below"
        )
    width = len(found[0].cells)
    padded = tuple(Row(n, c + ("",) * (width - len(c))) for n, c in found[1:])
    return Table(found[0].number, found[0].cells, padded)


def _cell_text(cell, source, number, column):
    import datetime

    value = cell.value
    if value is None:
        formula = getattr(source, "value", None)
        if isinstance(formula, str) and formula.startswith("="):
            raise DataError(
                f"row {number}, column {column}: the formula {shown(formula)} was saved without its result; open the workbook, "
                "save it, or paste the values"
            )
        return ""
    if isinstance(value, (bool, datetime.date, datetime.time, datetime.timedelta)):
        raise DataError(
            f"row {number}, column {column}: {shown(value)} is a date, a time or a truth value, not a number; format the cell as "
            "a number and type it again"
        )
    return repr(value) if isinstance(value, (int, float)) else str(value).strip()
