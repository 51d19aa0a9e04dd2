"""Which bench is open and which of its tests are to be fitted; a folder to open, or a form to type a test into."""

from dataclasses import replace
from pathlib import Path
from weakref import WeakKeyDictionary

import ipywidgets as W

from ...bench import Bench
from ...errors import DataError
from ...reading import joined, read_bench, write_bench
from ...reading.faults import shown
from ...workbook.disk import still_there
from ...workbook.of_fit import LEAVE_OUT, gone_tests, name_of
from ...workbook.watched import Watched
from ..page.bound import saving_of
from ..page.elements import Message, paragraph, section, show, text_field, tick_box
from ..page.freshness import FAILED, OLD, Answer
from ..page.hearing import hear
from ..page.layout import Fold
from ..page.page_words import in_words
from . import typed_words, words
from .draft import Draft
from .entry import EntryForm
from .held_tests import HeldTests, mark_of, marked
from .lending import lent_by
from .menu import BenchMenu
from .recalled import to_correct, wrote


def _first_panel():
    """Return the panel of what to measure first; the rooms that it asks are loaded now."""
    from ..page.first_panel import FirstPanel

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
    gone : Message
        Which test the plan leaves out that there is not: it stays in the plan until other tests are ticked.
    """

    def __init__(self, folder, changed, refused, mended, workbook=None, opened=None):
        self._workbook, self._elsewhere = workbook, opened
        self.bench, self._changed, self._refused, self._mended = None, changed, refused, mended
        self._watched = None, Watched(Path(folder))
        self._ticks, self._unread = WeakKeyDictionary(), False
        self._typed = WeakKeyDictionary()  # tests typed here: whether the density typed with one is that of the bench
        self.choice = BenchMenu(folder, self._choose, alone=workbook is not None)
        self.path = text_field("or its path", example="press Enter to open")
        self.tests, self.about = W.VBox([]), Answer()
        self.first = Fold(words.FIRST, _first_panel, "list-ol", apart=True)
        self.export = Fold(words.EXPORT, self._export_panel, "file", apart=True)
        self.form = Fold(words.TYPE, self._entry_form, "pencil", apart=True)
        self.held = HeldTests(self._correct, lambda place: self._take_out(self.bench.tests[place]))
        self.typing, self._draft = self.form.opener, Draft(workbook and workbook.folder.absolute())
        hear(self.typing, self._close_entry)
        hear(self.path, lambda: self._open(self.path.value.strip()))
        self._to_fit, self.gone = W.HTML(paragraph(words.TO_FIT)), Message()
        self.opened = W.VBox([self.choice, self.path, self.about, self._to_fit, self.gone, self.tests])
        if workbook is not None:  # the picker has opened it
            show(self.choice, False)
            show(self.path, False)
        openers = W.Box(
            [*([] if workbook else [self.first.opener]), self.export.opener, self.typing],
            layout=W.Layout(display="flex", flex_flow="row wrap"),
        )
        super().__init__(
            [section("Readings", openers, self.first, self.export, self.form)], layout=W.Layout(width="100%")
        )
        if self._draft.waits:
            self.form.unfold()

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

        panel = ExportPanel(self._elsewhere or self.read, self._stands)
        if self._keeps:
            panel.target.value = str(self._workbook.folder)
        return panel

    def _stands(self, folder):
        """Refuse the folder of the paste that is open where it is not there any more."""
        if self._workbook is not None and Path(folder).absolute() == self._workbook.folder.absolute():
            still_there(self._workbook.folder)

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
        lent = lambda: lent_by(self.bench)  # noqa: E731
        form = EntryForm(
            self._take_typed, self._refused, self._mended, lent, self.typed_before, self._take_out, self._draft.keep, [self.held]
        )  # fmt: skip
        if self._draft.waits:
            form.done.say(typed_words.PUT_BACK)
        self._draft.put_back(form)
        return form

    def _close_entry(self):
        """With the form goes what was wrong in it."""
        if not self.typing.value and self.form.inside is not None:
            self.entry.forget()

    def _take_typed(self, typed, new, instead_of=None):
        """Start a bench with a typed test, or put it into the open one, instead of a test of that or beside all."""
        bench, ticked, before = typed, True, self.bench
        open_ = None if new else before
        if instead_of is not None:
            ticked = self._ticks.get(instead_of, True)
            if self._typed.get(instead_of):  # the density that came with it goes with it
                spreads = {key: size for key, size in open_.specimen.spreads.items() if key != "density"}
                open_ = Bench(replace(open_.specimen, density=None, spreads=spreads), open_.tests, open_.origin)
        gave_density = open_ is None or open_.specimen.density is None
        if open_ is not None:
            bench = joined(open_, typed, instead_of, over=instead_of is not None and wrote(instead_of))
            self._keep_marks([test for test in open_.tests if test is not instead_of], bench.tests)
        self._typed[bench.tests[-1]] = gave_density and bench.specimen.density is not None
        self._ticks[bench.tests[-1]] = ticked
        where = self._hold(bench, new)
        return f"{typed_words.taken(bench, instead_of, before)}{where}"

    @property
    def _keeps(self):
        """Whether what is typed is saved into the folder at once."""
        return self._workbook is not None and not self._workbook.is_demo

    def _hold(self, bench, new):
        """Show a bench with typed readings; one of a folder of one's own is saved there at once, unless it is a new one.

        Returns in words that it is not saved, where a page of a workbook does not.
        """
        own = self.bench is None or (self._plans and not new)
        folder = self._workbook.folder if self._keeps and own else None
        if folder is not None:
            still_there(folder)
            if self._unread:
                raise DataError(typed_words.UNREAD)
            written = write_bench(bench, folder, over_blank=True)
            self._keep_marks(bench.tests, written.tests)
            bench = written
            self.choice.name(str(folder))
        else:
            self.choice.hold(bench, new)
        self._show_bench(bench)
        return typed_words.ON_PAGE_ALONE if self._workbook is not None and folder is None else ""

    def _take_out(self, test):
        """Take a typed test out of the open bench; return in words that it was."""
        if len(self.bench.tests) == 1:
            raise DataError(typed_words.THE_ONLY_TEST)
        bench = self.bench.where(lambda one: one is not test)
        if self._plans:
            out = [name for name in self._workbook.plan.listed(*LEAVE_OUT) if name != name_of(test)]
            saving_of(self._workbook.plan).put_list(*LEAVE_OUT, out)
        had_density = self._typed.get(test)
        where = self._hold(bench, False)
        if self._keeps and not where:
            where = typed_words.table_stays(test, shown(self._workbook.folder, 200))
        return f"{typed_words.taken_out(test, bench if had_density else None)}{where}"

    def _correct(self, place):
        """Take the readings of a test of the open bench back into the form; return in words that they stand there."""
        test = self.bench.tests[place]
        try:
            held = to_correct(self.bench, test, lent_by(self.bench))
        except DataError as error:
            raise DataError(typed_words.not_in_form(test, shown(self.bench.origin.folder, 200), error)) from None
        self.entry.hold(held, mark_of(test, self.bench.tests))
        return typed_words.in_form(test)

    def typed_before(self, kind, label):
        """Return the test of a kind that is corrected in the form, else the last typed here of a label, else the last; else None."""
        alike = [test for test in (self.bench.tests if self.bench else ()) if test.kind == kind]
        if (test := marked(alike, self.form.inside and self.form.inside.corrects)) is not None:
            return test
        found = [test for test in alike if test in self._typed]
        return next(reversed([test for test in found if test.label == label] or found), None)

    def _keep_marks(self, olds, news):
        """Mark tests as those that they were."""
        for old, new in zip(olds, news, strict=False):
            for marks in (self._ticks, self._typed):
                if old in marks:
                    marks[new] = marks[old]

    def _show_bench(self, bench):
        self.bench, self._unread = bench, False
        if self._workbook is not None:
            out = self._workbook.plan.listed(*LEAVE_OUT)
            for test in self._fitted:
                self._ticks.setdefault(test, name_of(test) not in out)
            show(self.choice, bool(self.choice.typed))
        self.tests.children = [tick_box(words.counted(test), self._ticks.get(test, True)) for test in self._fitted]
        self._to_fit.value = paragraph(words.TO_FIT if self.tests.children else typed_words.NONE_TO_FIT)
        for box in self.tests.children:
            hear(box, self._tick)
        self.held.offer(bench.tests)
        if self.form.inside is not None:
            self.entry.offer()
        self._say_gone()
        self._tick()

    @property
    def overtaken(self):
        """Whether the folder of the paste holds something else than what is shown of it."""
        if not self._plans:
            return False
        if self._watched[0] is not self.bench:
            self._watched = self.bench, Watched(self._workbook.folder, self.bench)
        return self._watched[1].overtaken

    @property
    def _plans(self):
        """Whether the plan is that of the bench which is shown."""
        return self._workbook is not None and self.choice.shown not in self.choice.typed

    def _say_gone(self):
        self.gone.complain(gone_tests(self._workbook.plan, self.bench) if self._plans else "")

    @property
    def _fitted(self):
        return [test for test in self.bench.tests if not test.gives]

    def _tick(self):
        self._ticks |= zip(self._fitted, (box.value for box in self.tests.children), strict=True)
        if self._plans:
            out = [name_of(test) for test in self._fitted if not self._ticks[test]]
            there = set(map(name_of, self._fitted))
            if out != [name for name in self._workbook.plan.listed(*LEAVE_OUT) if name in there]:
                saving_of(self._workbook.plan).put_list(*LEAVE_OUT, out)
                self._say_gone()
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
        self._stands(folder)
        bench = write_bench(self.bench, folder)
        self._keep_marks(self.bench.tests, bench.tests)
        self.bench = bench  # it knows what the folder holds now
        if self.choice.shown in self.choice.typed:
            self.choice.typed[self.choice.shown] = bench
        unticked = sum(not box.value for box in self.tests.children)
        return words.saved_words(bench, unticked, shown(Path(folder).resolve(), 400))
