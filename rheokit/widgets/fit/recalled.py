"""A test of a folder as the form would hold it, to be corrected there; refused where something of it would be lost."""

import tomllib
from itertools import chain
from typing import NamedTuple

from ...errors import DataError
from ...reading import joined
from ...reading.columns import words_of
from ...reading.compare import differences
from ...reading.forms import UNCERTAINTIES, form_of
from ...reading.origin import TestOrigin
from ...reading.still_said import typed_dimensions
from ...reading.tables import text_of
from ...reading.template import table_text
from .typed_bench import typed_bench, typed_files

MOST_ROWS = 200
"""Of a table that is shown as fields."""
OF_FORM = {"kind", "file", "separator", "decimal", "apparatus", "label", "uncertainty"}
"""What the form states of every test."""


class Recalled(NamedTuple):
    """A test in the words of the form: its kind, what is stated of it by key, and its table as `TypedTable.put_back` takes it."""

    kind: str
    stated: dict
    table: dict

    @property
    def _typed(self):
        heads, columns = self.table["heads"], self.table["cells"]
        rows = [list(row) for row in zip(*columns.values(), strict=True)]
        return self.kind, [heads[name] for name in columns], rows, self.stated

    def bench(self, lent):
        """Return the bench that the form would make of it, with what the open bench lends."""
        *typed, stated = self._typed
        return typed_bench(*typed, stated, {key: text for key, text in lent.items() if not stated.get(key, "-")})

    @property
    def files(self):
        """The files that the form would write."""
        return typed_files(*self._typed)


def recalled(test):
    """Return a test of a folder as `Recalled`.

    Raises
    ------
    DataError
        Where the form has no place for something of it, in words that go on after the name of the test.
    """
    if not isinstance(test.origin, TestOrigin):
        raise DataError("it was not read from a folder")
    return Recalled(test.kind, _stated(test), _table(test))


def to_correct(bench, test, lent):
    """Return a test of a bench as `Recalled`, whose readings the form would put in its place as they are; `lent` is what the bench lends.

    Raises
    ------
    DataError
        As `recalled`, and where a number would be another one.
    """
    found = recalled(test)
    others = [one for one in bench.tests if one is not test]
    anew = joined(bench, found.bench(lent), test, over=False).tests
    if any(differences(*pair) for pair in zip([*others, test], anew, strict=True)):
        raise DataError("some of its numbers would be others")
    return found


def wrote(test):
    """Say whether the form wrote the table of a test."""
    try:
        files, origin = recalled(test).files, test.origin
    except DataError:
        return False
    return origin.bench.files[origin.file] in files.values()


def _stated(test):
    form, data = form_of(type(test)), tomllib.loads(text_of(test.origin.toml))
    entry = data["test"][test.origin.entry]
    choices = {name for name, field in form.choices.items() if field.metadata.get("options") or name == "read"}
    names = {*form.dimension_names()} - {"nozzle"}
    dimensions = typed_dimensions(data | {"specimen": {}}, entry, form.groups())
    if strange := sorted((entry.keys() - OF_FORM - choices - names) | (dimensions.keys() - names)):
        raise DataError(f"it states {', '.join(map(words_of, strange))}, for which the form has no field")
    errors = entry.get("uncertainty", [])
    chosen = {key: entry[key] for key in ("apparatus", "label", *choices) if key in entry}
    stated = dict.fromkeys(names, "") | dimensions | chosen
    return {key: str(value) for key, value in stated.items()} | {
        "uncertainty": "; ".join(errors) if isinstance(errors, list) else str(errors)
    }


def _table(test):
    form, typed = form_of(type(test)), test.origin.typed
    table, columns = typed.table, sorted(typed.columns.items(), key=lambda one: one[1].place)
    if not table.lines:
        raise DataError("its readings stand in a spreadsheet, or in the file of an instrument")
    made = {line.strip() for line in table_text(form).splitlines()}  # comments of a table to fill in are no loss
    if any(line.lstrip().startswith("#") and line.strip() not in made for line in table.lines):
        raise DataError("its table holds comments, for which the form has no place")
    if [column.place for _, column in columns] != list(range(len(table.header))):
        raise DataError("its table holds columns that are passed over")
    last = int(table.rows.numbers[-1]) - table.header_row
    if last > MOST_ROWS:
        raise DataError(f"its table has {last} rows; the form shows {MOST_ROWS} at most")
    ways = {
        target: list(typed.ways[target].inputs) if target in typed.ways else [target]
        for target in form.required_columns()
    }
    added = [name for name, _ in columns if name not in chain.from_iterable(ways.values())]
    optional = {name for name, item in form.columns.items() if not item.required}.union(UNCERTAINTIES)
    if strange := [name for name in added if name not in optional]:
        raise DataError(f"its table gives {', '.join(map(words_of, strange))} in a way that the form does not ask for")
    cells = {name: [""] * last for name, _ in columns}
    for row in table.rows:
        for (name, _), text in zip(columns, row.cells, strict=False):
            cells[name][row.number - table.header_row - 1] = text
    heads = {name: table.header[column.place] for name, column in columns}
    return {"ways": ways, "ticks": added, "heads": heads, "cells": cells}
