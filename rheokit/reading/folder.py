"""The files of a bench folder to a `Bench`, with what the reader fills in."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench import KINDS, Bench, Specimen
from ..bench.repeated import repeated
from ..errors import DataError
from ..nomenclature import written
from ..things import nearest
from ..units import ATMOSPHERE
from .choosing import CHOICES, in_words
from .entries import idle, read_entry
from .faults import Faults, listed, name_fault, shown
from .filled_in import borrowed_density, lends, lent_by_apparatus, with_lent, with_model_errors
from .forms import form_of
from .guards import tell_unknown
from .named_files import Tables
from .origin import BenchOrigin, TestOrigin
from .specimens import read_specimen
from .toml import LARGEST_TOML, toml_document
from .uncertainties import coarse

TABLES = ("specimen", "apparatus", "test")
MOST_TESTS = 200  # most tests of one bench


def read_files(source, whole=()):
    """Return the `Bench` that the files of a source hold; every fault of every file raises one `ReadingError`.

    Of the [[test]] whose numbers, counted from 0, are among `whole` every row of their files is read, whichever they choose.
    """
    faults, files = Faults(), {}
    document = _document(source, files, faults)
    faults.raise_any()
    specimen, numbers = read_specimen(document.get("specimen", {}), faults)
    apparatus = _apparatus_tables(document, faults)
    entries = [_chosen(entry, k in whole) for k, entry in enumerate(_entries(document, faults))]
    tables = Tables(source, files, faults)
    drafts, lent = _drafts(entries, apparatus, numbers, tables, faults)
    _check_apparatus(apparatus, entries, drafts, faults)
    _check_shared_rows(drafts, entries, faults)
    faults.raise_any()
    drafts, notes = with_model_errors(drafts)
    pairs = list(zip(drafts, entries, strict=True))
    notes += [
        *lent,
        *filter(None, map(coarse, drafts)),
        *(_hidden_note(draft) for draft in drafts if draft.typed.table.hidden),
    ]
    notes += [f"{d.file}, {d.where}: {note}." for d in drafts for note in d.typed.table.notes]
    notes += [_ambient_note(draft) for draft, entry in pairs if draft.absolute and "ambient_pressure" not in entry]
    used = {str(entry.get("apparatus")) for entry in entries}
    notes += [f"[apparatus.{name}]: no test uses it." for name in apparatus if name not in used]
    origin = BenchOrigin(str(source), files, specimen, len(entries), tuple(notes), source.known(files))
    tests = [_with_origin(*pair, origin, apart) for pair, apart in zip(pairs, _apart(drafts), strict=True)]
    for words in repeated(tests):
        faults.add("bench.toml", words)
    faults.raise_any()
    return Bench(specimen, tests, origin)


def _chosen(entry, whole):
    return {key: value for key, value in entry.items() if key not in CHOICES} if whole else entry


class Part(NamedTuple):
    """What of a folder can be read although not all of it can: the bench of the tests that can, None where none can, and the raw files."""

    specimen: Specimen
    bench: Bench | None
    files: dict[str, bytes]


def read_part(source):
    """Return the `Part` of the files of a source that can be read; `read_files` says what is wrong with the rest."""
    faults, files = Faults(), {}
    document = _document(source, files, faults)
    told = document.get("specimen", {})
    specimen, numbers = read_specimen(told if isinstance(told, dict) else {}, faults)
    apparatus = _apparatus_tables(document, faults)
    entries = _entries(document, faults)
    found, lent = _drafts(entries, apparatus, numbers, Tables(source, files, faults), faults)
    kept = [(draft, entry) for draft, entry in zip(found, entries, strict=True) if draft is not None]
    drafts, notes = with_model_errors([draft for draft, _ in kept])
    origin = BenchOrigin(str(source), files, specimen, len(entries), (*notes, *lent), source.known(files))
    try:
        told = zip(drafts, kept, _apart(drafts), strict=True)
        tests = [_with_origin(draft, entry, origin, apart) for draft, (_, entry), apart in told]
        return Part(specimen, Bench(specimen, tests, origin), files)
    except DataError:
        return Part(specimen, None, files)


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
                before = len(faults)
                of_apparatus = next((own for name, own in lent.items() if name == entry.get("apparatus")), {})
                drafts[k] = read_entry(k, entry, apparatus, numbers | of_apparatus, tables.of, faults)
                tables.explain(entry, f"bench.toml, [[test]] {k + 1}", before)
        if lenders:
            numbers, note = with_lent(numbers, [draft for draft in drafts if draft])
            lent, notes = lent_by_apparatus(apparatus, entries, drafts)
    used = note and any(borrowed_density(draft) == numbers["density"].value for draft in drafts if draft)
    return drafts, [*([note] if used else []), *notes]


def _check_apparatus(apparatus, entries, drafts, faults):
    """Refuse keys of an apparatus that none of its tests reads, or whose columns need none of it."""
    for name, table in apparatus.items():
        kinds = [e.get("kind") for e in entries if e.get("apparatus") == name]
        if not kinds or not all(isinstance(k, str) and k in KINDS for k in kinds):
            continue
        known = {"note", "unusual"}.union(*(form_of(KINDS[kind]).dimension_names() for kind in kinds))
        told = f"is read by none of its tests ({listed(sorted(set(kinds)))})"
        where = f"bench.toml, [apparatus.{name}]"
        tell_unknown(table, sorted(known), told, where, faults)
        own = [draft for draft, entry in zip(drafts, entries, strict=True) if entry.get("apparatus") == name]
        read = [draft for draft in own if draft and form_of(draft.form.kind).given() & table.keys()]
        if all(own) and read:
            for key in sorted(
                set.intersection(*(draft.form.idle(draft.typed.inputs()) for draft in read)) & table.keys()
            ):
                faults.add(where, f"{key} = {shown(table[key])} {idle(read[0].form, key)}")


def _check_shared_rows(drafts, entries, faults):
    """Refuse rows of one file that two tests read."""
    seen = {}
    for draft, entry in zip(drafts, entries, strict=True):
        if draft is None:
            continue
        own = set(draft.typed.table.rows.numbers.tolist())
        for earlier, numbers in seen.setdefault((draft.file, entry.get("sheet")), []):
            if both := sorted(own & numbers):
                told = f"[[test]] {earlier} reads {in_words(both)} of {shown(draft.file)} too: readings count once"
                faults.add(draft.where, f"{told}; choose other rows, runs or another branch for one of them")
        seen[draft.file, entry.get("sheet")].append((draft.entry + 1, own))


def _ambient_note(draft):
    told = f"{draft.where}: absolute pressures were taken against {written(ATMOSPHERE, 'Pa', 6)} around"
    return f"{told}; write ambient_pressure if it was another (a place 1000 m up has 90 kPa)."


def _hidden_note(draft):
    rows = draft.typed.table.hidden
    which = f"row {rows[0]} is" if len(rows) == 1 else f"{len(rows)} rows (the first is {rows[0]}) are"
    return f"{draft.file}, {draft.where}: {which} hidden in the sheet, and read as the others are; delete what is not to count."


def _with_origin(draft, entry, bench, apart):
    record, given = draft.record(), draft.dimensions.values
    rows = np.arange(len(record.readings))
    stated = "model_error" in entry
    idle = (
        draft.form.given() - draft.form.dimensions.keys() - draft.typed.given()
    )  # such as a density where nothing was caught
    typed = frozenset(draft.dimensions.uncertain.keys() - draft.form.shares.keys() - idle)
    pooled, unheld = (frozenset(), typed) if stated else (typed, frozenset())
    return replace(
        record,
        origin=TestOrigin(
            bench, draft.entry, draft.file, draft.typed, rows, record, stated, given, apart, pooled, unheld
        ),
    )


def _apart(drafts):
    """Return for each draft what tells it from others of its kind and label; "" where there is no other.

    One thing tells all of them: the batch, where each has its own, else the file, or file and [[test]].
    """
    alike = [(d.form.kind.kind, d.fields.get("label", "")) for d in drafts]
    batches = [(*one, d.fields.get("batch", "")) for one, d in zip(alike, drafts, strict=True)]
    files = [(*one, d.file) for one, d in zip(alike, drafts, strict=True)]
    shared = {one for one, batch in zip(alike, batches, strict=True) if not batch[-1] or batches.count(batch) > 1}
    return [
        ""
        if alike.count(one) == 1
        else f"batch {batch[-1]}"
        if one not in shared
        else d.file
        if files.count(file) == 1
        else f"{d.file}, [[test]] {d.entry + 1}"
        for d, one, batch, file in zip(drafts, alike, batches, files, strict=True)
    ]
