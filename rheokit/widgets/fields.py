"""Fields of a panel by key, and small tables to type into; what is typed is said by row and column when it is no number."""

import math

import ipywidgets as W

from ..errors import DataError
from .accessible import name
from .parts import WIDE, number_field


def number_fields(asked, changed):
    """Return number fields by key.

    Parameters
    ----------
    asked : mapping
        Key to (words with unit, value, least, most).
    changed : callable
        Called without arguments after every change.
    """
    fields = {key: number_field(words, value, low, high) for key, (words, value, low, high) in asked.items()}
    for field in fields.values():
        field.observe(lambda _: changed(), "value")
    return fields


def choice(words, options, changed):
    """Return a choice among texts."""
    control = W.Dropdown(
        options=list(options), description=words, style=WIDE, layout=W.Layout(width="auto", max_width="460px")
    )
    control.observe(lambda _: changed(), "value")
    return control


def slider(words, value, low, high, step, changed, readout=".3f"):
    """Return a slider that answers while it moves."""
    control = W.FloatSlider(value, min=low, max=high, step=step, readout_format=readout, description=words)
    control.style, control.layout = {"description_width": "180px"}, W.Layout(width="auto", max_width="640px")
    control.observe(lambda _: changed(), "value")
    return name(control, words)


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
    """

    def __init__(self, title, heads, rows, changed, texts=0):
        self.title, self.heads, self._changed, self._texts, self._quiet = title, heads, changed, texts, False
        self.cells, self._least = [], rows
        self.more = W.Button(description="Add a row", layout=W.Layout(width="auto"))
        name(self.more, f"Add a row to {title.lower()}")
        self.more.on_click(lambda _: self._extend(len(self.cells) + 1))
        super().__init__([], layout=W.Layout(width="100%", max_width="560px"))
        self._extend(rows)

    def _extend(self, count):
        while len(self.cells) < count:
            row = []
            for place, head in enumerate(self.heads):
                layout = W.Layout(flex="2 1 110px" if place < self._texts else "1 1 60px", min_width="0")
                cell = (
                    W.Checkbox(indent=False, layout=layout)
                    if head.endswith("?")
                    else W.Text(continuous_update=False, layout=layout)
                )
                cell.observe(lambda _: self._tell(), "value")
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
        self.children = [head.add_class("grid-head"), *rows, self.more]

    def _tell(self):
        if not self._quiet:
            self._changed()

    def fill(self, rows):
        """Put rows into the table in place of what was there, without telling anybody."""
        self._quiet = True
        self._extend(max(len(rows), self._least))
        for number_, cells in enumerate(self.cells):
            for place, cell in enumerate(cells):
                given = rows[number_][place] if number_ < len(rows) else ""
                cell.value = (
                    bool(given) if isinstance(cell, W.Checkbox) else f"{given:g}" if isinstance(given, float) else given
                )
        self._quiet = False

    def rows(self):
        """Return the rows that hold anything: texts, numbers and ticks.

        Raises
        ------
        DataError
            If a cell is missing or no number.
        """
        found = []
        for place, cells in enumerate(self.cells, 1):
            typed = [cell.value for cell in cells]
            if any(value.strip() for value in typed if isinstance(value, str)):
                found.append(tuple(self._read(value, place, column) for column, value in enumerate(typed)))
        return found

    def _read(self, value, row, column):
        if isinstance(value, bool):
            return value
        where, text = f"{self.title}, row {row}, {self.heads[column]}", value.strip()
        if column < self._texts:
            if not text:
                raise DataError(f"{where}: is empty; give it a name.")
            return text
        try:
            number_ = float(text.replace(",", "."))
        except ValueError:
            number_ = math.nan
        if not math.isfinite(number_):
            raise DataError(f"{where}: {text!r} is not a number; type one such as 1.05, without its unit.")
        return number_
