"""A bench folder to a `Bench`: its files, held inside the folder and within limits, and what the reader fills in."""

import os
import stat
from dataclasses import replace
from functools import cached_property
from pathlib import Path, PurePosixPath
from types import MappingProxyType

import numpy as np

from ..bench import KINDS, Bench
from ..bench.repeated import repeated
from ..errors import DataError
from ..things import nearest
from ..units import ATMOSPHERE
from .entries import read_entry
from .faults import Faults, listed, name_fault, shown
from .forms import form_of
from .guards import radius_for_diameter
from .journal import JOURNAL, LARGEST_JOURNAL, waiting
from .lent import borrows, lending, with_lent
from .model_errors import with_model_errors
from .origin import BenchOrigin, TestOrigin
from .specimens import read_specimen
from .tables import DECIMALS, LARGEST_FILE, SEPARATORS, read_csv
from .toml import LARGEST_TOML, toml_document
from .workbook import Workbook

LARGEST_BENCH = 2 * LARGEST_FILE
"""Most bytes of all files together."""
MOST_TESTS = 200
"""Most tests of one bench."""


class Disk:
    """The files of a folder on disk, read and never changed."""

    def __init__(self, folder):
        self.folder, self._seen = Path(folder), {}

    def __str__(self):
        return str(self.folder)

    def known(self, files):
        """Return the files that were read as what this folder is known to hold."""
        return {os.path.realpath(self.folder): files}

    def fault(self):
        """Return what is wrong with the folder itself, or nothing."""
        if os.path.isdir(self.folder):  # unlike Path.is_dir it takes any text
            return self._unfinished[1]
        remedy = "name the folder that holds bench.toml"
        try:
            os.stat(self.folder)
        except PermissionError as error:
            return f"it cannot be looked into ({error.strerror}); change the permissions of the folder that it lies in"
        except (OSError, ValueError):  # ValueError: a zero byte in the name
            pass
        if os.path.exists(self.folder):
            return f"it is a file, so there is no such folder; {remedy}"
        missing = Path(os.path.abspath(self.folder))
        while not os.path.isdir(missing.parent):
            missing = missing.parent
        near = nearest(missing.name, [name for name in _listed(missing.parent) if (missing.parent / name).is_dir()])
        return (
            f"there is no such folder: {shown(missing.parent, 200)} holds no {shown(missing.name)}; {remedy}, or make one to "
            f"fill in with new_bench{near}"
        )

    def names(self):
        """Return the names of the files that could hold readings."""
        return [name for name in _listed(self.folder) if Path(name).suffix.lower() in (".csv", ".txt", ".tsv", ".xlsx")]

    @cached_property
    def _unfinished(self):
        """Where the new content of a file waits, by its name, if a save was cut off; and what is wrong with that save."""
        if self._seen.setdefault(JOURNAL, _stamp(self.folder / JOURNAL)) is None:
            return {}, ""
        try:
            return waiting(self.plain(JOURNAL, LARGEST_JOURNAL), self._there), ""
        except DataError as error:
            return {}, str(error)

    def _there(self, name):
        return self.plain(name, LARGEST_FILE) if os.path.lexists(self.folder / name) else None

    def read(self, name, largest):
        """Return the bytes of a file in the folder; of one that a save had still to put in its place, the new ones.

        Raises
        ------
        DataError
            If it is missing, leaves the folder, is no plain file or is too large.
        """
        return self.plain(self._unfinished[0].get(name, name), largest)

    def is_steady(self):
        """Say whether all that was read is still there as it was: if not, old and new files may have been read together."""
        return all(_stamp(self.folder / name) == stamp for name, stamp in self._seen.items())

    def plain(self, name, largest):
        """Return the bytes that stand under a name on the disk, as `read` without a look at an unfinished save."""
        path = self.folder / name
        self._seen.setdefault(name, _stamp(path))
        try:
            inside = path.resolve().is_relative_to(self.folder.resolve())
            about = os.stat(path)
        except PermissionError as error:
            raise DataError(
                f"it cannot be looked into ({error.strerror}); change the permissions of the folder"
            ) from None
        except (OSError, RuntimeError, ValueError):  # ValueError: a zero byte in the name
            if os.path.lexists(path):
                raise DataError(
                    "it is a link to something that is not there; put the file itself into the folder"
                ) from None
            near = nearest(name, self.names())
            raise DataError(f"there is no such file in {shown(self.folder)}{near}") from None
        if not inside:
            raise DataError("it is a link that leads out of the folder; copy the file into it")
        if not stat.S_ISREG(about.st_mode):
            raise DataError("it is a folder or a device, not a file")
        if about.st_size > largest:
            raise DataError(
                f"it has {about.st_size / 1e6:.1f} MB; {largest / 1e6:g} MB at most: take the steady readings, not the raw log"
            )
        try:
            with open(path, "rb") as opened:
                return opened.read(largest + 1)
        except OSError as error:
            raise DataError(
                f"it cannot be opened ({error.strerror}); close it elsewhere or change its permissions"
            ) from None


