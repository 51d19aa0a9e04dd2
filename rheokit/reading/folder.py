"""The files of a bench folder to a `Bench`, with what the reader fills in."""

from dataclasses import replace
from pathlib import PurePosixPath

import numpy as np

from ..bench import KINDS, Bench
from ..bench.repeated import repeated
from ..errors import DataError
from ..nomenclature import written
from ..things import nearest
from ..units import ATMOSPHERE
from .entries import read_entry
from .faults import Faults, listed, name_fault, shown
from .files import READABLE
from .filled_in import borrowed_density, lends, lent_by_apparatus, with_lent, with_model_errors
from .forms import form_of
from .guards import tell_unknown
from .journal import is_inside
from .origin import BenchOrigin, TestOrigin
from .specimens import read_specimen
from .tables import DECIMALS, LARGEST_FILE, SEPARATORS, read_csv
from .toml import LARGEST_TOML, toml_document
from .uncertainties import coarse
from .workbook import Workbook

LARGEST_BENCH = 2 * LARGEST_FILE  # most bytes of all files together
TABLES = ("specimen", "apparatus", "test")
MOST_TESTS = 200  # most tests of one bench


def read_files(source):
    """Return the `Bench` that the files of a source hold; every fault of every file raises one `ReadingError`."""
    faults, files = Faults(), {}
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
    pairs = list(zip(drafts, entries, strict=True))
    notes += [
        *lent,
        *filter(None, map(coarse, drafts)),
        *(_hidden_note(draft) for draft in drafts if draft.typed.table.hidden),
    ]
    notes += [_ambient_note(draft) for draft, entry in pairs if draft.absolute and "ambient_pressure" not in entry]
    used = {str(entry.get("apparatus")) for entry in entries}
    notes += [f"[apparatus.{name}]: no test uses it." for name in apparatus if name not in used]
    origin = BenchOrigin(str(source), files, specimen, len(entries), tuple(notes), source.known(files))
    tests = [_with_origin(draft, origin, entry) for draft, entry in pairs]
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
        more = "; a bench folder holds bench.toml and one file of readings a test" if "no such" in str(error) else ""
        faults.add("bench.toml", f"{error}{more}")
        return {}


def _apparatus_tables(document, faults):
    for key in document:
        if key not in TABLES:
            told = f"{shown(key)} is not known here{nearest(key, TABLES)}"
            faults.add("bench.toml", f"{told}; it holds [specimen], [apparatus.NAME] and [[test]]")
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
    drafts, lent = [None] * len(entries), {}
    for lenders in (True, False):
        for k, entry in enumerate(entries):
            if lends(entry) is lenders:
                of_apparatus = next((own for name, own in lent.items() if name == entry.get("apparatus")), {})
                drafts[k] = read_entry(k, entry, apparatus, numbers | of_apparatus, tables.of, faults)
        if lenders:
            found = [draft for draft in drafts if draft]
            numbers, note = with_lent(numbers, found)
            lent, notes = lent_by_apparatus(apparatus, entries, found)
    used = note and any(borrowed_density(draft) == numbers["density"].value for draft in drafts if draft)
    return drafts, [*([note] if used else []), *notes]


def _check_apparatus(apparatus, entries, faults):
    """Refuse keys of an apparatus that none of its tests reads."""
    for name, table in apparatus.items():
        kinds = [e.get("kind") for e in entries if e.get("apparatus") == name]
        if not kinds or not all(isinstance(k, str) and k in KINDS for k in kinds):
            continue
        known = {"note", "unusual"}.union(*(form_of(KINDS[kind]).dimension_names() for kind in kinds))
        told = f"is read by none of its tests ({listed(sorted(set(kinds)))})"
        tell_unknown(table, sorted(known), told, f"bench.toml, [apparatus.{name}]", faults)


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
        """Return the sheet that a [[test]] names; what it says of its file must be known and have a meaning for it."""
        sheet, of_workbook = entry.get("sheet"), entry["file"].lower().endswith(".xlsx")
        for key, known in (("separator", SEPARATORS), ("decimal", DECIMALS)):
            if key not in entry:
                continue
            if not isinstance(entry[key], str) or entry[key] not in known:
                raise DataError(f"{key} = {shown(entry[key])} is not known; write {' or '.join(map(repr, known))}")
            if of_workbook:
                raise DataError(f"{key} has no meaning for a workbook; take it out")
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


def _ambient_note(draft):
    told = f"{draft.where}: absolute pressures were taken against {written(ATMOSPHERE, 'Pa', 6)} around"
    return f"{told}; write ambient_pressure if it was another (a place 1000 m up has 90 kPa)."


def _hidden_note(draft):
    rows = draft.typed.table.hidden
    which = f"row {rows[0]} is" if len(rows) == 1 else f"{len(rows)} rows (the first is {rows[0]}) are"
    return f"{draft.file}, {draft.where}: {which} hidden in the sheet, and read as the others are; delete what is not to count."


def _with_origin(draft, bench, entry):
    record, given = draft.record(), draft.dimensions.values
    rows = np.arange(len(record.readings))
    origin = TestOrigin(bench, draft.entry, draft.file, draft.typed, rows, record, "model_error" in entry, given)
    return replace(record, origin=origin)
