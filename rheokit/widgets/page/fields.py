"""Fields of a panel by key, and small tables to type into; what is no number is said by its place, what is empty is not known."""

from itertools import zip_longest
from types import MappingProxyType

import ipywidgets as W

from ...errors import DataError
from .accessible import JUDGED, name
from .elements import WIDE, Message
from .hearing import hear, hear_press
from .number_field import TypedText
from .typed_numbers import FREE, number_typed, plain, unit_of


def lacking(asked):
    """Return the words of every field and table that is empty; one that holds what cannot be is refused."""
    unknown = []
    for one in asked:
        if one.is_known:
            one.read()
        else:
            unknown.append(one.words)
    return unknown


class Values:
    """The numbers of fields by key, each asked of its field when it is needed."""

    def __init__(self, fields):
        self._fields = fields

    def __getitem__(self, key):
        return self._fields[key].value


def choice(words, options, changed=None, value=None, width="auto"):
    """Return a drop-down: of texts, or of (text, what it stands for); the first is chosen where no value is given."""
    control = W.Dropdown(options=list(options), description=words, style=WIDE)
    control.layout = W.Layout(width=width, max_width="460px")
    if value is not None:
        control.value = value
    if changed:
        hear(control, changed)
    return control


ANY = 1.05  # an example of a number of any size
FILLS = {"flex": "1 1 0", "width": "auto", "min_width": "0"}


class Grid(W.VBox):
    """A table to type into.

    Parameters
    ----------
    title : str
        For messages: "Readings".
    heads : sequence of str
        Of the columns, with units; one that ends in "?" is a tick box.
    rows, texts : int
        The least number of rows; how many columns, from the left, hold text.
    changed : callable
    words : str
        What is not known while it is empty.
    bounds : mapping of str to Bounds
        Of numbers, by the head of their column.
    examples : mapping of str to float
        Of numbers that could be typed, by the head of their column.
    """

    def __init__(
        self, title, heads, rows, changed, texts=0, words="", bounds=MappingProxyType({}), examples=MappingProxyType({})
    ):
        self.title, self.heads, self._heard, self._texts, self._quiet = title, heads, [changed], texts, False
        self.words, self.bounds, self.examples, self.note = words or title, bounds, examples, Message()
        self.cells, self._least = [], rows
        self._held = []  # each cell in a box, which is marked in its place: a cell that is told anything forgets what is being typed into it
        self.more = W.Button(description="Add a row", layout=W.Layout(width="auto"))
        name(self.more, f"Add a row to {title.lower()}")
        hear_press(self.more, lambda: self._extend(len(self.cells) + 1))
        super().__init__([], layout=W.Layout(width="100%", max_width="560px"))
        self.add_class(JUDGED)
        self._extend(rows)

    def _extend(self, count):
        while len(self.cells) < count:
            row = [W.Checkbox(indent=False) if head.endswith("?") else TypedText(layout=FILLS) for head in self.heads]
            for head, cell in zip(self.heads, row, strict=True):
                hear(cell, self.tell)
                name(cell, f"{self.title}, {head.rstrip('?')}, row {len(self.cells) + 1}")
            self.cells.append(row)
            self._held.append([W.Box([cell], layout=W.Layout(overflow="visible")) for cell in row])
        heads = [W.HTML(f"<p>{head.rstrip('?')}</p>") for head in self.heads]
        for row in [heads, *self._held]:
            for place, held in enumerate(row):
                held.layout.flex, held.layout.min_width = "3 1 116px" if place < self._texts else "1 1 56px", "0"
        head, *rows = (W.HBox(row, layout=W.Layout(width="100%")) for row in [heads, *self._held])
        self.children = [
            head.add_class("grid-head"),
            *(row.add_class("grid-row") for row in rows),
            self.note,
            self.more,
        ]

    def tell(self):
        """Judge the cells, and tell who hears of changes."""
        if not self._quiet:
            self.judge()
            for act in self._heard:
                act()

    def heard(self, act):
        """Call `act`, without arguments, after every change."""
        self._heard.append(act)

    def judge(self):
        """Mark the cells that cannot be, and say below the table why."""
        wrong = []
        for place, (cells, boxes) in enumerate(zip(self.cells, self._held, strict=True), 1):
            used = _is_used(cells)
            for column, (cell, held) in enumerate(zip(cells, boxes, strict=True)):
                fault = self.fault(cell.value, place, column) if used else ""
                wrong += [fault] if fault else []
                (held.add_class if fault else held.remove_class)("wrong")
        self.note.complain("\n".join(wrong))

    def fault(self, value, row, column):
        """Return why a cell of a row and a column cannot hold a value; nothing where it can."""
        try:
            self._read(value, row, column)
        except DataError as wrong:
            return str(wrong)
        return ""

    def fill(self, rows):
        """Put rows into the table in place of what was there, without telling anybody."""
        self._extend(max(len(rows), self._least))
        self._write(rows[place] if place < len(rows) else () for place in range(len(self.cells)))

    def _write(self, rows):
        """Put rows into the cells; a row of nothing empties them."""
        self._quiet = True
        for cells, row in zip(self.cells, rows, strict=True):
            for cell, given in zip_longest(cells, row, fillvalue=""):
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
        return [
            tuple(self._read(cell.value, place, column) for column, cell in enumerate(cells))
            for place, cells in enumerate(self.cells, 1)
            if _is_used(cells)
        ]

    def _read(self, value, row, column):
        if isinstance(value, bool):
            return value
        head, text = self.heads[column], value.strip()
        where = f"{self.title}, row {row}, {head}"
        if column >= self._texts:
            bounds, example = self.bounds.get(head, FREE), self.examples.get(head, ANY)
            return number_typed(text, where, unit_of(head), plain(example, 3), bounds)
        if not text:
            raise DataError(f"{where}: is empty; give it a name.")
        return text

    read = rows

    @property
    def holds(self):
        """Whether anything is typed."""
        return bool(self.typed())

    @property
    def is_known(self):
        """Whether anything is typed, for nothing counts in its place."""
        return self.holds

    def forget(self, rows):
        """Empty the rows that hold what these rows say, without telling anybody."""
        kept = (
            [] if self.says(place, rows) else [cell.value for cell in cells] for place, cells in enumerate(self.cells)
        )
        self._write(kept)

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
