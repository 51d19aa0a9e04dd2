"""One test on its way into a document: its [[test]] and its file as they were typed, and what of it must be stated anew.

A test that was read keeps its own text. Only what would otherwise come back different is stated, in the words in which it was
typed wherever these still say it; what was assumed stays unstated and is assumed again.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ..bench.base import BenchTest
from .choosing import READERS, rows_left
from .compare import differences, same
from .document import Block, Document, block_of, put
from .forms import UNCERTAINTIES, form_of
from .origin import TestOrigin
from .retyping import by_row, is_computed, near, plain_table, retyped
from .still_said import still_said, still_said_uncertainties, typed_dimensions
from .typing_out import (
    AS_SET,
    bare_number,
    dimension_texts,
    dimensions_with_spreads,
    entry_of,
    one_or_all,
    unusual_names,
)

TYPED, IN_UNITS = 1, 2
"""How a dimension is stated: as it was typed where that still says it, or in the unit customary for it."""
BOM = b"\xef\xbb\xbf"


@dataclass(eq=False)
class Part:
    """A test, the dimensions (with how) and other fields that must be stated, and whether file or [[test]] is written anew."""

    test: BenchTest
    document: Document | None = None
    dimensions: dict = field(default_factory=dict)
    fields: set = field(default_factory=set)
    file: str = ""
    plain_file: bool = False
    anew: bool = False

    def __post_init__(self):
        self.form, self.record, self.ways = form_of(type(self.test)), None, {}
        self.groups = self.form.groups()
        self.origin = self.test.origin if isinstance(self.test.origin, TestOrigin) else None
        if self.origin is not None:
            self.record, self.ways = self.origin.record, self.origin.typed.ways
            self.fields |= {*by_row(self.test)} - self.origin.typed.columns.keys()
            # what becomes a column may not stand in the [[test]] as well

    # --- what was typed -----------------------------------------------------------------------------------------

    def apparatus(self):
        """Return the block of its apparatus as it was typed, or an empty one."""
        name = self.test.apparatus
        as_read = self.record is not None and name == self.record.apparatus
        found = self.document.of("apparatus", name) if as_read else []
        return Block("", found[0].text, found[0].path) if found else block_of(("apparatus", name), {})

    @cached_property
    def typed(self):
        """What its folder stated of its dimensions, by key, its [[test]] before its apparatus and its specimen."""
        if self.origin is None:
            return {}
        data = self.document.data
        return typed_dimensions(data, data["test"][self.origin.entry], self.groups)

    @property
    def is_whole(self):
        """Say whether its file is never changed in place: a workbook, an export, or one of which rows were chosen."""
        return self.origin is not None and not self.origin.typed.table.lines

    @cached_property
    def fewer_rows(self):
        """Its rows as the key `rows` names them, where it is nothing but some rows of a file that is chosen from; else ""."""
        return rows_left(self.test, self.document.data["test"][self.origin.entry]) if self.is_whole else ""

    def keeps(self, file):
        """Say whether a file is the one it was read from, and stays as it was, whatever of it counts."""
        same = self.is_whole and not self.plain_file and file == self.origin.file
        return same and not (self.readings.changed and not self.fewer_rows)

    def _borrowed(self):
        """Return what it needs and nobody stated: another test of its folder measures it, and will be asked again."""
        if self.record is None:
            return set()
        needed = {n for n, item in self.form.dimensions.items() if item.required} | self.origin.typed.given()
        return {name for name in needed if not self._was_typed(name)} - self.differing(self.record)

    def _was_typed(self, name):
        return any(key in self.typed for key in self.groups[name])

    def _lent(self):
        """Return what its columns were computed with, that is no dimension of its own, and that its folder stated: a density."""
        if self.origin is None or self.plain_file:
            return {}
        used = self.origin.typed.given()
        return dict.fromkeys(self.typed.keys() & used - self.form.dimensions.keys(), TYPED)

    def differing(self, other):
        """Return the names of the dimensions in which another record differs, its standard uncertainty counted."""
        ours, theirs = dimensions_with_spreads(self.test), dimensions_with_spreads(other)
        return {name for name in ours if not all(map(same, ours[name], theirs[name]))}

    @cached_property
    def readings(self):
        """Its `Retyped` file of readings."""
        return retyped(self.test)

    @property
    def idle(self):
        """What counts for none of the columns that its file will hold."""
        plain = self.origin is None or self.plain_file
        return self.form.idle({} if plain else self.origin.typed.inputs())

    # --- what it becomes ----------------------------------------------------------------------------------------

    def block(self, file, batch):
        """Return its [[test]], with the name of its file, and the batch that the specimen lends."""
        if self.origin is None or self.anew:
            block = block_of(("test",), entry_of(self.test, file, batch, whole=self.anew))
        else:
            block = self.document.of("test")[self.origin.entry]
        table, _ = block.table()
        anew = self.plain_file or (self.is_whole and not self.keeps(file))
        idle = [key for key in READERS if key in table and anew]
        chosen = self.fewer_rows if self.keeps(file) and self.readings.changed else ""
        idle += [key for key in ("runs", "branch") if key in table and chosen]
        idle += [key for key in self.idle if key in table]
        unusual = self._unusual(table)
        as_text = self.origin is not None and not self.plain_file and not self.keeps(file)
        stated = {key: table[key] for key in READERS if key in table and key not in idle}
        signs = self.readings.signs(stated) if as_text and self.readings.changed else {}
        stays = not (idle or chosen or unusual or signs or self.dimensions or self.fields or self._computed)
        if stays and table.get("file") == file:
            return replace(block)

        def change(entry):
            if entry.get("file") != file:
                entry["file"] = file
            for key in idle:
                del entry[key]
            entry.update(signs)
            if chosen:
                entry["rows"] = chosen
            self._state_dimensions(entry)
            self._state_fields(entry)
            if unusual:
                entry["unusual"] = sorted({*entry.get("unusual", []), *unusual})

        return block.edited(change)

    @property
    def _computed(self):
        """True where its [[test]] states uncertainties of columns that its new file has not."""
        return self.plain_file and is_computed(self.test)

    def _unusual(self, table):
        """Return the names of unlikely values that were not declared to be so."""
        names = set(unusual_names(self.test))
        if self.origin is not None and not self.anew and not self.dimensions:
            names -= set(unusual_names(self.record))
        return names - set(table.get("unusual", []))

    def _state_dimensions(self, entry):
        texts = dimension_texts(self.test)
        changed = self.dimensions if self.record is None else self.differing(self.record)
        for name, how in self.dimensions.items():
            group = self.groups[name]
            own, new = ({k: v[k] for k in group if k in v} for v in (self.typed, texts))
            if name not in changed and how == TYPED:
                optional = name in self.form.dimensions and not self.form.dimensions[name].required
                chosen = own or ({name: "none"} if optional else new)
            elif how == IN_UNITS:
                chosen = new
            else:
                blank = None if "±" in str(own) else ""  # an uncertainty that was not stated is not needed now
                chosen = {k: still_said(self.form, k, own.get(k, blank), text, blank) for k, text in new.items()}
            for key in group:
                if key in entry and key not in chosen:
                    del entry[key]
            for key, text in chosen.items():
                put(entry, key, text)

    def _state_fields(self, entry):
        test = self.test
        if self.fields & {*UNCERTAINTIES} or self._computed:
            typed = entry.get("uncertainty", [])
            if texts := still_said_uncertainties(test, self.form, typed if isinstance(typed, list) else [typed]):
                entry["uncertainty"] = one_or_all(texts)
            else:
                entry.pop("uncertainty", None)
        if "model_error" in self.fields:
            entry["model_error"] = bare_number(test.model_error)
            entry["model_error_reason"] = AS_SET
        for name in sorted(self.fields & {"apparatus", "label", "error", "batch", *self.form.choices}):
            entry[name] = getattr(test, name)
            if name in ("apparatus", "label") and not entry[name]:
                del entry[name]

    def file_bytes(self, name):
        """Return its file of readings: as it was where nothing in it changed."""
        origin = self.origin
        if origin is None or self.plain_file:
            return plain_table(self.test).encode()
        raw = origin.bench.files[origin.file]
        if self.is_whole:
            return raw if self.keeps(name) else self.readings.text.encode()
        return (BOM if raw.startswith(BOM) else b"") + self.readings.text.encode()

    # --- what reading it back tells -----------------------------------------------------------------------------

    def learn(self, got):
        """Take from the record that was read back what else must be stated; say whether it was another one."""
        wrong, assembly = set(differences(self.test, got)), self.form.kind.assembly
        held = {*(f"{name}_uncertainty" for name in self.form.shares), *(assembly.fields if assembly else ())}
        assumed = not (self.origin is None or self.origin.model_error_stated or got.origin.model_error_stated)
        if assumed and self.test.model_error == self.record.model_error:  # and is again, of what the folder then states
            wrong.discard("model_error")
        if not self.plain_file and self.origin is not None and len(got.readings) == len(self.test.readings):
            ways = got.origin.typed.ways
            wrong -= {name for name in ways if np.all(near(getattr(got, name), getattr(self.test, name)))}
        if (borrowed := self._borrowed()) and not self.plain_file:
            wrong -= borrowed | {target for target, way in self.ways.items() if borrowed & set(way.given)}
            if self.differing(got) <= borrowed:  # what its parts are put together to differs with them alone
                wrong -= held
        if not wrong:
            return False
        before = (dict(self.dimensions), set(self.fields), self.plain_file)
        for name in self.differing(got) - borrowed:
            self.dimensions[name] = min(self.dimensions.get(name, 0) + 1, IN_UNITS)
        columns = {*self.test.columns, *got.columns, "censored"}
        if wrong & columns and self._lent():  # of another density
            self.dimensions = self._lent() | self.dimensions
        if self.dimensions == before[0]:  # else columns computed from a dimension differ with it
            arrays = {n for n in UNCERTAINTIES if np.ndim(getattr(got, n)) or np.ndim(getattr(self.test, n))}
            self.plain_file |= bool(wrong & (columns | arrays))
        self.fields |= wrong - held - set(self.form.dimensions) - columns
        if before == (self.dimensions, self.fields, self.plain_file):
            self.state_more()
        return True

    def state_more(self):
        """State every dimension that was typed, then every one, then write file and [[test]] anew."""
        every = dict.fromkeys(dimensions_with_spreads(self.test), IN_UNITS if self.origin is None else TYPED)
        borrowed = self._borrowed()
        own = {n: how for n, how in every.items() if n in borrowed or self._was_typed(n)} | self._lent()
        for wanted in (own, every):
            if not wanted.keys() <= self.dimensions.keys():
                self.dimensions = wanted | self.dimensions
                return
        self.begin_anew()

    def begin_anew(self):
        """State everything, without a word from before."""
        self.anew = self.plain_file = True
        self.dimensions = {}
