"""A bench to the files of a folder: byte for byte where nothing changed, as typed wherever it still holds, checked by reading it.

The bench.toml that it was read from is the document; tests from elsewhere (another folder, the page) come into it with their own
[[test]], apparatus and file as these were typed. An apparatus keeps its name, because tests of one name share what is
uncertain about it: where two folders describe it differently, the newcomer states its own dimensions in its [[test]].
"""

import re
import tomllib
from functools import partial

import tomlkit

from ..bench import Specimen
from ..errors import DataError, ReadingError
from ..nomenclature import QUANTITIES
from .compare import differences
from .document import Document, block_of, document_of, plain_document
from .faults import Faults, encoded, shown
from .files import Memory
from .folder import read_files
from .origin import TestOrigin
from .restating import BOM, Part
from .specimens import read_specimen
from .stated import as_typed
from .toml import toml_text
from .typing_out import bare_number, doubtful_number, file_stem, with_unit

ROUNDS = 10  # how often a bench is written and read back, each time with more of it stated


def bench_files(bench, stands=lambda name: None):
    """Return the files of a folder that reads as this bench, bytes by name.

    `stands` returns what stands under a name where they are to be written, None for nothing: a new one is not named as another one.
    Model errors that were assumed, and not changed since, are assumed again of what the folder then holds. `DataError` if there
    is no such folder, for instance because a name holds a line break.
    """
    if _unchanged(bench):
        return dict(bench.origin.files)
    composition, complaint = _Composition(bench, stands), ""
    for round_ in range(ROUNDS):
        if round_ == ROUNDS - 1:
            composition.begin_anew()
        files = composition.files()
        try:
            found = read_files(Memory(files))
        except ReadingError as error:
            complaint = str(error)
            composition.blame(error)
            continue
        complaint = "numbers would not come back as they are"
        wrong = [part.learn(got) for part, got in zip(composition.parts, found.tests, strict=True)]
        if not any(wrong) and not differences(bench.specimen, found.specimen):
            return files
    raise DataError(f"this bench cannot be written so that it reads back the same: {complaint}")


def _unchanged(bench):
    origin = bench.origin
    if origin is None or len(bench.tests) != origin.count or differences(bench.specimen, origin.specimen):
        return False
    in_order = all(_is_from(origin, test) and test.origin.entry == k for k, test in enumerate(bench.tests))
    return in_order and not any(_changed_fields(test, bench) for test in bench.tests)


def _folder_of(test):
    """Return the folder that a test was read from as it was, None where it was not read."""
    return test.origin.bench if isinstance(test.origin, TestOrigin) else None


def _is_from(origin, test):
    """Say whether a test was read from a folder, or from one that holds the same."""
    own = _folder_of(test)
    return own is not None and origin is not None and (own is origin or own.files == origin.files)


def _changed_fields(test, bench):
    """Return the fields of a test that differ from what was read."""
    lent = test.batch == (test.origin.record.batch or bench.origin.specimen.batch)
    return [name for name in differences(test, test.origin.record) if name != "batch" or not lent]


class _Composition:
    """A bench on its way into files: the folder that is its ground, and its tests as parts."""

    def __init__(self, bench, stands):
        self.bench, self.stands = bench, stands
        folders = [one for one in (bench.origin, *map(_folder_of, bench.tests)) if one]
        self.ground = folders[0] if folders else None
        known = {folder: _document(folder) for folder in dict.fromkeys(folders)}
        self.parts = [Part(test, known.get(_folder_of(test))) for test in bench.tests]

    def begin_anew(self):
        """State everything, in a document without a word from before."""
        self.ground = None
        for part in self.parts:
            part.begin_anew()

    def blame(self, error):
        """Have more stated of the tests that faults name, or of all where they name none."""
        numbers = {int(n) - 1 for n in re.findall(r"\[\[test\]\] ([0-9]+)", str(error))}
        places = [line.partition(",")[0].partition(":")[0] for line in error.faults]
        named = [part for k, part in enumerate(self.parts) if k in numbers or part.file in places]
        for part in named or self.parts:
            part.state_more()

    def files(self):
        """Return the files, bytes by name."""
        ground, specimen = self.ground, self.bench.specimen
        document = _document(ground) if ground else Document()
        typed = [part.document.data.get("specimen", {}) for part in self.parts if part.document]
        _put_specimen(document, specimen, ground.specimen if ground else Specimen(), typed)
        files, blocks, used = {}, [], []
        for part in self.parts:
            part.file = self._name(part, files)
            files[part.file] = part.file_bytes(part.file)
            entry = part.origin.entry if _is_from(ground, part.test) else None
            used.append(entry if entry not in used else None)
            blocks.append(part.block(part.file, specimen.batch))
        new = _placed(document, blocks, used)
        for part in self.parts:
            if part.test.apparatus and not document.of("apparatus", part.test.apparatus):
                document.append(part.apparatus())
        for block in new:
            document.append(block)
        _silence(document, self.parts)
        text = str(document)
        if "\r\n" in text:
            text = text.replace("\r\n", "\n").replace("\n", "\r\n")
        begin = BOM if ground and ground.files["bench.toml"].startswith(BOM) else b""
        files["bench.toml"] = begin + encoded(text)
        return files

    def _name(self, part, files):
        """Return the name under which the readings of a test are written: its old one where it can still hold them."""
        had = self.ground.files if self.ground else {}
        taken = {name.lower() for name in files}
        origin = part.origin
        if origin is not None and not part.plain_file:
            name, whole = origin.file, part.is_whole
            raw = origin.bench.files[name]
            free = name.lower() not in taken and had.get(name, raw) == raw
            if whole and part.keeps(name) and (free or files.get(name) == raw):
                return name
            if not whole and free and (_is_from(self.ground, part.test) or origin.bench.on_disk):
                return name
        taken |= {name.lower() for name in had}
        stem = file_stem(part.test.kind, part.test.label)
        names = [f"{stem}.csv", *(f"{stem}-{k}.csv" for k in range(2, 1000))]
        free = (None, part.file_bytes(stem))
        return next(name for name in names if name not in taken and self.stands(name) in free)


