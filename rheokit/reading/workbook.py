"""A sheet of an XLSX workbook to cells as they were typed.

Read part by part, cell by cell, and given up as soon as a part is larger, deeper or longer than a table of readings: what
a small file unpacks to is not for it to say.
"""

import datetime
import io
import posixpath
import re
import zipfile
import zlib
from decimal import Decimal
from functools import cached_property
from xml.parsers import expat

from ..errors import DataError
from .faults import listed, shown
from .stated import LONGEST_NUMBER, NUMBER
from .tables import LARGEST_FILE, MOST_COLUMNS, MOST_ROWS, NOTHING, WITHIN, Rows, Table

MOST_PARTS = 2000
"""Most files in a workbook."""
MOST_BYTES = 80_000_000, 10_000_000, 30
"""Most bytes of a workbook when unpacked; of a small file so many and so many for each of its own: sheets pack to a sixth."""
MOST_ELEMENTS = 4_000_000, 500_000, 1
"""Most elements of a workbook, likewise: 100 000 rows of eight columns are two million, in five megabytes."""
DEEPEST = 32
"""Most elements inside one another; a sheet has six."""
LONGEST_TAG = 200_000
"""Most bytes of one tag."""
LONGEST_TEXT = 40_000
"""Most characters of a cell; a spreadsheet takes 32767."""
_IS_NUMBER = re.compile(NUMBER).fullmatch
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
OLDER = b"\xd0\xcf\x11\xe0"
"""How a compound file begins: a workbook as it was before XLSX, or one that a password protects."""
STEPS = "take the steady readings only"
BUILT_IN_DATES = {*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)}  # ECMA-376, numFmt
BUILT_IN_PERCENT = {9, 10}
DATE, PERCENT = "date", "percent"


FAILURES = (
    *(zipfile.BadZipFile, zlib.error, expat.ExpatError, LookupError, ValueError, EOFError, OSError),
    *(NotImplementedError, RuntimeError, OverflowError, StopIteration),
)
"""What a damaged workbook raises: as many kinds as there are parts of it."""


class _Damaged(Exception):
    """A workbook that no spreadsheet would open."""


