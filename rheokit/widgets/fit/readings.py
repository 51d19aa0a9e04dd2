"""Which bench is open and which of its tests are to be fitted; a folder to open, or a form to type a test into."""

from pathlib import Path
from weakref import WeakKeyDictionary

import ipywidgets as W

from ...bench import Bench
from ...errors import DataError
from ...reading import joined, read_bench, write_bench
from ...reading.faults import shown
from ...reading.typing_out import with_unit
from ..page.elements import column, in_words, paragraph, section, side_by_side, text_field, tick_box
from ..page.freshness import FAILED, OLD, Answer
from ..page.hearing import hear
from . import words
from .entry import EntryForm
from .folded import Folded
from .menu import BenchMenu


def lent_by(bench):
    """Return what a bench lends to a test that is added to it, texts with uncertainty by dimension.

    Its density, stated or measured by its cups, and the friction that its empty barrel has, if there is one barrel.
    """
    if bench is None:
        return {}
    specimen, barrels = bench.specimen, [test for test in bench.tests if test.of_apparatus]
    measured = bench.properties() | (barrels[0].properties() if len(barrels) == 1 else {})
    known = {name: (_short(one.value), one.spread) for name, one in measured.items() if name in LENT}
    if specimen.density is not None:
        known["density"] = specimen.density, specimen.spreads.get("density")
    return {
        name: with_unit(value, LENT[name], share and _short(share * value)) for name, (value, share) in known.items()
    }


def _short(value):
    """Return a number as one would type it."""
    return float(f"{value:.4g}")


LENT = {"density": "kg/m³", "plunger_friction": "N"}
"""What a bench lends to tests that are added to it, with its unit."""


def _first_panel():
    """Return the panel of what to measure first; the rooms that it asks are loaded now."""
    from .first_panel import FirstPanel

    return FirstPanel()


class Readings(W.VBox):
    """The open bench, its tests with a tick for each that is to be fitted, and what opens another one.

    Benches beside a folder are offered. `changed` is called after another bench or other ticks, `refused` with words where a
    bench cannot be opened, and without any where what was typed is none (the form says so), `mended` when that is over.

    Attributes
    ----------
    bench : Bench or None
        What was read last, all of its tests.
    tests : VBox
        A tick box each that can be fitted.
    about : Answer
        What was tested.
    """

    def __init__(self, folder, changed, refused, mended):
        self.bench, self._changed, self._refused, self._mended = None, changed, refused, mended
        self._ticks, self._unread = WeakKeyDictionary(), False
        self.choice = BenchMenu(folder, self._choose)
        self.path = text_field("or its path", example="press Enter to open")
        self.tests, self.about = W.VBox([]), Answer()
        self.first = Folded(words.FIRST, "list-ol", _first_panel)
        self.export = Folded(words.EXPORT, "file", self._export_panel)
        self.form = Folded(words.TYPE, "pencil", self._entry_form)
        self.typing = self.form.opener
        hear(self.typing, self._close_entry)
        hear(self.path, lambda: self._open(self.path.value.strip()))
        ticks = column(W.HTML(paragraph(words.TO_FIT)), self.tests, share="1 1 340px")
        opened = side_by_side(column(self.choice, self.path, self.about), ticks)
        openers = W.Box(
            [self.first.opener, self.export.opener, self.typing], layout=W.Layout(display="flex", flex_flow="row wrap")
        )
        super().__init__(
            [section("Readings", opened, openers, self.first, self.export, self.form)], layout=W.Layout(width="100%")
        )

    def read(self, folder):
        """Open a bench folder and return whether it was read; one that cannot be is complained of, and what is shown stays."""
        try:
            bench = read_bench(folder)
        except (DataError, OSError) as error:
            self._unread = True
            self._refused(in_words(error))
            self.choice.keep()
            return False
        self.choice.name(folder)
        self._show_bench(bench)
        return True

    def _export_panel(self):
        """Return the panel for the file of an instrument, which is loaded now."""
        from .export_panel import ExportPanel

        return ExportPanel(self.read)

    def _choose(self, chosen):
        """Show a bench of the list; a path that was opened before goes: the list has it."""
        opened = self.path.value.strip() == self.choice.shown
        if chosen in self.choice.typed:
            self.choice.name(chosen)
            self._show_bench(self.choice.typed[chosen])
        elif not self.read(chosen):
            return
        if opened:
            self.path.value = ""

    def _open(self, path):
        """Open a typed path; one that is taken away again takes its error along."""
        if path:
            self.read(path)
        elif self._unread:
            self._mended()

    @property
    def entry(self):
        """The form to type into."""
        return self.form.made

    def _entry_form(self):
        return EntryForm(self._take_typed, self._refused, self._mended, lambda: lent_by(self.bench))

    def _close_entry(self):
        """With the form goes what was wrong in it."""
        if not self.typing.value and self.form.inside is not None:
            self.entry.forget()

    def _take_typed(self, bench, new):
        if not new and self.bench is not None:
            bench = joined(self.bench, bench)
            self._keep_ticks(bench)
        self.choice.hold(bench, new)
        self._show_bench(bench)

    def _keep_ticks(self, bench):
        """Tick the tests of a bench as those that are shown; more of them are ticked."""
        for old, new in zip(self.bench.tests, bench.tests, strict=False):
            self._ticks[new] = self._ticks.get(old, True)

    def _show_bench(self, bench):
        self.bench, self._unread = bench, False
        self.tests.children = [tick_box(words.counted(test), self._ticks.get(test, True)) for test in self._fitted]
        for box in self.tests.children:
            hear(box, self._tick)
        self._tick()

    @property
    def _fitted(self):
        return [test for test in self.bench.tests if not test.gives]

    def _tick(self):
        self._ticks |= zip(self._fitted, (box.value for box in self.tests.children), strict=True)
        self._changed()

    def outlive(self):
        """Mark the ticks as those of the bench before."""
        self.tests.add_class(OLD).add_class(FAILED)

    def renew(self):
        """Take that mark off."""
        self.tests.remove_class(OLD).remove_class(FAILED)

    def chosen(self):
        """Return the bench with the ticked tests, and those of properties, which no fit takes."""
        boxes = iter(self.tests.children)
        kept = [test for test in self.bench.tests if test.gives or next(boxes).value]
        if self.tests.children and all(test.gives for test in kept):
            raise DataError(words.NO_TEST)
        return Bench(self.bench.specimen, kept, self.bench.origin)

    def save(self, folder):
        """Write all tests of the bench into a folder; return in words what was saved."""
        if not folder:
            raise DataError(words.NO_TARGET)
        if self.bench is None:
            raise DataError(words.NO_BENCH)
        bench = write_bench(self.bench, folder)
        self._keep_ticks(bench)
        self.bench = bench  # it knows what the folder holds now
        if self.choice.shown in self.choice.typed:
            self.choice.typed[self.choice.shown] = bench
        unticked = sum(not box.value for box in self.tests.children)
        return words.saved_words(bench, unticked, shown(Path(folder).resolve(), 400))