def _placed(document, blocks, used):
    """Put each [[test]] into the place of the one it was, by number in `used`; return those that come after the others.

    All of them do where their order is another one.
    """
    old = document.of("test")
    kept = [entry for entry in used if entry is not None]
    in_order = kept == sorted(kept) and kept == used[: len(kept)]
    for entry, block in enumerate(old):
        if entry not in kept:
            document.leave(block, f"test of {shown(block.table()[0].get('file', ''))}")
            continue
        new = blocks[used.index(entry)]
        if in_order:
            new.lead = block.lead
            document.blocks[document.blocks.index(block)] = new
        else:
            new.lead = document.remove(block)
    return blocks[len(kept) :] if in_order else blocks


def _document(origin):
    """Return the document of a folder as it was read; one without headers of its own is written anew with them."""
    text = toml_text(origin.files["bench.toml"])
    if (found := document_of(text)) is not None:
        return found
    comments = re.match(r"(?:[ \t]*(?:#[^\n]*)?\r?\n)*", text)[0]
    return plain_document(tomllib.loads(text.replace("\r\n", "\n")), comments.replace("\r\n", "\n"))


def _silence(document, parts):
    """Make a comment of what no test of an apparatus reads any more, since it would be refused."""
    for place, block in enumerate(document.blocks):
        own = [part for part in parts if block.path == ("apparatus", part.test.apparatus)]
        read = {"note", "unusual"}.union(*({*part.form.dimension_names()} - part.idle for part in own))
        idle = [key for key in block.table()[0] if key not in read] if own else []

        def change(table, idle=idle):
            for key in idle:
                typed = " ".join(table.pop(key).as_string().split())
                table.add(tomlkit.comment(f"{key} = {typed}   (read by no test)"))

        if idle:
            document.blocks[place] = block.edited(change)


def _put_specimen(document, specimen, before, typed):
    """State what differs from a specimen before, as it was typed in one of several tables where that says it."""
    known, changed = before.spreads, differences(specimen, before)
    if "spreads" in changed:
        other = [n for n in {**known, **specimen.spreads} if specimen.spreads.get(n) != known.get(n)]
        changed = [name for name in changed if name != "spreads"] + [n for n in other if n not in changed]
    if not changed:
        return
    if not document.of("specimen"):
        block = block_of(("specimen",), {})
        block.text += "\n" if document.blocks else ""
        document.blocks.insert(0, block)
    place = next(k for k, block in enumerate(document.blocks) if block.path == ("specimen",))
    state = partial(_state_specimen, specimen=specimen, changed=changed, typed=typed)
    document.blocks[place] = document.blocks[place].edited(state)


def _says(name, text, specimen):
    """Say whether a text of a specimen's number says what a specimen holds."""
    found, _ = read_specimen({name: text}, Faults())
    return getattr(found, name) == getattr(specimen, name) and found.spreads.get(name) == specimen.spreads.get(name)


def _state_specimen(table, specimen, changed, typed):
    for name in changed:
        value = getattr(specimen, name)
        empty = value is None or value == "" or value is False
        if empty:
            table.pop(name, None)
        elif words := [t[name] for t in typed if name in QUANTITIES and name in t and _says(name, t[name], specimen)]:
            table[name] = words[0]
        elif name == "water_content" and name not in specimen.spreads:
            table[name] = bare_number(value)
        else:
            spread = value * specimen.spreads[name] if name in specimen.spreads else None
            if name in QUANTITIES:
                text = with_unit(value, QUANTITIES[name].unit, spread)
                value = as_typed(table.get(name), text, partial(_says, name, specimen=specimen))
            table[name] = value
        if name == "water_content":
            table.pop("water_basis", None)
            if not empty:
                table["water_basis"] = "dry"
    numbers = {n: getattr(specimen, n) for n in changed if n in QUANTITIES and getattr(specimen, n) is not None}
    spreads = {n: specimen.spreads.get(n, 0.0) * value for n, value in numbers.items()}
    if doubtful := [n for n, value in numbers.items() if doubtful_number(n, value, spreads[n])]:
        table["unusual"] = sorted({*table.get("unusual", []), *doubtful})
