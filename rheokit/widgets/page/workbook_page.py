"""What a notebook shows: the picker, and below it the explorer of the workbook that is picked.

A page of it is `class NozzlePage(WorkbookPage)` in the `explorer.py` of its folder, with `explorer_of(workbook)`, which returns
`NozzleExplorer.of(workbook)`; a field of that is bound to the plan by `bound.bound`.
"""

from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

import ipywidgets as W

from ...errors import DataError
from ...workbook import Workbook, shelf
from ...workbook.disk import still_there
from ...workbook.watched import Watched
from . import picker_words as words
from .appendix_panel import appendix_fold
from .bound import saving_of
from .elements import show
from .frame import Page
from .freshness import OVERTAKEN, Unheard
from .hearing import hear, hear_press
from .layout import Fold
from .outcome_words import TITLE as OUTCOMES
from .outcomes_panel import OutcomesPanel
from .page_words import in_words
from .picker import LAST, PROJECTOR, Picker
from .pictures import Picture
from .script_panel import TITLE, ScriptPanel

FIRST_DEMO = "olive-stone-paste"


class WorkbookPage(Page):
    """A page of one paste, which is picked on top of it.

    Parameters
    ----------
    folder : str or path, optional
        Of the paste to begin with; the one that was open last if none is given, else a demo.

    Attributes
    ----------
    picker : Picker
    workbook : Workbook or None
        What is open.
    explorer : Explorer or None
        Its page.
    """

    first_demo = FIRST_DEMO
    predicts = True
    """Whether what is predicted on it can be written down, and what came out."""

    def __init__(self, folder: str | Path | None = None) -> None:
        self.workbook: Workbook | None = None
        self.explorer: Any = None
        self._watched: Watched | None = None
        self._place = W.VBox([], layout=W.Layout(width="100%"))
        self.picker = Picker(self.open_folder, self._show_mode)
        self.script = Fold(TITLE, lambda: ScriptPanel(lambda: self.workbook.script() if self.workbook else ""), "code")
        self.outcomes = Fold(OUTCOMES, lambda: OutcomesPanel(lambda: self.workbook, self._looked), "book")
        outcomes = [self.outcomes] if self.predicts else []
        self.appendix = appendix_fold(lambda: self.workbook, self._looked)
        super().__init__([self.picker, self._place, *outcomes, self.script, self.appendix, Unheard()])
        hear(self.script.opener, self._write_script)
        hear(self.script.opener, self._look)
        hear(self.picker.looked_at, self._look, "looks")
        hear_press(self.picker.theirs, self._take_theirs)
        hear_press(self.picker.mine, self._keep_mine)
        hear_press(self.picker.as_came, self._as_it_came)
        missing, before = (None, None) if folder else (shelf.gone(), shelf.last(self._mine))
        begin = Path(folder) if folder else shelf.last() or shelf.demos().get(self.first_demo)
        if begin is not None and self.open_folder(begin) and before is not None and before.resolve() != begin.resolve():
            self.picker.message.say(words.another(begin.resolve().name, before.name))
        if missing is not None:
            self.picker.complain(words.gone(missing.name))

    def __repr__(self):
        return f"{type(self).__name__} of {self.workbook.name if self.workbook else 'no paste'}"

    @property
    def _mine(self):
        """Under which name it is remembered what this page, among those of all notebooks, showed last."""
        return f"{LAST} in {type(self).__name__}"

    def explorer_of(self, workbook: Workbook) -> Page:
        """Return the page of a workbook; one whose plan says too little returns a page that says what it lacks."""
        raise NotImplementedError

    @property
    def readings_overtaken(self) -> bool:
        """Whether the folder holds other readings than those that the page shows."""
        return self._watched is not None and self._watched.overtaken

    def open_folder(self, folder: str | Path) -> bool:
        """Open the paste of a folder and return whether it was; if not, the picker says why, and what was open stays."""
        try:
            workbook = Workbook.shelved(folder)
            saving = saving_of(workbook.plan)
            saving.told, saving.changed = self._saved, partial(self._plan_changed, workbook.plan)
            self.picker.complain("")
            watched = _watched(workbook)
            explorer = self.explorer_of(workbook)
        except (DataError, OSError) as error:
            self.picker.name(self.workbook.folder if self.workbook else None)
            self.picker.complain(
                words.not_opened(Path(folder).name, in_words(error), self.workbook.name if self.workbook else "")
            )
            return False
        if self.explorer is not None:
            self.explorer.wait()  # what it still had to compute is not asked any more
        self.picker.tell_faults(workbook.plan.faults)
        self.workbook, self.explorer, self._watched = workbook, explorer, watched
        self.remove_class(OVERTAKEN)
        self._place.children = [explorer]
        self.keeper.into(
            shelf.place_of_plan(workbook.folder).parent,
            lambda: str(workbook.plan),
            lambda: still_there(workbook.folder),
        )
        self._write_script()
        self.appendix.renew()
        self.outcomes.renew()
        self.picker.name(workbook.folder)
        for remembered in (LAST, self._mine):
            shelf.remember(remembered, str(workbook.folder.resolve()))
        self._show_mode()
        return True

    def _saved(self, error):
        """Say what became of a change; that what stands here is older stays said."""
        if error is not None or OVERTAKEN not in self._dom_classes:
            self.picker.saved(error)

    def _plan_changed(self, plan):
        """Follow a change of a plan: what was corrected is told no more, and no answer of older readings passes for a new one."""
        self.picker.tell_faults(plan.faults)
        self._write_script()
        if self.outcomes.inside is not None:
            self.outcomes.made.forget()
        if self.workbook is not None and plan is self.workbook.plan:
            self._look()

    def _write_script(self):
        """Write the script anew where it is unfolded."""
        if self.script.is_open:
            self.script.made.write()

    def _look(self):
        """Say what somebody else changed in the paste, before anything is typed over it; what rests on it is marked until it is taken."""
        book = self.workbook
        if book is None or saving_of(book.plan).waits:  # which is told already
            return
        if not book.folder.is_dir():
            self.picker.complain(words.gone(book.name))
            return
        if self._overtaken():
            self.add_class(OVERTAKEN)
            self.picker.older()

    def _looked(self):
        """Look, and return whether something was changed: what says so names the button on top, which is there then."""
        self._look()
        return self._overtaken()

    def _overtaken(self):
        """Whether the folder holds other readings, or another plan, than what is shown."""
        with suppress(DataError):  # what cannot be read is told when it is asked for
            return self.workbook is not None and (self.workbook.plan.overtaken or self.readings_overtaken)
        return False

    def _take_theirs(self):
        self._then_open(lambda plan: saving_of(plan).take_theirs())

    def _keep_mine(self):
        self._then_open(lambda plan: saving_of(plan).keep_mine())

    def _then_open(self, act):
        try:
            act(self.workbook.plan)
        except (DataError, OSError) as error:
            self.picker.saved(error)
        else:
            self.open_folder(self.workbook.folder)

    def _as_it_came(self):
        shelf.as_it_came(self.workbook.folder)
        self.open_folder(self.workbook.folder)

    # --- projector ----------------------------------------------------------------------------------------------

    def _show_mode(self):
        """Show large text and one picture, or all as it is."""
        large = self.picker.projector.value
        shelf.remember(PROJECTOR, large)
        (self.add_class if large else self.remove_class)("projector")
        found = _pictures(self._place)
        if [title for title, _ in self.picker.picture.options] != [one.title for one in found] or not large:
            self.picker.pictures([one.title for one in found])
        show(self.picker.picture, large and bool(found))
        for place, one in enumerate(found):
            (one.remove_class if place == (self.picker.picture.value or 0) else one.add_class)("not-projected")


def _watched(workbook):
    try:
        return Watched(workbook.folder, workbook.bench)
    except (DataError, OSError):
        return Watched(workbook.folder)


def _pictures(place):
    if isinstance(place, Picture):
        return [place]
    return [found for child in getattr(place, "children", ()) for found in _pictures(child)]