def _stamp(path):
    """Return what tells a file from the one that takes its place, None where there is none."""
    try:
        about = os.stat(path)
    except (OSError, ValueError):
        return None
    return about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns


def _listed(folder):
    """Return the names in a folder, none where it may not be listed."""
    try:
        return sorted(os.listdir(folder))
    except OSError:
        return []


class Memory:
    """Files that are not on disk, or not read from there.

    `name` says what they are, `on_disk` what folders are known to hold (see `BenchOrigin`).
    """

    def __init__(self, files, name="what is to be written", on_disk=None):
        self.files, self.name, self.on_disk = files, name, on_disk or {}

    def __str__(self):
        return self.name

    def known(self, files):
        """Return what folders are known to hold."""
        return self.on_disk

    def fault(self):
        """Return nothing: there is no folder that could be missing."""
        return ""

    def read(self, name, largest):
        """Return the bytes of a file."""
        if name not in self.files:
            raise DataError("there is no such file")
        return self.files[name]


def read_files(source):
    """Return the `Bench` that the files of a source hold; every fault of every file raises one `ReadingError`."""
    faults = Faults()
    files = {}
    document = _document(source, files, faults)
    faults.raise_any()
    specimen, numbers = read_specimen(document.get("specimen", {}), faults)
    apparatus = _apparatus_tables(document, faults)
    entries = _entries(document, faults)
    tables = _Tables(source, files, faults)
    drafts, lent = _drafts(entries, apparatus, numbers, tables, faults)
    _check_apparatus(apparatus, entries, faults)
    faults.raise_any()
    drafts, notes = with_model_errors(drafts)
    notes += lent
    notes += filter(None, map(_hidden_note, drafts))
    notes += [
        _ambient_note(d) for d, e in zip(drafts, entries, strict=True) if d.absolute and "ambient_pressure" not in e
    ]
    used = {str(entry.get("apparatus")) for entry in entries}
    notes += [f"[apparatus.{name}]: no test uses it." for name in apparatus if name not in used]
    held = MappingProxyType(files)
    origin = BenchOrigin(str(source), held, specimen, len(entries), tuple(notes), source.known(held))
    tests = [_with_origin(draft, origin, entry) for draft, entry in zip(drafts, entries, strict=True)]
    for words in repeated(tests):
        faults.add("bench.toml", words)
    faults.raise_any()
    return Bench(specimen, tests, origin)


def _document(source, files, faults):
    if wrong := source.fault():
        faults.add(shown(source, 200), wrong)
        return {}
    try:
        files["bench.toml"] = raw = source.read("bench.toml", LARGEST_TOML)
        return toml_document(raw)
    except DataError as error:
        faults.add(
            "bench.toml",
            f"{error}; a bench folder holds bench.toml and one file of readings a test"
            if "no such" in str(error)
            else str(error),
        )
    return {}


def _apparatus_tables(document, faults):
    for key in document:
        if key not in ("specimen", "apparatus", "test"):
            hint = nearest(key, ("specimen", "apparatus", "test"))
            faults.add(
                "bench.toml",
                f"{shown(key)} is not known here{hint}; it holds [specimen], [apparatus.NAME] and [[test]]",
            )
    tables = document.get("apparatus", {})
    if not isinstance(tables, dict) or not all(isinstance(table, dict) for table in tables.values()):
        faults.add("bench.toml", "every apparatus has its own table: write [apparatus.NAME] and its dimensions below")
        return {}
    for name in tables:
        if wrong := name_fault(name):
            faults.add("bench.toml, [apparatus]", f"the name {wrong}")
    return tables


