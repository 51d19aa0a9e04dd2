"""A bench to a folder: byte for byte where nothing changed, as typed where a row is untouched, and checked by reading it."""

import re
from dataclasses import fields

from ..errors import DataError, ReadingError
from ..nomenclature import QUANTITIES
from .compare import differences, same_benches
from .folder import Memory, read_files
from .forms import form_of
from .guards import doubt
from .typing_out import (
    bare_number,
    dimension_texts,
    entry_of,
    plain_table,
    same_columns,
    typed_table,
    uncertainty_text,
    unusual_names,
    with_unit,
)

AS_TYPED, PLAIN = "as typed", "plain"
DIMENSIONS = "dimensions"
"""In a patch: state every dimension in the [[test]] itself."""


def bench_files(bench):
    """Return the files of a folder that reads as this bench, bytes by name.

    Raises
    ------
    DataError
        If there is no such folder, for instance because a name holds a line break.
    """
    if _unchanged(bench):
        return dict(bench.origin.files)
    styles = [AS_TYPED if _read_from(test, bench) else PLAIN for test in bench.tests]
    patches = [set() for _ in bench.tests]
    for document in (AS_TYPED, AS_TYPED, AS_TYPED, PLAIN):
        if document == PLAIN:
            styles = [PLAIN] * len(styles)
        files = _composed(bench, styles, patches, document)
        try:
            found = read_files(Memory(files))
        except ReadingError as error:
            complaint = str(error)
            if any(DIMENSIONS in patch for patch in patches):
                styles = [PLAIN] * len(styles)
            for patch in patches:
                patch.add(DIMENSIONS)
            continue
        if same_benches(bench, found):
            return files
        complaint = "numbers would not come back as they are"
        for k, (wanted, got) in enumerate(zip(bench.tests, found.tests, strict=False)):
            wrong = set(differences(wanted, got))
            if wrong and (wrong <= patches[k] or wrong & {*wanted.columns, "censored"}):
                styles[k] = PLAIN
            patches[k] |= wrong
    raise DataError(f"this bench cannot be written so that it reads back the same: {complaint}")


def _unchanged(bench):
    origin = bench.origin
    if (
        origin is None
        or not hasattr(origin, "files")
        or len(bench.tests) != origin.count
        or differences(bench.specimen, origin.specimen)
    ):
        return False
    in_order = all(_read_from(test, bench) and test.origin.entry == k for k, test in enumerate(bench.tests))
    return in_order and not any(_changed_fields(test, bench) for test in bench.tests)


def _read_from(test, bench):
    """Say whether a test was read from the folder of this bench."""
    toml = getattr(test.origin, "toml", None)
    return toml is not None and getattr(bench.origin, "files", {}).get("bench.toml") == toml


def _changed_fields(test, bench):
    """Return the fields of a test that differ from what was read."""
    changed = differences(test, test.origin.record)
    if test.batch == (test.origin.record.batch or bench.origin.specimen.batch) and "batch" in changed:
        changed.remove("batch")
    return changed


def _composed(bench, styles, patches, document):
    import tomlkit

    had = dict(bench.origin.files) if getattr(bench.origin, "files", None) else {}
    text = had["bench.toml"].decode("utf-8-sig") if had and document == AS_TYPED else ""
    toml = tomlkit.parse(text)
    _put_specimen(toml, bench.specimen, None if not text else bench.origin.specimen)
    entries = toml["test"] if "test" in toml else tomlkit.aot()
    kept, files, used = [], {}, set()
    for test, style, patch in zip(bench.tests, styles, patches, strict=True):
        known = text and _read_from(test, bench) and test.origin.entry not in used
        name = _file_of(test, style if known else PLAIN, files, had)
        if known and style == AS_TYPED:
            used.add(test.origin.entry)
            entry = entries[test.origin.entry]
            _patch(entry, test, patch, bench)
        else:
            entry = tomlkit.table()
            entry.update(entry_of(test, name, bench.specimen.batch))
        table = _table_bytes(test, style, had, name)
        if entry.get("file") != name:
            entry["file"] = name
        if "sheet" in entry and not name.lower().endswith(".xlsx"):
            del entry["sheet"]
        files[name] = table
        kept.append(entry)
        _put_apparatus(toml, test.apparatus)
    if [id(e) for e in kept] != [id(e) for e in entries]:
        fresh = tomlkit.aot()
        for entry in kept:
            fresh.append(entry)
        toml.pop("test", None)
        toml["test"] = fresh
    files["bench.toml"] = tomlkit.dumps(toml).encode()
    return files


