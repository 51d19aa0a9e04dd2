"""The file that an instrument wrote: what is understood of it, which column is which, which rows count, and into a bench folder."""

import ipywidgets as W

from ...bench import KINDS
from ...bench.runs import DOWN, UP
from ...errors import DataError, ReadingError
from ...reading import proposal
from ...reading.columns import words_of
from ...reading.faults import shown
from ...reading.forms import form_of
from ...reading.headers import is_pressure
from ...reading.stated import example
from ..page.elements import Message, column, paragraph, side_by_side, text_field, tick_box
from ..page.fields import choice
from ..page.hearing import hear, hear_press
from ..page.page_words import in_words
from . import export_words as words
from .export_bench import export_bench, file_bytes, write_into
from .stated_fields import NOZZLE
from .words import READ

NO_COLUMN = ("", "")


class ExportPanel(W.VBox):
    """Name a file; see what is understood of it, say which column is which, and write it down.

    `use` is called with the folder that was written; `stands` before, which raises where it may not be. What was chosen stays,
    whatever is wrong with it; the fault stands below.

    Attributes
    ----------
    file, kind, sheet : Text, Dropdown, Text
    columns, units : dict of str to Dropdown, dict of str to Text
        The column of the file for each quantity, and the unit where its header has none.
    chosen : dict of str to Text or Dropdown
        Which rows, runs and branch count, and what else the test states.
    understood, reads : HTML, Message
        What is understood of the file, and what is read of it as it was chosen.
    target, write, done : Text, Button, Message
        Where it is written to.
    """

    def __init__(self, use, stands=lambda folder: None):
        self._use, self._stands, self._found, self._quiet = use, stands, None, False
        self.file, self.sheet = (
            text_field(words.EXPORT_FILE, words.EXPORT_SUCH),
            text_field(words.SHEET, words.OPTIONAL),
        )
        self.kind = choice("kind of test", list(KINDS), self._open, "flow curve")
        self.wrong, self.understood, self.reads, self.done = Message(), W.HTML(), Message(), Message()
        self.columns, self.units, self.chosen, self._usual, self._texts = {}, {}, {}, [], {}
        self.more = tick_box(words.MORE_QUANTITIES)
        hear(self.more, self._show_columns)
        self._left, self._right = column(share="1 1 340px"), column(share="1 1 340px")
        self.target = text_field(words.INTO, words.INTO_SUCH)
        self.write = W.Button(description=words.WRITE_DOWN, layout=W.Layout(width="auto", max_width="100%"))
        for field in (self.file, self.sheet):
            hear(field, self._open)
        hear_press(self.write, self._write)
        self._asked = W.VBox([
            self.understood, side_by_side(self._left, self._right), self.target, self.write, self.done,
        ], layout=W.Layout(width="100%", display="none"))  # fmt: skip
        about = W.HTML(paragraph(words.ABOUT_EXPORTS))
        super().__init__(
            [about, self.file, self.kind, self.sheet, self.wrong, self._asked], layout=W.Layout(width="100%")
        )

    # --- what is understood -------------------------------------------------------------------------------------

    def _open(self):
        """Read the file anew, and propose."""
        self.done.say("")
        self.wrong.complain("")
        path = self.file.value.strip()
        if not path:
            self._asked.layout.display = "none"
            return
        try:
            self._found = proposal(path, self.kind.value, self.sheet.value.strip() or None)
        except (DataError, OSError) as error:
            self._asked.layout.display = "none"
            self.wrong.complain(f"{shown(path, 200)}: {in_words(error)}")
            return
        if not self._found.columns:
            self._asked.layout.display = "none"
            self.wrong.complain("\n".join(self._found.problems))
            return
        self.understood.value = words.understood(self._found)
        self._ask()
        self._read()
        self._asked.layout.display = None  # not before: what stood there is of another file

    def _ask(self):
        """Put up a choice of column for each quantity of the kind, as proposed, and fields for what else there is to say."""
        self._quiet = True
        form, found = form_of(KINDS[self.kind.value]), self._found
        options = [NO_COLUMN, *((words.column_of(one), one.header) for one in found.columns if one.header)]
        proposed = {one.quantity: one.header for one in found.columns if one.quantity}
        self.columns, self.units = {}, {}
        self._usual = _keys(form, form.required_columns())
        for key in dict.fromkeys([*self._usual, *_keys(form, form.header_names())]):
            value = proposed.get(key, "")
            self.columns[key] = choice(
                words_of(key), options, self._read, value if (value in dict(options).values()) else ""
            )
            self.units[key] = text_field(words.unit_of(key), words.OPTIONAL)
            hear(self.units[key], self._read)
        self._right.children = [W.HTML(paragraph(words.ROWS_TO_READ)), *self._state(form)]
        self._show_columns()
        self._quiet = False

    def _state(self, form):
        """Return the fields for what else the test states, with what was typed into them before."""
        before = {key: field.value for key, field in self.chosen.items()}
        self.chosen = {key: self._text(key, asked, such) for key, (asked, such) in words.ROW_FIELDS.items()}
        self.chosen["branch"] = choice(words.BRANCH, [(words.BOTH, ""), (UP, UP), (DOWN, DOWN)])
        if "read" in form.choices:
            readable = form.required_columns()
            self.chosen["read"] = choice(READ, [(words_of(one), one) for one in readable], value=readable[-1])
        needed = [key for key, item in form.dimensions.items() if item.required and key != "density"]
        for key in (*needed, *(NOZZLE if form.nozzle else ()), *(["density"] if "density" in form.dimensions else [])):
            typed = "2.00 ± 0.02 mm" if key == "bore" else example(form.quantity(key).unit, key).strip('"')
            self.chosen[key] = self._text(key, words_of(key), f"such as {typed}")
        for key in ("uncertainty", "label"):
            self.chosen[key] = self._text(key, words.BESIDE[key], words.OPTIONAL)
        for key, field in self.chosen.items():
            if not isinstance(field, W.Dropdown):
                field.value = before.get(key, "")
                continue
            if before.get(key) in dict(field.options).values():
                field.value = before[key]
            hear(field, self._read)
        counting = len(words.ROW_FIELDS) + 1  # and the branch
        fields = list(self.chosen.values())
        return [*fields[:counting], self.reads, *fields[counting:]]

    def _text(self, key, asked, such):
        """Return a field for text, the same one for as long as it asks the same: who types does not lose it to another file."""
        if (key, asked, such) not in self._texts:
            self._texts[key, asked, such] = text_field(asked, such)
            hear(self._texts[key, asked, such], self._read)
        return self._texts[key, asked, such]

    def _show_columns(self):
        """Show the choices of columns, and below one without a unit in the file a field for it."""
        has_unit = {one.header: bool(one.unit) for one in self._found.columns}
        shown_now = [W.HTML(paragraph(words.WHICH_COLUMN))]
        for key, control in self.columns.items():
            if key in self._usual or control.value or self.more.value:
                shown_now.append(control)
            if control.value and not has_unit.get(control.value):
                shown_now.append(self.units[key])
        self._left.children = [*shown_now, self.more]

    # --- what is read of it -------------------------------------------------------------------------------------

    @property
    def stated(self):
        """What the [[test]] says, by key."""
        has_unit = {one.header: bool(one.unit) for one in self._found.columns}
        chosen = {
            key: control.value if has_unit.get(control.value) or not (unit := self.units[key].value.strip())
            else f"{control.value} [{unit.strip('[] ')}]"
            for key, control in self.columns.items() if control.value
        }  # fmt: skip
        said = {key: field.value.strip() for key, field in self.chosen.items() if field.value.strip()}
        sheet = {"sheet": self.sheet.value.strip()} if self.sheet.value.strip() else {}
        return {"kind": self.kind.value, "file": self._found.file} | sheet | {"columns": chosen} | said

    def _read(self):
        """Say what is read of the file as it was chosen, or what is wrong with that."""
        if self._quiet:
            return
        self.done.say("")
        self._show_columns()
        try:
            bench = self._bench()
        except (DataError, OSError) as error:
            self.reads.complain(_told(error))
            return
        self.reads.say(words.read_as(bench))

    def _bench(self):
        return export_bench(file_bytes(self.file.value.strip()), self.stated)

    def _write(self):
        """Write it into the folder, and open that."""
        if self._found is None or self._asked.layout.display == "none":
            return
        try:
            bench = self._bench()
        except (DataError, OSError) as error:
            self.done.complain(_told(error))
            return
        try:
            self._stands(self.target.value.strip())
            folder = write_into(bench, self.target.value.strip())
        except (DataError, OSError) as error:
            self.done.complain(in_words(error))
            return
        self.done.say(words.export_written(self._found.file, shown(folder.resolve(), 400)))
        self._use(folder)


def _keys(form, targets):
    """Return the names by which columns, and what gives them otherwise, are named in a [[test]]."""
    names = dict.fromkeys(name for target in targets for name in form.names_for(target))
    return [key for name in names for key in ((f"gauge_{name}", f"absolute_{name}") if is_pressure(name) else (name,))]


def _told(error):
    """Return faults in the words of the page."""
    faults = error.faults if isinstance(error, ReadingError) else [in_words(error)]
    return "\n".join(map(words.of_export_page, faults))
