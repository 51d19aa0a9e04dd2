"""One [[test]] of bench.toml with its apparatus, its specimen and its table, to a draft of its record."""

from dataclasses import dataclass, field, replace

import numpy as np

from ..bench import KINDS
from ..errors import DataError
from ..laws.condition_words import CONDITIONS
from ..nomenclature import QUANTITIES
from ..things import nearest
from .choosing import with_runs
from .columns import Typed, read_columns
from .dimensions import Dimensions, nozzle_of, read_dimensions, write_it
from .faults import listed, name_fault, shown, unusual_in
from .forms import TEST_KEYS, Form, form_of
from .guards import NEVER_ABOVE, doubt, tell_unknown
from .headers import is_pressure, words_of
from .origin import FileRows
from .stated import stated_number
from .uncertainties import read_uncertainties


@dataclass(frozen=True)
class Draft:
    """A test as far as a folder tells it, ready to become a record."""

    form: Form
    entry: int
    file: str
    where: str
    dimensions: Dimensions
    typed: Typed
    fields: dict = field(default_factory=dict)
    model_error: float | None = None

    def record(self, changed=None, **more):
        """Return the record, with some dimensions `changed` (SI by name) and `more` of its fields."""
        values = self.dimensions.values | (changed or {})
        form, typed = self.form, self.typed
        given = {name: values[name] for name in form.dimensions if name in values}
        if assembly := form.kind.assembly:
            parts = {name: given.pop(name) for name in assembly.dimensions}
            given |= assembly.build(parts | {"nozzle": nozzle_of(values)})
        given |= {name: typed.values[name] for name in form.columns if name in typed.values}
        for target, way in typed.ways.items():
            columns = {name: typed.values[name] for name in way.inputs}
            given[target] = way.compute(**columns, **{name: values[name] for name in way.given})
        numbers = FileRows(typed.table.rows.numbers)
        return form.kind(**(given | self.fields | {"censored": typed.censored, "origin": numbers} | more))

    def with_fields(self, **fields):
        """Return the draft with more fields of its record."""
        return replace(self, fields=self.fields | fields)

    @property
    def reads(self):
        """The column that was read."""
        return self.fields.get("read", self.form.kind.reads)

    @property
    def absolute(self):
        """True where its file gives a pressure as absolute."""
        return any(is_pressure(name) and column.scale.offset for name, column in self.typed.columns.items())


def read_entry(number, entry, apparatus, specimen, table_of, faults):
    """Return the `Draft` of a [[test]] by its number from 0, or None where faults leave none.

    `apparatus` holds every table by name, `specimen` the numbers that it lends, such as its density. `table_of` takes the entry
    and where it stands, and returns file name and `Table`, or None for a table that cannot be read.
    """
    where, before = f"bench.toml, [[test]] {number + 1}", len(faults)
    file, table = table_of(entry, where)
    kind = entry.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        given = f"kind = {shown(kind)} is not known{nearest(str(kind), KINDS)}"
        if "kind" not in entry:
            alike = next((key for key in entry if key.lower() in ("kind", "kinds", "type", "test")), "")
            given = "kind is missing" + (f"; is {shown(alike)} meant to be it?" if alike else "")
        faults.add(where, f"{given}; the kinds are {listed(map(repr, KINDS))}")
        return None
    form = form_of(KINDS[kind])
    _check_keys(form, entry, where, faults)
    stand = _apparatus(entry, apparatus, where, faults)
    unusual = _unusual(form, (stand, entry), where, faults)
    name = entry.get("apparatus")
    tables = ((f"bench.toml, [apparatus.{name}]", stand), (where, entry))
    if isinstance(name, str) and name not in apparatus:
        return None
    dimensions = read_dimensions(form, tables, specimen, unusual, faults)
    fields = _choices(form, entry, where, faults)
    reads = column_read(form, fields)
    ambient = _number("ambient_pressure", entry, "Pa", where, unusual, faults)
    model_error = _model_error(entry, where, faults)
    typed = read_columns(form, table, file, reads, faults, ambient, unusual) if table else None
    if typed and len(faults) == before:
        typed = with_runs(typed, reads, entry, where, faults)
    fields |= read_uncertainties(form, entry, typed, dimensions.values, reads, where, unusual, faults)
    fields |= _conditions(entry, typed, where, unusual, faults)
    if typed is None or len(faults) > before:
        return None
    for key in sorted(form.idle(typed.inputs()) & entry.keys()):
        faults.add(where, f"{key} = {shown(entry[key])} {idle(form, key)}")
    draft = Draft(form, number, file, where, dimensions, typed, fields, model_error)
    return _checked(draft, unusual, faults) if _complete(draft, specimen, faults) else None


def idle(form, key):
    """Return in words that a key counts for no column of a file, and what to do."""
    (way,) = (way for ways in form.ways.values() for way in ways if key in way.given)
    given = listed(map(words_of, way.inputs))
    return f"counts for a column of {given} alone, and there is none: take it out, or head the column {given} if it is that"


def column_read(form, entry):
    """Return the name of the column that a [[test]] says was read, the first one of its kind where it says nothing valid."""
    reads = entry.get("read", form.kind.reads)
    return reads if isinstance(reads, str) and reads in form.columns else form.required_columns()[0]