def _file_of(test, style, files, had):
    """Return the name under which the readings of a test are written: its old one where it can still hold them."""
    if test.origin is not None and style == AS_TYPED:
        name = test.origin.file
        if name.lower().endswith(".xlsx") and same_columns(test):
            return name
        if not name.lower().endswith(".xlsx") and name not in files:
            return name
    return _new_name(test, {*files, *had})


def _new_name(test, taken):
    stem = re.sub(r"[^a-z0-9]+", "-", (test.label or test.kind).lower()).strip("-")[:40] or "test"
    names = [f"{stem}.csv", *(f"{stem}-{k}.csv" for k in range(2, 1000))]
    return next(name for name in names if name not in taken)


def _table_bytes(test, style, had, name):
    if test.origin is None or style == PLAIN:
        return plain_table(test).encode()
    if same_columns(test) and name == test.origin.file:
        return had[name]
    bom = (
        b"\xef\xbb\xbf"
        if had.get(test.origin.file, b"").startswith(b"\xef\xbb\xbf") and name == test.origin.file
        else b""
    )
    return bom + typed_table(test).encode()


def _patch(entry, test, names, bench):
    """State in a [[test]] the fields that its folder would otherwise give another value."""
    form = form_of(type(test))
    held = {share.field for share in form.shares.values()} | set(
        form.kind.assembly.fields if form.kind.assembly else ()
    )
    if names & (held | set(form.dimensions) | {"apparatus", DIMENSIONS}):
        texts = dimension_texts(test)
        for key in (
            "bore",
            "length",
            "nozzle",
            *(n for target in form.dimensions for way in form.ways.get(target, ()) for n in way.inputs),
        ):
            if key in entry and key not in texts:
                del entry[key]
        entry.update(texts)
    if names & {"uncertainty", "relative_uncertainty"}:
        entry.pop("uncertainty", None)
        if (text := uncertainty_text(test)) is not None:
            entry["uncertainty"] = text
    if "model_error" in names:
        entry["model_error"] = bare_number(test.model_error)
        entry["model_error_reason"] = "as it was before the bench was changed"
    for name in names & {"apparatus", "label", "error", *form.choices}:
        entry[name] = getattr(test, name)
        if name == "apparatus" and not test.apparatus:
            del entry[name]
    if "batch" in names:
        entry["batch"] = test.batch
    if unusual := unusual_names(test):
        entry["unusual"] = sorted({*entry.get("unusual", []), *unusual})


def _put_apparatus(toml, name):
    import tomlkit

    if not name:
        return
    if "apparatus" not in toml:
        toml["apparatus"] = tomlkit.table(is_super_table=True)
    if name not in toml["apparatus"]:
        toml["apparatus"][name] = tomlkit.table()


def _put_specimen(toml, specimen, before):
    import tomlkit

    changed = differences(specimen, before) if before is not None else [f.name for f in fields(specimen)]
    if "spreads" in changed:
        known = before.spreads if before is not None else {}
        other = [
            n for n in {**known, **specimen.spreads} if specimen.spreads.get(n) != known.get(n) and n not in changed
        ]
        changed = [name for name in changed if name != "spreads"] + other
    if "specimen" not in toml and changed:
        toml["specimen"] = tomlkit.table()
    for name in changed:
        table, value = toml["specimen"], getattr(specimen, name)
        empty = value is None or value == "" or value is False
        if empty:
            table.pop(name, None)
        elif name == "water_content" and name not in specimen.spreads:
            table[name] = bare_number(value)
        else:
            spread = value * specimen.spreads[name] if name in specimen.spreads else None
            table[name] = with_unit(value, QUANTITIES[name].unit, spread) if name in QUANTITIES else value
        if name == "water_content":
            table.pop("water_basis", None)
            if not empty:
                table["water_basis"] = "dry"
    doubtful = [
        n for n in changed if n in QUANTITIES and getattr(specimen, n) is not None and doubt(n, getattr(specimen, n))
    ]
    if doubtful:
        toml["specimen"]["unusual"] = sorted({*toml["specimen"].get("unusual", []), *doubtful})
