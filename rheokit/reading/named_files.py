"""The files that the [[test]] tables of a bench name, each to its `Table`: plain, or an instrument's export."""

from pathlib import PurePosixPath

from ..bench import KINDS
from ..errors import DataError
from ..things import nearest
from .choosing import CHOICES, wanted_rows, with_rows
from .entries import column_read
from .export_heads import names_of
from .export_lines import WholeSheet, lines_of_text
from .export_numbers import THOUSANDS
from .export_units import places_of
from .exports import export_table
from .faults import listed, name_fault, shown
from .files import READABLE
from .forms import form_of
from .journal import is_inside
from .proposing import words_for_export
from .tables import DECIMALS, LARGEST_FILE, SEPARATORS, read_csv
from .workbook import Workbook

LARGEST_BENCH = 2 * LARGEST_FILE  # most bytes of all files together


class Tables:
    """The tables of the files that tests name."""

    def __init__(self, source, files, faults):
        self.source, self.files, self.faults, self.used, self.books = source, files, faults, {}, {}

    def of(self, entry, where):
        """Return the name of the file of a [[test]] and its `Table`, None where it cannot be read."""
        name = entry.get("file")
        if "file" not in entry:
            self.faults.add(where, 'file is missing; write file = "NAME.csv", the file of its readings')
            return "", None
        if wrong := _path_fault(name):
            self.faults.add(where, f"file = {wrong}")
            return shown(name), None
        try:
            sheet = self._settings(entry)
            if first := self._read_before(name, sheet, entry):
                self.faults.add(where, f"file = {shown(name)} is already read by [[test]] {first}: readings count once")
                return name, None
            self.used.setdefault((name, sheet), (where.split()[-1], entry))
            raw = self.source.read(name, LARGEST_FILE)
            self.files[name] = raw
            if sum(map(len, self.files.values())) > LARGEST_BENCH:
                words = f"the files of this bench have more than {LARGEST_BENCH // 1_000_000} MB together"
                raise DataError(f"{words}; take the steady readings, not the raw log, or make two folders")
            wanted = wanted_rows(entry, where, self.faults)
            table = None if wanted is None else self._table(entry, name, raw, sheet, wanted, where)
            return name, table and with_rows(table, wanted, where, self.faults)
        except DataError as error:
            self.faults.add(f"{name}, {where}" if "row" not in str(error)[:4] else name, str(error))
            return name, None

    def _read_before(self, name, sheet, entry):
        """Return the number of the [[test]] that reads a file already, "" where none does, or each chooses its rows.

        A workbook read without naming its sheet has one alone.
        """
        chosen = any(key in entry for key in CHOICES)
        for (file, other), (number, earlier) in self.used.items():
            same = file == name and (other == sheet or None in (other, sheet))
            if same and not (chosen and any(key in earlier for key in CHOICES)):
                return number
        return ""

    def _table(self, entry, name, raw, sheet, wanted, where):
        """Return the `Table` of a file, None where its faults are noted."""
        book = self.books.setdefault(name, Workbook(raw)) if name.lower().endswith(".xlsx") else None
        if "columns" in entry:
            kind = entry.get("kind")
            form = form_of(KINDS[kind]) if isinstance(kind, str) and kind in KINDS else None
            names = names_of(form, entry, where, self.faults) if form else None
            if not names:
                return None
            lines = (
                book.table(sheet, WholeSheet) if book else lines_of_text(raw, entry.get("separator"), names.values())
            )
            return export_table(form, lines, names, entry, column_read(form, entry), wanted, name, self.faults)
        table = book.table(sheet) if book else read_csv(raw, entry.get("separator"), entry.get("decimal"))
        return table._replace(ignored=self._ignored(entry, table, where))

    def _ignored(self, entry, table, where):
        """Return the places of the columns that a [[test]] says to pass over."""
        given = entry.get("ignore", [])
        given, found = [given] if isinstance(given, str) else given, set()
        if not isinstance(given, list) or not all(isinstance(one, str) for one in given):
            self.faults.add(where, f'ignore = {shown(given)} must be a list of headers, such as ignore = ["Status"]')
            return frozenset()
        for header in given:
            places = places_of(header, table.header)
            found.update(places)
            if not places:
                told = f"ignore names {shown(header)}, which is no header of {shown(entry['file'])}"
                self.faults.add(
                    where, f"{told}{nearest(header, table.header)}; it has {listed(map(shown, table.header))}"
                )
        return frozenset(found)

    def explain(self, entry, where, before):
        """Say once that a file is an instrument's export, in place of all that is wrong with it as a plain table."""
        name = entry.get("file")
        raw = self.files.get(name) if isinstance(name, str) else None
        own = [fault for fault in self.faults.found[before:] if fault[0].split(",")[0] == name]
        if raw is None or not own or "columns" in entry:
            return
        if words := words_for_export(raw, name, entry):
            others = [fault for fault in self.faults.found[before:] if fault not in own]
            self.faults.found[before:] = [*others, (f"{name}, {where}", words)]

    def _settings(self, entry):
        """Return the sheet that a [[test]] names; what it says of its file must be known and have a meaning for it."""
        sheet, of_workbook = entry.get("sheet"), entry["file"].lower().endswith(".xlsx")
        named = "columns" in entry
        if "thousands" in entry and not named:
            raise DataError(
                "thousands belongs to columns, which names the headers of an instrument's export; take it out"
            )
        for key, known in (("separator", SEPARATORS), ("decimal", DECIMALS), ("thousands", THOUSANDS)):
            if key not in entry:
                continue
            if not isinstance(entry[key], str) or entry[key] not in known:
                raise DataError(f"{key} = {shown(entry[key])} is not known; write {' or '.join(map(repr, known))}")
            if of_workbook and not (named and key != "separator"):
                raise DataError(f"{key} has no meaning for a workbook; take it out")
        if entry.get("decimal") and entry.get("decimal") == entry.get("thousands"):
            told = f"decimal and thousands are both {shown(entry['decimal'])}"
            raise DataError(f"{told}: one sign cannot part both; take out the one that is wrong")
        if not isinstance(sheet, str | None):
            raise DataError(f"sheet = {shown(sheet)} must be a name in quotes")
        if sheet is not None and not of_workbook:
            raise DataError("sheet has no meaning for a text file; take it out")
        return sheet


def _path_fault(name):
    """Return what is wrong with the name of a file, or nothing."""
    if wrong := name_fault(name):
        return wrong
    if not is_inside(name):
        return f"{shown(name)} must be the plain name of a file inside the folder, without .., drive or leading /"
    if PurePosixPath(name).suffix.lower() not in READABLE:
        return f"{shown(name)} is no CSV or XLSX; save the readings as 'CSV UTF-8' or XLSX"
    return ""