def _entries(document, faults):
    entries = document.get("test", [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        faults.add("bench.toml", "every test has its own table with double brackets: write [[test]] and its keys below")
        return []
    if not entries:
        faults.add("bench.toml", "it describes no test; write [[test]] with kind and file below, one for each test")
    if len(entries) > MOST_TESTS:
        faults.add("bench.toml", f"it describes {len(entries)} tests; {MOST_TESTS} at most")
        return []
    return entries


def _drafts(entries, apparatus, numbers, tables, faults):
    """Return the draft of each [[test]], and notes on what tests lend to others: those that lend are read first."""
    drafts, notes = [None] * len(entries), {}
    for lenders in (True, False):
        for k, entry in enumerate(entries):
            if lending(entry) is lenders:
                drafts[k] = read_entry(k, entry, apparatus, numbers, tables.of, faults)
        if lenders:
            numbers, notes = with_lent(numbers, [draft for draft in drafts if draft])
    taken = {name: numbers[name].value for name in notes}
    used = [name for name in notes if any(borrows(draft, name) == taken[name] for draft in drafts if draft)]
    return drafts, [notes[name] for name in used]


def _check_apparatus(apparatus, entries, faults):
    """Refuse keys of an apparatus that none of its tests reads."""
    for name, table in apparatus.items():
        kinds = [e.get("kind") for e in entries if e.get("apparatus") == name]
        if not kinds or not all(isinstance(k, str) and k in KINDS for k in kinds):
            continue
        known = {"note", "unusual"}.union(*(form_of(KINDS[kind]).dimension_names() for kind in kinds))
        needed = set().union(*(form_of(KINDS[kind]).given() for kind in kinds))
        for key in table:
            if key not in known | needed:
                hint = radius_for_diameter(key, known) or f"known are {listed(sorted(known))}{nearest(key, known)}"
                faults.add(
                    f"bench.toml, [apparatus.{name}]",
                    f"{shown(key)} is read by none of its tests ({listed(sorted(set(kinds)))}); {hint}",
                )


class _Tables:
    """The tables of the files that tests name, each read once."""

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
            twins = [key for key in self.used if key[0] == name and (key[1] == sheet or None in (key[1], sheet))]
            if twins:  # a workbook read without naming its sheet has one alone
                first = self.used[twins[0]]
                self.faults.add(where, f"file = {shown(name)} is already read by [[test]] {first}: readings count once")
                return name, None
            self.used[name, sheet] = where.split()[-1]
            raw = self.source.read(name, LARGEST_FILE)
            self.files[name] = raw
            if sum(map(len, self.files.values())) > LARGEST_BENCH:
                words = f"the files of this bench have more than {LARGEST_BENCH // 1_000_000} MB together"
                raise DataError(f"{words}; take the steady readings, not the raw log, or make two folders")
            if name.lower().endswith(".xlsx"):
                return name, self.books.setdefault(name, Workbook(raw)).table(sheet)
            return name, read_csv(raw, entry.get("separator"), entry.get("decimal"))
        except DataError as error:
            self.faults.add(f"{name}, {where}" if "row" not in str(error)[:4] else name, str(error))
            return name, None

    def _settings(self, entry):
        for key, known in (("separator", SEPARATORS), ("decimal", DECIMALS)):
            if key in entry and (not isinstance(entry[key], str) or entry[key] not in known):
                raise DataError(
                    f"{key} = {shown(entry[key])} is not known; write {' or '.join(repr(k) for k in known)}"
                )
            if key in entry and entry["file"].lower().endswith(".xlsx"):
                raise DataError(f"{key} has no meaning for a workbook; take it out")
        sheet = entry.get("sheet")
        if sheet is not None and not isinstance(sheet, str):
            raise DataError(f"sheet = {shown(sheet)} must be a name in quotes")
        if sheet is not None and not entry["file"].lower().endswith(".xlsx"):
            raise DataError("sheet has no meaning for a text file; take it out")
        return sheet


def _path_fault(name):
    """Return what is wrong with the name of a file, or nothing."""
    if wrong := name_fault(name):
        return wrong
    path = PurePosixPath(name)
    if "\\" in name or ":" in name or path.is_absolute() or ".." in path.parts or name != str(path) or name == ".":
        return f"{shown(name)} must be the plain name of a file inside the folder, without .., drive or leading /"
    if path.suffix.lower() not in (".csv", ".txt", ".tsv", ".xlsx"):
        return f"{shown(name)} is no CSV or XLSX; save the readings as 'CSV UTF-8' or XLSX"
    return ""


def _ambient_note(draft):
    return (
        f"{draft.where}: absolute pressures were taken against {ATMOSPHERE / 1e3:g} kPa around; write ambient_pressure if it "
        "was another (a place 1000 m up has 90 kPa)."
    )


def _hidden_note(draft):
    rows = draft.typed.table.hidden
    if not rows:
        return ""
    which = f"row {rows[0]} is" if len(rows) == 1 else f"{len(rows)} rows (the first is {rows[0]}) are"
    return f"{draft.file}, {draft.where}: {which} hidden in the sheet, and read as the others are; delete what is not to count."


def _with_origin(draft, bench, entry):
    record = draft.record()
    rows = np.arange(len(record.readings))
    given = MappingProxyType(draft.dimensions.values)
    origin = TestOrigin(bench, draft.entry, draft.file, draft.typed, rows, record, "model_error" in entry, given)
    return replace(record, origin=origin)