class Workbook:
    """An XLSX workbook; what it may still unpack to counts for all of its sheets together.

    Parameters
    ----------
    raw : bytes
    """

    def __init__(self, raw):
        self.raw = raw
        room, elements = (min(top, some + each * len(raw)) for top, some, each in (MOST_BYTES, MOST_ELEMENTS))
        self.room = self.most_bytes = room
        self.left = self.most_elements = elements
        self.common = None  # styles and texts, read once

    def table(self, sheet=None):
        """Return the `Table` of a sheet, of the only one where none is named.

        Raises
        ------
        DataError
            One sentence; its place in the file is in it.
        """
        try:
            return self._table(sheet)
        except DataError:
            raise
        except (_Damaged, *FAILURES) as error:
            raise DataError(self._unreadable(type(error).__name__.strip("_"))) from error

    def _unreadable(self, how):
        """Return why it cannot be read, and what to do."""
        if self.raw.startswith(OLDER):
            return (
                "is protected with a password, or a workbook of the older kind (.xls) under another name; open it, take the "
                "password away, and save it as XLSX or CSV UTF-8"
            )
        if not self.raw:
            return "is empty; save the readings again as XLSX or CSV UTF-8"
        if not self.raw.startswith(b"PK"):
            return "is no XLSX workbook, whatever its name; if it is text, call it .csv here and in file =, else save it as XLSX"
        return f"is no readable XLSX workbook ({how}); save it again as XLSX or CSV UTF-8"

    @cached_property
    def parts(self):
        """The archive."""
        if self.raw.count(b"PK\x01\x02") > MOST_PARTS:
            raise DataError(f"is a ZIP archive of more than {MOST_PARTS} files, and no workbook of readings")
        parts = zipfile.ZipFile(io.BytesIO(self.raw))
        if sum(part.file_size for part in parts.infolist()) > 10 * LARGEST_FILE:
            raise DataError(f"unpacks to more than {10 * LARGEST_FILE // 1_000_000} MB; {STEPS}")
        return parts

    def _table(self, sheet):
        book = next((t for t in self.related("").values() if t[0] == "officeDocument"), ("", "xl/workbook.xml"))[1]
        related, sheets, first_day = self.related(book), {}, [datetime.datetime(1899, 12, 30)]

        def start(name, given):
            if name == "sheet":
                sheets[given["name"]] = next(v for key, v in given.items() if key.endswith(" id"))
            elif name == "workbookPr" and given.get("date1904") in ("1", "true"):
                first_day[0] = datetime.datetime(1904, 1, 1)

        self.walk(book, start)
        names = list(sheets)
        if sheet is None and len(names) > 1:
            told = listed(map(shown, names))
            raise DataError(f"has {len(names)} sheets ({told}); name one with sheet = in its [[test]]")
        if not names or (sheet is not None and sheet not in names):
            raise DataError(f"has no sheet {shown(sheet or '')}; it has {listed(map(shown, names)) or 'none'}")
        chosen = sheet or names[0]
        kind, part = related[sheets[chosen]]
        if kind != "worksheet":
            what = "a chart" if kind == "chartsheet" else "no table"
            raise DataError(
                f"sheet {shown(chosen)} is {what}, not a sheet of cells; name the sheet that holds the readings"
            )
        if self.common is None:
            of_kind = dict(related.values())
            styles = self.styles(of_kind["styles"]) if "styles" in of_kind else []
            self.common = styles, self.shared_texts(of_kind["sharedStrings"]) if "sharedStrings" in of_kind else []
        return _Sheet(*self.common, first_day[0]).read(self, part)

    def related(self, part):
        """Return kind and name of each part that another refers to, by its identifier; of the archive itself for ''."""
        folder, name = posixpath.split(part)
        found = {}

        def start(tag, given):
            if tag == "Relationship" and given.get("TargetMode") != "External":
                target = given["Target"]
                whole = target[1:] if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
                found[given["Id"]] = given["Type"].rsplit("/", 1)[-1], whole

        where = posixpath.join(folder, "_rels", f"{name}.rels")
        if where in self.parts.namelist():
            self.walk(where, start)
        return found

    def styles(self, part):
        """Return for each style of a cell whether it shows a number as a `DATE` (or a time), in `PERCENT`, or "" as it is."""
        codes, found, inside = {}, [], [False]

        def start(name, given):
            if name == "numFmt":
                codes[_whole(given["numFmtId"])] = re.sub(
                    r'"[^"]*"|\[[^\]]*\]|\\.', "", given.get("formatCode", "")[:300]
                )
            elif name == "cellXfs":
                inside[0] = True
            elif name == "xf" and inside[0]:
                number = _whole(given.get("numFmtId", "0"))
                code = codes.get(number, "").lower().replace("general", "")
                percent = number in BUILT_IN_PERCENT or "%" in code
                date = number in BUILT_IN_DATES or re.search("[dmyhs]", code)
                found.append(PERCENT if percent else DATE if date else "")

        def end(name):
            inside[0] = inside[0] and name != "cellXfs"

        self.walk(part, start, end)
        return found

    def shared_texts(self, part):
        """Return the texts that cells refer to by number."""
        texts, pieces, state = [], [], {"t": False, "reading": True}

        def start(name, given):
            state["t"] = name == "t"
            if name == "rPh":  # how it is read aloud
                state["reading"] = False

        def end(name):
            state["t"] = False
            if name == "rPh":
                state["reading"] = True
            elif name == "si":
                texts.append("".join(pieces))
                _short(len(texts[-1]))
                pieces.clear()

        self.walk(part, start, end, lambda text: pieces.append(text) if state["t"] and state["reading"] else None)
        return texts

    def walk(self, part, start, end=None, text=None):
        """Read the elements of a part, names without their namespace."""
        about = self.parts.getinfo(part)
        if about.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise _Damaged
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        names, inside = _Names(), []
        within, out = inside.append, inside.pop

        def begun(name, given):
            within(name)
            self.left -= 1
            if self.left < 0:
                raise DataError(
                    f"has more than {self.most_elements} cells and styles; {STEPS}, in a new workbook or as CSV UTF-8"
                )
            if len(inside) > DEEPEST:
                raise _Damaged
            start(names[name], given)

        def ended(name):
            out()
            end(names[name])

        def forbidden(*_):
            raise _Damaged

        parser.StartElementHandler = begun
        parser.EndElementHandler = ended if end else lambda _: out()
        parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = forbidden
        if text:
            parser.CharacterDataHandler = text
        size = 0
        with self.parts.open(about) as opened:
            while chunk := opened.read(65536):
                size += len(chunk)
                self.room -= len(chunk)
                if self.room < 0:
                    raise DataError(f"unpacks to more than {self.most_bytes / 1e6:.0f} MB; {STEPS}")
                parser.Parse(chunk, False)
                if size - parser.CurrentByteIndex > LONGEST_TAG:
                    raise _Damaged
            parser.Parse(b"", True)


