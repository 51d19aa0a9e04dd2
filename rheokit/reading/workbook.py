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
from functools import cached_property, lru_cache
from xml.parsers import expat

from ..errors import DataError
from .faults import listed, shown
from .sheet import DATE, PERCENT, Damaged, Sheet, check_length, digits
from .tables import LARGEST_FILE

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
OLDER = b"\xd0\xcf\x11\xe0"
"""How a compound file begins: a workbook as it was before XLSX, or one that a password protects."""
STEPS = "take the steady readings only"
BUILT_IN_DATES = {*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)}  # ECMA-376, numFmt
BUILT_IN_PERCENT = {9, 10}


FAILURES = (
    *(zipfile.BadZipFile, zlib.error, expat.ExpatError, LookupError, ValueError, EOFError, OSError),
    *(NotImplementedError, RuntimeError, OverflowError, StopIteration),
)
"""What a damaged workbook raises: as many kinds as there are parts of it."""


class Workbook:
    """An XLSX workbook; what it may still unpack to counts for all of its sheets together."""

    def __init__(self, raw):
        self.raw = raw
        limits = (min(top, some + each * len(raw)) for top, some, each in (MOST_BYTES, MOST_ELEMENTS))
        self.most_bytes, self.most_elements = self.room, self.left = list(limits)
        self.common = None  # styles and texts, read once

    def table(self, sheet=None):
        """Return the `Table` of a sheet, of the only one where none is named; `DataError` is one sentence, with the place."""
        try:
            return self._table(sheet)
        except DataError:
            raise
        except (Damaged, *FAILURES) as error:
            raise DataError(self._unreadable(type(error).__name__)) from error

    def _unreadable(self, how):
        """Return why it cannot be read, and what to do."""
        if self.raw.startswith(OLDER):
            told = "is protected with a password, or a workbook of the older kind (.xls) under another name"
            return f"{told}; open it, take the password away, and save it as XLSX or CSV UTF-8"
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
            told = f"sheet {shown(chosen)} is {what}, not a sheet of cells"
            raise DataError(f"{told}; name the sheet that holds the readings")
        if self.common is None:
            readers, of_kind = {"styles": self.styles, "sharedStrings": self.shared_texts}, dict(related.values())
            self.common = [read(of_kind[name]) if name in of_kind else [] for name, read in readers.items()]
        cells = Sheet(*self.common, first_day[0])
        self.walk(part, cells.start, cells.end, cells.text)
        return cells.table()

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
        codes, found, inside = {}, [], False

        def start(name, given):
            nonlocal inside
            if name == "numFmt":
                code = given.get("formatCode", "")[:300]
                codes[digits(given["numFmtId"])] = re.sub(r'"[^"]*"|\[[^\]]*\]|\\.', "", code)
            elif name == "cellXfs":
                inside = True
            elif name == "xf" and inside:
                number = digits(given.get("numFmtId", "0"))
                code = codes.get(number, "").lower().replace("general", "")
                percent = number in BUILT_IN_PERCENT or "%" in code
                date = number in BUILT_IN_DATES or re.search("[dmyhs]", code)
                found.append(PERCENT if percent else DATE if date else "")

        def end(name):
            nonlocal inside
            inside = inside and name != "cellXfs"

        self.walk(part, start, end)
        return found

    def shared_texts(self, part):
        """Return the texts that cells refer to by number."""
        texts, pieces, inside, aloud = [], [], False, False

        def start(name, given):
            nonlocal inside, aloud
            inside, aloud = name == "t", aloud or name == "rPh"  # how it is read aloud

        def end(name):
            nonlocal inside, aloud
            inside, aloud = False, aloud and name != "rPh"
            if name == "si":
                texts.append("".join(pieces))
                check_length(len(texts[-1]))
                pieces.clear()

        self.walk(part, start, end, lambda text: pieces.append(text) if inside and not aloud else None)
        return texts

    def walk(self, part, start, end=lambda _: None, text=None):
        """Read the elements of a part, names without their namespace."""
        about = self.parts.getinfo(part)
        if about.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise Damaged
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        depth = 0

        def begun(name, given):
            nonlocal depth
            depth += 1
            self.left -= 1
            if self.left < 0:
                told = f"has more than {self.most_elements} cells and styles; {STEPS}"
                raise DataError(f"{told}, in a new workbook or as CSV UTF-8")
            if depth > DEEPEST:
                raise Damaged
            start(_plain(name), given)

        def ended(name):
            nonlocal depth
            depth -= 1
            end(_plain(name))

        def forbidden(*_):
            raise Damaged

        parser.StartElementHandler, parser.EndElementHandler = begun, ended
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
                    raise Damaged
            parser.Parse(b"", True)


@lru_cache(maxsize=1000)
def _plain(name):
    """Return the name of an element without its namespace."""
    return name.rpartition(" ")[2]
