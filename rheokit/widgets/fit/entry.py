"""Readings typed into the page: any kind of bench test, asked for by the fields of its record."""

from contextlib import contextmanager

import ipywidgets as W

from ...bench import KINDS
from ...errors import DataError
from ...reading.forms import form_of
from ..page.accessible import JUDGED, ONE_BY_ONE
from ..page.elements import FIELD, WIDE, Message, column, paragraph, press_button, show, side_by_side
from ..page.hearing import hear
from . import typed_words, words
from .refused_fields import RefusedFields
from .stated_fields import StatedFields
from .typed_bench import pasted_rows, typed_bench
from .typed_table import CELL, TypedTable

ROWS = 8


class EntryForm(W.VBox):
    """A form for one bench test, made from the record of its kind. What was typed for one kind is kept while another is shown.

    `use` is called with the typed `Bench` and whether to start a new bench with it, `refused` where what was typed is no bench,
    `mended` when the form no longer says so. `lent` returns what the open bench lends to a test that is added to it without its own,
    texts by dimension. `before` returns the test of a kind and name that was typed into the open bench before, or None: `use` is
    given it as a third where it is to be replaced, and `take_out` where it is to go. Both return in words what was done. `heard` is
    called with the form after every change of it. `above` stands above the fields.

    Attributes
    ----------
    fields : StatedFields
    tables : dict
        All that were ever shown, by kind.
    taken : dict
        What stood in the table of a kind when its test was taken.
    corrects : list or None
        The `mark_of` the test of the open bench whose readings were taken back into the form.
    """

    def __init__(
        self, use, refused=lambda: None, mended=lambda: None, lent=dict, before=lambda *_: None, take_out=lambda _: "",
        heard=lambda _: None, above=(),
    ):  # fmt: skip
        self._use, self._refused, self._mended, self._lent = use, refused, mended, lent
        self._before, self._take_out = before, take_out
        self._is_refused, self._wrong = False, RefusedFields()
        self.kind = W.Dropdown(options=list(KINDS), value="flow curve", description="kind of test", style=WIDE)
        self.message, self.said, self.kept = Message(), W.HTML(), Message()
        self.table = None
        self._taken = {}  # what was said of the test that was taken last, and of no other
        self.tables, self.taken = {}, {}
        self.corrects, self._quiet = None, False
        self._heard = lambda: None if self._quiet else heard(self)
        self.fields, self._grid = (
            StatedFields(self._reread, self._heard),
            W.VBox(layout=W.Layout(width="100%")).add_class("scrolls"),
        )
        self._columns = W.VBox(layout=W.Layout(width="100%"))
        self.paste = W.Textarea(placeholder="rows copied from a spreadsheet", description="paste rows", style=WIDE)
        self.paste.layout = W.Layout(**FIELD)
        self.more = press_button("Add a row", lambda: self._rows(len(self.cells) + 1))
        self.fill = press_button("Put pasted rows below those of the table", self._fill)
        self.empty = press_button("Empty the table", self._empty)
        self.start = press_button("Start a new bench with this test", lambda: self._hand_over(True))
        self.add = press_button("Add this test to the open bench", lambda: self._hand_over(False))
        self.replace = press_button(typed_words.IN_PLACE, lambda: self._hand_over(False, self._typed_before))
        self.remove = press_button(typed_words.TAKE_OUT, self._remove)
        self.done = Message()  # what was taken, or taken out
        hear(self.kind, self._ask)
        self._ask()
        hear(self.stated["label"], self.offer)
        hear(self.kind, self._heard)
        hear(self.paste, self._heard)
        rows = [self.more, self.fill, self.empty], [self.start, self.add, self.replace, self.remove]
        buttons = [W.Box(row, layout=W.Layout(flex_flow="row wrap", display="flex")) for row in rows]
        table = column(self._columns, self._grid, self.paste, buttons[0], share="1 1 340px")
        judged = W.VBox(
            [side_by_side(column(self.fields, share="1 1 320px"), table), self.message], layout=W.Layout(width="100%")
        )
        inside = [
            *above,
            self.kind,
            self.kept,
            self.said,
            judged.add_class(JUDGED).add_class(ONE_BY_ONE),
            buttons[1],
            self.done,
        ]
        super().__init__(inside, layout=W.Layout(width="100%"))

    def _ask(self):
        """Put up the fields and the table of the chosen kind, with what was typed into them before."""
        form = form_of(KINDS[self.kind.value])
        for field, text in self._taken.items():
            field.value = "" if field.value == text else field.value
        self._taken = {}
        if self.kind.value not in self.tables:
            self.tables[self.kind.value] = TypedTable(form, ROWS, self._choose, self._reads, self._heard)
        self.table = self.tables[self.kind.value]
        self.fields.ask(form, self.table.typed_as)
        self._follow()
        ticks = W.Box(list(self.table.ticks.values()), layout=W.Layout(display="flex", flex_flow="row wrap"))
        self._columns.children = [*self.table.ways.values(), W.HTML(paragraph(words.MORE_COLUMNS)), ticks]
        self._show_rows()
        window = KINDS[self.kind.value].measures
        of_use = f"Of use for yield stresses of {window[0]:g} to {window[1]:g} Pa. " if window[1] < float("inf") else ""
        self.said.value = paragraph(of_use + words.HOW_TO_TYPE)
        self.forget()
        self.kept.say(self._elsewhere())
        self.offer()

    @contextmanager
    def _at_once(self):
        """Be heard once after many changes."""
        self._quiet, was = True, self._quiet
        try:
            yield
        finally:
            self._quiet = was
            self._heard()

    def hold(self, recalled, corrects):
        """Let stand in the form a test that was `recalled`, with its mark, to be corrected.

        Raises
        ------
        DataError
            If readings of its kind that are in no test stand there.
        """
        table = self.tables.get(recalled.kind)
        if table is not None and table.typed["cells"] and table.typed != self.taken.get(recalled.kind):
            raise DataError(typed_words.NOT_ADDED.format(recalled.kind))
        with self._at_once():
            self.kind.value = recalled.kind
            self.table.put_back(recalled.table)
            for key, control in self.stated.items():
                control.value = recalled.stated.get(key, control.value if isinstance(control, W.Dropdown) else "")
            self.taken[recalled.kind], self.corrects = self.table.typed, corrects
        self.offer()

    @property
    def _typed_before(self):
        return self._before(self.kind.value, self.stated["label"].value.strip())

    def offer(self):
        """Offer to replace the test that was typed before, and to take it out, where it is in the open bench."""
        before = self._typed_before
        for button, said in ((self.replace, typed_words.IN_PLACE), (self.remove, typed_words.TAKE_OUT)):
            button.description = f"{said} ({before.name})" if before else said
            show(button, before is not None)

    def _follow(self):
        """Let the choice of what was read follow the columns that are typed."""
        if self._read:
            self._read.follow(self.table.typed_as)

    def forget(self):
        """Say no more what was wrong."""
        self._tell(self.message.complain, "")

    def _tell(self, tell, said, refused=False):
        """Say something in place of what was said; where that was a refusal, it no longer stands."""
        was, self._is_refused = self._is_refused, refused
        tell(said)
        self._wrong.mark(said if refused else "", self.stated, [self.heads, *self.cells])
        if refused:
            self._refused()
        elif was:
            self._mended()

    def is_taken(self, field):
        """Return whether a field holds what it held when the last test was taken."""
        return self._taken.get(field) == field.value

    def _elsewhere(self):
        """Say what was typed for other kinds and is not asked for this one: it is kept."""
        tables = [
            f"{kind} ({count} row{'s' if count > 1 else ''})"
            for kind, table in self.tables.items()
            if table is not self.table and (count := sum(any(row) for row in table.rows))
        ]
        said = [f"tables of {', '.join(tables)}"] if tables else []
        said += [f"fields not asked here: {', '.join(fields)}"] if (fields := self.fields.elsewhere) else []
        kept = f"Kept until you choose that kind again: {'; '.join(said)}." if said else ""
        away = self.table.put_away
        return " ".join(
            filter(None, [kept, f"Kept until you choose those columns again: {', '.join(away)}." if away else ""])
        )

    @property
    def stated(self):
        """The fields and choices that are asked now, by key."""
        return self.fields.shown

    @property
    def heads(self):
        """The headings of the table, a `Text` each."""
        return self.table.heads

    @property
    def cells(self):
        """The rows of the table, a `Text` for each cell."""
        return self.table.cells

    @property
    def _read(self):
        """The choice of the column that was read, None where the kind leaves none."""
        return self.stated.get("read")

    def _reads(self):
        """Return the name of the column that was read."""
        return self._read.value if self._read else KINDS[self.kind.value].reads

    def _reread(self):
        """Follow another choice of what was read."""
        if self.table is not None:
            self.table.retitle()

    def _choose(self):
        """Put up the columns that were chosen, and the fields that they need."""
        self.fields.ask(form_of(KINDS[self.kind.value]), self.table.typed_as)
        self._follow()
        self._show_rows()
        self.forget()
        self.kept.say(self._elsewhere())

    def _rows(self, count):
        self.table.extend(count)
        self._show_rows()

    def _show_rows(self):
        numbered = [W.HTML(f"<p>{k}</p>", layout=W.Layout(flex="0 0 28px")) for k in range(1, len(self.cells) + 2)]
        rows = zip(numbered, [self.heads, *self.cells], strict=True)
        wide = 36 + CELL * len(self.heads)  # a wide table scrolls in itself
        layout = {
            "min_width": f"{min(wide, 260)}px" if len(self.heads) < 3 else f"{wide}px",
            "max_width": f"{max(wide, 460)}px",
        }
        self._grid.children = [W.HBox([n, *row], layout=W.Layout(flex="0 0 auto", **layout)) for n, row in rows]

    def _fill(self):
        rows = pasted_rows(self.paste.value)
        wrong = next((k for k, row in enumerate(rows, 1) if len(row) != len(self.heads)), None)
        if wrong or not rows:
            what = f"pasted row {wrong} has {len(rows[wrong - 1])} cells" if wrong else "nothing was pasted"
            why = f"{what}; the table has {len(self.heads)} columns. Copy these columns alone, numbers only."
            self._tell(self.message.complain, why)
            return
        first = max((place for place, row in enumerate(self.table.rows, 1) if any(row)), default=0)
        self._rows(first + len(rows))
        with self._at_once():
            for row, cells in zip(self.cells[first:], rows, strict=False):
                for widget, cell in zip(row, cells, strict=True):
                    widget.value = cell
            self.paste.value = ""
        place = f"row {first + 2}" if len(rows) == 1 else f"rows {first + 2} to {first + len(rows) + 1}"
        self._tell(self.message.say, f"The pasted rows stand in {place} of the table.")

    def _empty(self):
        """Empty the table; its rows then stand in the field for pasted ones."""
        rows = [row for row in self.table.rows if any(row)]
        if rows and self.paste.value.strip():
            self._tell(self.message.complain, words.NO_ROOM)
            return
        with self._at_once():
            self.paste.value = "\n".join("\t".join(row) for row in rows)
            for widget in (cell for row in self.cells for cell in row):
                widget.value = ""
        self._tell(self.message.say, words.EMPTIED if rows else "")

    def _hand_over(self, new, instead_of=None):
        stated = {key: widget.value for key, widget in self.stated.items()}
        lent = {} if new else self._lent()
        lent = {key: text for key, text in lent.items() if not stated.get(key, "-").strip()}
        self.done.say("")
        try:
            heads, rows = [head.value for head in self.heads], [[cell.value for cell in row] for row in self.cells]
            bench = typed_bench(self.kind.value, heads, rows, stated, lent)
            # which shows it, so nothing else has to be marked as new
            done = self._use(bench, new, instead_of) if instead_of else self._use(bench, new)
            self._is_refused = False
            self._taken = {self.stated[key]: self.stated[key].value for key in ("label", "uncertainty")}
            self.taken[self.kind.value], self.corrects = self.table.typed, None
            self._heard()
            self.offer()
            self.forget()
            self.done.say(done or "")
        except (DataError, ValueError) as error:  # of the readings, or of the bench that they were to go into
            told = typed_words.of_entry_page(str(error), self._typed_before is not None)
            self._tell(self.message.complain, told, refused=True)

    def _remove(self):
        self.forget()
        try:
            self.done.say(self._take_out(self._typed_before))
        except DataError as error:
            self._tell(self.message.complain, str(error), refused=True)