class _Names(dict):
    """Names of elements without their namespace."""

    def __missing__(self, name):
        self[name] = found = name.rpartition(" ")[2]
        return found


class _Columns(dict):
    """Numbers of columns by their letters."""

    def __missing__(self, letters):
        number = 0
        for letter in letters[:4].upper():
            number = 26 * number + ord(letter) - 64 if "A" <= letter <= "Z" else LAST_COLUMN + 1
        if not 1 <= number <= LAST_COLUMN:
            raise _Damaged
        self[letters] = number
        return number


class _Sheet:
    """The cells of one sheet, row by row."""

    def __init__(self, styles, texts, first_day):
        self.texts, self.styles, self.first_day = texts, styles, first_day
        self.numbers, self.lines, self.header, self.hidden, self.is_hidden = [], [], None, [], False
        self.columns, self.row, self.place, self.cells = _Columns(), 0, 0, {}
        self.given, self.value, self.formula, self.piece, self.pieces, self.length = {}, None, None, None, [], 0

    def read(self, book, part):
        """Return the `Table` of the sheet."""
        book.walk(part, self.start, self.end, self.text)
        if self.header is None:
            raise DataError(NOTHING)
        return Table(*self.header, Rows(self.numbers, self.lines, WITHIN), separator=WITHIN, hidden=tuple(self.hidden))

    def start(self, name, given):
        """Begin a row, a cell, or what it holds."""
        if name == "v" or name == "t" or name == "f":
            self.piece = ""
        elif name == "c":
            if not self.row:
                raise _Damaged
            self.place = self.columns[given["r"].rstrip("0123456789")] if "r" in given else self.place + 1
            self.given, self.value, self.formula, self.pieces, self.length = given, None, None, [], 0
        elif name == "row":
            number = _whole(given["r"]) if "r" in given else self.row + 1
            if not self.row < number <= LAST_ROW:
                raise _Damaged
            self.row, self.place, self.cells = number, 0, {}
            self.is_hidden = given.get("hidden") in ("1", "true")

    def text(self, text):
        """Take a piece of text inside an element."""
        if self.piece is not None:
            self.piece += text
            _short(len(self.piece))

    def end(self, name):
        """Close a cell or a row."""
        if name == "v":
            self.value, self.piece = self.piece, None
        elif name == "c":
            if self.pieces:
                self.value = "".join(self.pieces)
            if (self.value is not None or self.formula is not None) and (text := self.typed()):
                self.cells[self.place] = text
        elif name == "row":
            self.close()
        elif name == "f":
            self.formula, self.piece = self.piece, None
        elif name == "t":
            if self.given.get("t") == "inlineStr":
                self.pieces.append(self.piece or "")
                self.length += len(self.pieces[-1])
                _short(self.length)
            self.piece = None

    def typed(self):
        """Return the text of the cell that ends here."""
        kind, value = self.given.get("t", "n"), (self.value or "").strip()
        if not value:
            if self.formula is None or (kind == "str" and self.value is not None):
                return ""
            raise self.fault(
                f"the formula {shown('=' + self.formula)} was saved without its result; open the workbook, save it, or paste the values"
            )
        if self.place > MOST_COLUMNS:
            raise self.fault(f"something stands beyond column {MOST_COLUMNS}; {MOST_COLUMNS} columns at most")
        if kind == "s":
            return self.texts[_whole(value)].strip()
        if kind in ("str", "inlineStr", "e"):
            return value
        if kind == "b":
            raise self.no_number(value != "0")
        if kind == "d":
            raise self.no_number(value)
        if not _IS_NUMBER(value):
            raise _Damaged
        style = _whole(self.given.get("s", "0"))
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


def _whole(text):
    if not re.fullmatch("[0-9]{1,9}", text):
        raise _Damaged
    return int(text)


def _short(length):
    if length > LONGEST_TEXT:
        raise DataError(f"holds a text of more than {LONGEST_TEXT} characters; take the steady readings only")
