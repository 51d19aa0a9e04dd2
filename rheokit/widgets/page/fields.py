"""Fields of a panel by key, and small tables to type into; what is no number is said by its place, what is empty is not known."""

from collections.abc import Mapping
from types import MappingProxyType

import ipywidgets as W

from ...errors import DataError
from .accessible import name
from .hearing import hear, hear_press
from .number_field import TypedText
from .parts import WIDE, Message
from .typed_numbers import FREE, number_typed, unit_of


def lacking(asked):
    """Return the words of every field and table that is empty; one that holds what cannot be is refused."""
    unknown = []
    for one in asked:
        if one.holds:
            one.read()
        else:
            unknown.append(one.words)
    return unknown


class Values(Mapping):
    """The numbers of fields by key, each asked of its field when it is needed."""

    def __init__(self, fields):
        self._fields = fields

    def __getitem__(self, key):
        return self._fields[key].value

    def __iter__(self):
        return iter(self._fields)

    def __len__(self):
        return len(self._fields)


def choice(words, options, changed):
    """Return a choice among texts."""
    control = W.Dropdown(
        options=list(options), description=words, style=WIDE, layout=W.Layout(width="auto", max_width="460px")
    )
    hear(control, changed)
    return control


class Grid(W.VBox):
    """A table to type into.

    Parameters
    ----------
    title : str
        For messages: "Readings".
    heads : sequence of str
        Of the columns, with units; one that ends in "?" is a tick box, the first may be a text.
    rows : int
        At least so many.
    changed : callable
    texts : int
        How many columns, from the left, hold text.
    words : str
        What is not known while it is empty.
    bounds : mapping of str to Bounds
        Of numbers, by the head of their column.
    """

    def __init__(self, title, heads, rows, changed, texts=0, words="", bounds=MappingProxyType({})):
        self.title, self.heads, self._changed, self._texts, self._quiet = title, heads, changed, texts, False
        self.words, self.bounds, self.note = words or title, bounds, Message()
        self.cells, self._least = [], rows
        self.more = W.Button(description="Add a row", layout=W.Layout(width="auto"))
        name(self.more, f"Add a row to {title.lower()}")
        hear_press(self.more, lambda: self._extend(len(self.cells) + 1))
        super().__init__([], layout=W.Layout(width="100%", max_width="560px"))
        self._extend(rows)

    def _extend(self, count):
        while len(self.cells) < count:
            row = []
            for place, head in enumerate(self.heads):
                layout = W.Layout(flex="2 1 110px" if place < self._texts else "1 1 60px", min_width="0")
                cell = W.Checkbox(indent=False, layout=layout) if head.endswith("?") else TypedText(layout=layout)
                hear(cell, self._tell)
                row.append(name(cell, f"{self.title}, {head.rstrip('?')}, row {len(self.cells) + 1}"))
            self.cells.append(row)
        heads = [
            W.HTML(
                f"<p>{head.rstrip('?')}</p>",
                layout=W.Layout(flex="2 1 110px" if k < self._texts else "1 1 60px", min_width="0"),
            )
            for k, head in enumerate(self.heads)
        ]
        head, *rows = (W.HBox(row, layout=W.Layout(width="100%")) for row in [heads, *self.cells])
        self.children = [head.add_class("grid-head"), *rows, self.note, self.more]

    def _tell(self):
        if not self._quiet:
            self.judge()
            self._changed()

    def judge(self):
        """Mark the cells that cannot be, and say below the table why."""
        wrong = []
        for place, cells in enumerate(self.cells, 1):
            used = _is_used(cells)
            for column, cell in enumerate(cells):
                fault = self._fault(cell.value, place, column) if used else ""
                wrong += [fault] if fault else []
                (cell.add_class if fault else cell.remove_class)("wrong")
        self.note.complain("\n".join(wrong))

    def _fault(self, value, row, column):
        try:
            self._read(value, row, column)
        except DataError as wrong:
            return str(wrong)
        return ""

    def fill(self, rows):
        """Put rows into the table in place of what was there, without telling anybody."""
        self._quiet = True
        self._extend(max(len(rows), self._least))
        for number_, cells in enumerate(self.cells):
            for place, cell in enumerate(cells):
                given = rows[number_][place] if number_ < len(rows) else ""
                cell.value = bool(given) if isinstance(cell, W.Checkbox) else _shown(given)
        self._quiet = False
        self.judge()

    def rows(self):
        """Return the rows that hold anything: texts, numbers and ticks.

        Raises
        ------
        DataError
            If a cell is missing or no number.
        """
        found = []
        for place, cells in enumerate(self.cells, 1):
            if _is_used(cells):
                found.append(tuple(self._read(cell.value, place, column) for column, cell in enumerate(cells)))
        return found

    def _read(self, value, row, column):
        if isinstance(value, bool):
            return value
        where, text = f"{self.title}, row {row}, {self.heads[column]}", value.strip()
        if column < self._texts:
            if not text:
                raise DataError(f"{where}: is empty; give it a name.")
            return text
        head = self.heads[column]
        return number_typed(text, where, unit_of(head), bounds=self.bounds.get(head, FREE))

    read = rows

    @property
    def holds(self):
        """Whether anything is typed."""
        return bool(self.typed())

    def forget(self, rows):
        """Empty the rows that hold what these rows say, without telling anybody."""
        self._quiet = True
        for place, cells in enumerate(self.cells):
            if self.says(place, rows):
                for cell in cells:
                    cell.value = False if isinstance(cell, W.Checkbox) else ""
        self._quiet = False
        self.judge()

    def says(self, place, rows):
        """Return whether the row at a place holds what that one of these rows says."""
        return place < len(rows) and [cell.value for cell in self.cells[place]] == list(map(_shown, rows[place]))

    def typed(self):
        """Return the rows that hold anything: place and words."""
        return [
            (place, ", ".join(cell.value for cell in cells if isinstance(cell, W.Text)))
            for place, cells in enumerate(self.cells)
            if _is_used(cells)
        ]


def _is_used(cells):
    """Return whether anything is typed into a row."""
    return any(isinstance(cell, W.Text) and cell.value.strip() for cell in cells)


def _shown(value):
    """Return what a cell holds for a given text, number or tick."""
    return f"{value:g}" if isinstance(value, float) else value
