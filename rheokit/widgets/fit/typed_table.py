"""The table of one kind of test to type into: its columns are chosen, and what was typed into one that is put away is kept."""

from itertools import chain

import ipywidgets as W

from ...reading.columns import words_of
from ...reading.forms import UNCERTAINTIES
from ...reading.headers import title_of
from ...reading.template import column_title
from ..page.accessible import name
from ..page.elements import FIELD, WIDE, tick_box
from ..page.hearing import hear

CELL = 112  # px, in which a heading can be read with its unit
NARROW = {"flex": f"1 1 {CELL}px", "min_width": "0"}


class TypedTable:
    """Headings and cells of a kind of test.

    Parameters
    ----------
    form : Form
        Of the kind.
    rows : int
        To begin with.
    changed : callable
        Called when columns were chosen.
    reads : callable
        Returns the name of the column that was read, of which an uncertainty is.
    heard : callable
        Called after every change of what is chosen or typed.

    Attributes
    ----------
    ways : dict of str to Dropdown
        How each column that can be given in several ways is given.
    ticks : dict of str to Checkbox
        The columns that may be added.
    """

    def __init__(self, form, rows, changed, reads, heard):
        self._form, self._count, self._reads, self._heads, self._cells = form, rows, reads, {}, {}
        self._heard = heard
        self._uncertain = ""  # the heading that was given to an uncertainty
        required = form.required_columns()
        self.ways = {target: self._way(target) for target in required if form.ways.get(target)}
        others = [column for column, item in form.columns.items() if not item.required]
        self.ticks = {column: tick_box(words_of(column)) for column in (*others, *UNCERTAINTIES)}
        for box in self.ticks.values():
            box.layout = W.Layout(width="auto", margin="0 12px 0 4px")
        for control in (*self.ways.values(), *self.ticks.values()):
            hear(control, changed)
            hear(control, heard)

    def _way(self, target):
        inputs = [(target,), *(tuple(way.inputs) for way in self._form.ways[target])]
        options = [(" and ".join(map(words_of, names)), names) for names in inputs]
        return W.Dropdown(
            options=options, description=f"{words_of(target)} typed as", style=WIDE, layout=W.Layout(**FIELD)
        )

    @property
    def typed_as(self):
        """Names of the columns that are typed, by what they give."""
        return {target: way.value for target, way in self.ways.items()}

    def retitle(self):
        """Let the heading of an uncertainty be that of the column that was read, unless it was changed."""
        head, before = self._heads.get("uncertainty"), self._uncertain
        if head is not None and head.value == before:
            head.value = self._title("uncertainty")

    @property
    def names(self):
        """Names of the columns that are shown."""
        required = self._form.required_columns()
        shown = [one for target in required for one in (self.ways[target].value if target in self.ways else (target,))]
        return [*shown, *(column for column, box in self.ticks.items() if box.value)]

    @property
    def heads(self):
        """Their headings, a `Text` each."""
        return [self._head(column) for column in self.names]

    @property
    def cells(self):
        """Rows of their cells, a `Text` each."""
        return [list(row) for row in zip(*map(self._column, self.names), strict=True)]

    @property
    def rows(self):
        """What is typed into its rows."""
        return [[cell.value.strip() for cell in row] for row in self.cells]

    @property
    def put_away(self):
        """Words of the columns that hold something and are not shown."""
        return [
            words_of(one) for one, cells in self._cells.items() if one not in self.names and any(map(_typed, cells))
        ]

    @property
    def typed(self):
        """What is chosen of its columns, and the headings and cells of those that hold something: words, as they are kept."""
        holding = {
            column: texts for column, cells in self._cells.items() if any(texts := [cell.value for cell in cells])
        }
        return {
            "ways": {target: list(names) for target, names in self.typed_as.items()},
            "ticks": [column for column, box in self.ticks.items() if box.value],
            "heads": {column: self._heads[column].value for column in holding if column in self._heads},
            "cells": holding,
        }

    def put_back(self, typed):
        """Let stand in it what was typed, and nothing else; what it has no place for, as an older rheokit may have had, is passed over."""
        self.clear()
        for target, names in typed["ways"].items():
            if target in self.ways and tuple(names) in [value for _, value in self.ways[target].options]:
                self.ways[target].value = tuple(names)
        for column, box in self.ticks.items():
            box.value = column in typed["ticks"]
        self.extend(max(map(len, typed["cells"].values()), default=0))
        _ = self.heads, self.cells  # made, for the columns that are shown
        for column, texts in typed["cells"].items():
            for cell, text in zip(self._cells.get(column, []), texts, strict=False):
                cell.value = text
        for column, text in typed["heads"].items():
            if column in self._heads:
                self._heads[column].value = text

    def clear(self):
        """Empty every cell, also of the columns that are not shown."""
        for cell in chain.from_iterable(self._cells.values()):
            cell.value = ""

    def extend(self, count):
        """Have so many rows at least."""
        self._count = max(self._count, count)

    def _head(self, column):
        if column not in self._heads:
            self._heads[column] = W.Text(value=self._title(column), layout=W.Layout(**NARROW))
            hear(self._heads[column], lambda: self._name_cells(column))
            hear(self._heads[column], self._heard)
        place = self.names.index(column) + 1
        return name(self._heads[column], f"heading of column {place}, with unit")

    def _title(self, column):
        if column == "relative_uncertainty":
            return title_of(column, "%")
        if column != "uncertainty":
            return column_title(column, self._form)
        read = self._reads()
        self._uncertain = column_title(read, self._form).replace(words_of(read), "uncertainty").removeprefix("gauge ")
        return self._uncertain

    def _column(self, column):
        cells = self._cells.setdefault(column, [])
        while len(cells) < self._count:
            cells.append(W.Text(layout=W.Layout(**NARROW)))
            hear(cells[-1], self._heard)
            self._name_cells(column, len(cells) - 1)
        return cells

    def _name_cells(self, column, first=0):
        """Name the cells of a column, from one on, after its heading as it reads now."""
        for place, cell in enumerate(self._cells.get(column, [])[first:], first + 2):
            name(cell, f"{self._head(column).value.strip() or words_of(column)}, row {place}")


def _typed(cell):
    return cell.value.strip()