def _check_keys(form, entry, where, faults):
    known = [*TEST_KEYS, *form.dimension_names(), *form.choices]
    tell_unknown(entry, known, f"is not a key of a {form.kind.kind}", where, faults)
    for key in ("apparatus", "batch", "label", "model_error_reason"):
        if key in entry and (wrong := name_fault(entry[key])):
            faults.add(where, f"{key} = {wrong}")


def _apparatus(entry, apparatus, where, faults):
    name = entry.get("apparatus")
    if isinstance(name, str) and name not in apparatus:
        have = f"there are {listed(map(shown, apparatus))}" if apparatus else "there is none"
        told = f"apparatus = {shown(name)} has no table [apparatus.NAME] in bench.toml"
        faults.add(where, f"{told}; {have}{nearest(name, apparatus)}")
    return apparatus.get(name, {}) if isinstance(name, str) else {}


def _unusual(form, tables, where, faults):
    names, known = [], {*QUANTITIES, *form.dimension_names(), *form.header_names(), *form.choices}
    for table in tables:
        names += (given := unusual_in(table, where, "bore", faults))
        if unknown := [name for name in given if name not in known]:
            hint = nearest(unknown[0], known)
            faults.add(where, f"unusual names {shown(unknown[0])}, which is no number of a {form.kind.kind}{hint}")
    return names


def _number(name, entry, unit, where, unusual, faults):
    if name not in entry:
        return None
    try:
        stated = stated_number(entry[name], unit, name)
    except DataError as error:
        faults.add(where, f"{name} = {error}")
        return None
    if stated.uncertainty is not None:
        faults.add(where, f"{name} = {shown(stated.text)} is taken without an uncertainty of its own; take ± away")
    if (why := doubt(name, stated.value)) and name not in unusual:
        faults.add(where, f"{name} = {shown(stated.text)} {why}")
    return stated.value


def _conditions(entry, typed, where, unusual, faults):
    """Return temperature, water content and age that a [[test]] states for all its rows, by name."""
    stated = [name for name in CONDITIONS if name in entry]
    for name in stated:
        if typed is not None and name in typed.values:
            faults.add(where, f"{name} stands here and as a column of its file; take one of them away")
    units = {name: QUANTITIES[name].unit for name in stated}
    return {name: _number(name, entry, unit, where, unusual, faults) for name, unit in units.items()}


def _choices(form, entry, where, faults):
    fields = {}
    for name in form.choices:
        readable = form.required_columns()
        if name == "read" and entry.get(name) not in readable:
            words = " or ".join(f'read = "{column}"' for column in readable)
            given = f"read = {shown(entry[name])}: " if entry.get(name) else ""
            faults.add(where, f"{given}which column was read, the other being set? write {words}")
        elif name in entry:
            fields[name] = entry[name]
    return fields | {name: entry[name] for name in ("apparatus", "batch", "label", "error") if name in entry}


def _model_error(entry, where, faults):
    if "model_error" not in entry:
        if "model_error_reason" in entry:
            faults.add(where, "model_error_reason stands without model_error; write both or none")
        return None
    if not str(entry.get("model_error_reason", "")).strip():
        faults.add(where, 'model_error is stated without its reason; write model_error_reason = "..." beside it')
    size = _number("model_error", entry, "-", where, (), faults)
    if size is not None and not 0 <= size < 2:
        faults.add(where, f"model_error = {size:g} must be 0 to 2: the standard deviation of the ln of the stress")
    return size


def _checked(draft, unusual, faults):
    """Return the draft if its record can be made; what speaks against it goes to the faults, with the row."""
    rows, before = draft.typed.table.rows, len(faults)
    reads = draft.form.kind.reads
    above = NEVER_ABOVE.get(reads)
    if above in draft.dimensions.values and reads not in unusual:
        for k in np.flatnonzero(np.asarray(draft.typed.values.get(reads, [])) > draft.dimensions.values[above]):
            cell = rows[k].cells[draft.typed.columns[reads].place] if reads in draft.typed.columns else ""
            told = f"{shown(cell)}: the {reads}" if cell else f"the {reads}"
            words = f"{told} is larger than the {words_of(above)}; is that the unit, or are the two swapped?"
            faults.add(f"{draft.file}, row {rows[k].number}", words)
        if len(faults) > before:
            return None
    try:
        absolute = draft.fields.get("error") == "absolute" or draft.form.kind.gives
        empty = draft.fields.get("uncertainty") is None and not absolute
        record = draft.record(uncertainty=1.0) if empty else draft.record()
    except DataError as error:
        faults.add(f"{draft.file}, {draft.where}", str(error))
        return None
    for k in np.flatnonzero((record.readings == 0) & empty):
        remedy = "state the uncertainty in its unit, or the least that could be seen, such as <2"
        faults.add(f"{draft.file}, row {rows[k].number}", f"{record.reads} is 0, which has no relative error; {remedy}")
    return draft if len(faults) == before else None


def _complete(draft, specimen, faults):
    """Say whether the dimensions are known that the test and its columns need; those of the columns go to the faults."""
    ready = all(name in draft.dimensions.values for name, item in draft.form.dimensions.items() if item.required)
    for target, way in draft.typed.ways.items():
        for name in way.given:
            if draft.dimensions.values.get(name) is not None:
                continue
            ready = False
            if name in specimen:  # faulty, and told where it stands
                continue
            told = f"{words_of(target)} from {' and '.join(map(words_of, way.inputs))} needs {name}"
            faults.add(draft.where, f"{told}: {QUANTITIES[name].meaning}; {write_it(name, QUANTITIES[name].unit)}")
    return ready
