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

MOST_PARTS = 2000  # most files in a workbook
MOST_BYTES = 80_000_000, 10_000_000, 30
"""Most bytes of a workbook when unpacked; of a small file so many and so many for each of its own: sheets pack to a sixth."""
MOST_ELEMENTS = 4_000_000, 500_000, 1
"""Most elements of a workbook, likewise: 100 000 rows of eight columns are two million, in five megabytes."""
DEEPEST = 32  # most elements inside one another; a sheet has six
LONGEST_TAG = 200_000  # most bytes of one tag
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

    def table(self, sheet=None, made_by=Sheet):
        """Return the `Table` of a sheet, of the only one where none is named; `DataError` is one sentence, with the place.

        `made_by` takes the cells: a `Sheet`, or what it is asked for instead of a `Table`.
        """
        try:
            return self._table(sheet, made_by)
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

    def _table(self, sheet, made_by):
        book = next((t for t in self.related("").values() if t[0] == "officeDocument"), ("", "xl/workbook.xml"))[1]
        related, sheets, first_day = self.related(book), {}, [datetime.datetime(1899, 12, 30)]

        def take(name, given, _):
            if name == "sheet":
                sheets[given["name"]] = next(v for key, v in given.items() if key.endswith(" id"))
            elif given.get("date1904") in ("1", "true"):
                first_day[0] = datetime.datetime(1904, 1, 1)

        self.walk(book, take, ("sheet", "workbookPr"))
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
        cells = made_by(*self.common, first_day[0])
        self.walk(part, cells.take, ("c",), ("row",))
        return cells.table()

    def related(self, part):
        """Return kind and name of each part that another refers to, by its identifier; of the archive itself for ''."""
        folder, name = posixpath.split(part)
        found = {}

        def take(_, given, __):
            if given.get("TargetMode") != "External":
                target = given["Target"]
                whole = target[1:] if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
                found[given["Id"]] = given["Type"].rsplit("/", 1)[-1], whole

        where = posixpath.join(folder, "_rels", f"{name}.rels")
        if where in self.parts.namelist():
            self.walk(where, take, ("Relationship",))
        return found

    def styles(self, part):
        """Return for each style of a cell whether it shows a number as a `DATE` (or a time), in `PERCENT`, or "" as it is."""
        codes, found, around = {}, [], ""

        def take(name, given, _):
            nonlocal around
            if name == "numFmt":
                code = given.get("formatCode", "")[:300]
                codes[digits(given["numFmtId"])] = re.sub(r'"[^"]*"|\[[^\]]*\]|\\.', "", code)
            elif name != "xf":
                around = name
            elif around == "cellXfs":
                number = digits(given.get("numFmtId", "0"))
                code = codes.get(number, "").lower().replace("general", "")
                percent = number in BUILT_IN_PERCENT or "%" in code
                date = number in BUILT_IN_DATES or re.search("[dmyhs]", code)
                found.append(PERCENT if percent else DATE if date else "")

        self.walk(part, take, ("numFmt", "xf"), ("cellStyleXfs", "cellXfs", "cellStyles"))
        return found

    def shared_texts(self, part):
        """Return the texts that cells refer to by number, without how they are read aloud (rPh)."""
        texts = []

        def take(name, _, held):
            if name == "si":
                texts.append("")
            elif name == "t":
                texts[-1] += held["t"]
                check_length(len(texts[-1]))

        self.walk(part, take, ("t", "rPh"), ("si",))
        return texts

    def walk(self, part, take, whole, begun=()):
        """Take elements of a part by name, attributes and texts: some `whole`, when they end, others when they have `begun`.

        Names are without their namespace. The texts are those of the element and of all that is inside it, by name; those
        of several t, which is a piece of text, are one.
        """
        about = self.parts.getinfo(part)
        if about.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise Damaged
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        depth, inside, held, attributes = 0, [], {}, {}  # inside: names from a whole element to the innermost

        def start(name, given):
            nonlocal depth, attributes
            name, depth = _plain(name), depth + 1
            self.left -= 1
            if self.left < 0:
                told = f"has more than {self.most_elements} cells and styles; {STEPS}"
                raise DataError(f"{told}, in a new workbook or as CSV UTF-8")
            if depth > DEEPEST or name in inside[:1]:
                raise Damaged
            if name in begun:
                take(name, given, {})
            if inside or name in whole:
                attributes = attributes if inside else given
                inside.append(name)
                held[name] = held.get(name, "") if name == "t" else ""

        def text(piece):
            if inside:
                held[inside[-1]] += piece
                check_length(len(held[inside[-1]]))

        def end(_):
            nonlocal depth
            depth -= 1
            name = inside.pop() if inside else ""
            if name and not inside:
                take(name, attributes, held)
                held.clear()

        def forbidden(*_):
            raise Damaged

        parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
        parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = forbidden
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
