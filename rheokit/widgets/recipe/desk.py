"""What the panels of the recipe share: a paste that is handed on, steps each of which may fail alone, the last good picture stays."""

from collections.abc import Callable
from typing import NamedTuple

from ...errors import DataError
from ..page.base import Panel
from ..page.elements import Message, column, in_words, is_shown, paragraph, side_by_side
from ..page.fields import lacking
from ..page.freshness import clear, fail
from ..page.number_field import NotKnown
from ..page.rests_on import EXACT, OF_PAGE, TYPED, slider_rows
from ..page.typed_numbers import Refused

CONTROLS, PICTURE = 340, 480  # px: least widths of controls and picture that stand beside each other
GAP = 24  # px, right of either column and to spare
REST = 0.15  # s
WAITS = "Not computed: it waits for the paste of the recipe above, of which is not known: {}."
UNKNOWN = "Not known, so what needs it is not computed: {}."
WRAPS = """<style>
.wraps .widget-label { white-space: normal; height: auto; line-height: 1.25; overflow: visible; padding-top: 4px; }
@container (max-width: 560px) {
  .wraps .grid-head p { font-size: 12px; }
}
</style>"""
"""Labels too long for their column go on below."""


def beside_each_other(controls, picture):
    """Return controls at the left, and what they move to the right of them, or below where the page is narrow."""
    left, right = column(*controls, share=f"1 1 {CONTROLS}px"), column(*picture, share=f"999 1 {PICTURE}px")
    return side_by_side(left, right)


class Step(NamedTuple):
    """Something to compute, the fields and tables that must hold something, and the answers that say which do not.

    `wrong` stands below the fields, and says why they cannot be together; what one cannot be alone it says itself.
    """

    work: Callable
    asked: tuple = ()
    places: tuple = ()
    wrong: Message | None = None


class Room(Panel):
    """One panel of the recipe; each of its `steps` is a `Step`, the first quickest to be seen, which hands on the paste.

    Attributes
    ----------
    downstream : tuple of Room
        Rooms that wait for the result of this one.
    """

    hint, pause = "not known", REST
    mixed = None  # the paste that is handed on from room to room
    waits = True  # for it
    subtitle, downstream, sliders = (), (), ()

    def __init__(self):
        self._said, self._missing = [], []
        super().__init__()
        self.show_asked()

    def changed(self):
        """Hear a change of a field."""
        self.refresh()

    def show_asked(self):
        """Show the fields and sliders that count."""

    @property
    def beside(self):
        """Width of a picture beside controls [px]."""
        return self.width - CONTROLS - GAP if self.width >= CONTROLS + PICTURE else self.width

    def refresh(self):
        """Work through the steps; what goes wrong is said in the page, once each."""
        self.show_asked()
        if self.waits and self.mixed is None:
            return
        self._said, self._missing = [], []
        for room in self.downstream:
            room.wait()
        steps = (*self.steps, Step(self.show_rests))
        for step in steps:
            if step.wrong is not None:
                step.wrong.complain("")
        self._later.start([*map(self._trying, steps), self._end], self.pause)

    def take(self, mixed):
        """Take another paste."""
        self.mixed = mixed
        self.refresh()

    def wait(self):
        """Compute nothing until the room upstream hands its result on; what is shown is old."""
        self.mixed = None
        super().wait()

    def look(self, page, width, subtitle):
        """Take the colour and width [px] of the page, and what stands below every title, without drawing."""
        self.page, self.width, self.subtitle = page, width, tuple(subtitle)

    def rows(self):
        """Return the rows of what the results rest on: words, value, limits and origin of each control with a number."""
        rows = slider_rows(*filter(is_shown, self.sliders))
        for field in filter(is_shown, self.fields.values()):
            if field.holds and not field.refused:
                origin = OF_PAGE if field.stands_at(field.of_example) else TYPED
                rows.append([field.words.rpartition(" [")[0], field.shown, EXACT, origin])
        return rows

    def _trying(self, step):
        def go():
            try:
                unknown = lacking(step.asked)
                if unknown:
                    raise NotKnown(*unknown)
                step.work()
            except NotKnown as unknown:
                self._missing += unknown.names
            except Exception as error:  # a traceback in the page helps nobody
                self._said.append(in_words(error))
                self._complain()
                if step.wrong is not None and not isinstance(error, Refused):
                    step.wrong.complain(in_words(error))
                for room in (self, *self.downstream):
                    fail(room)

        return go

    def _complain(self):
        words, missing = dict.fromkeys(self._said), dict.fromkeys(self._missing)
        if missing and not words:
            self.message.say(UNKNOWN.format("; ".join(missing)))
        else:
            self.message.complain("\n".join([*words, "What is marked as old below is from before."] if words else []))

    def _end(self):
        """Say what is left to say; what nothing could be computed for, because a number is not known, is taken away."""
        self._complain()
        if not self._missing or self._said:
            return
        clear(self)
        self._say_lacking()
        waits = WAITS.format("; ".join(lacking(self.steps[0].asked)))
        for room in (one for one in self.downstream if one.mixed is None):
            clear(room)
            room.message.say(waits)
            room._say_lacking(waits)

    def _say_lacking(self, instead=""):
        """Say in the place of every answer which empty fields it waits for, or where none is empty what else."""
        for step in self.steps:
            try:
                unknown = lacking(step.asked)
            except DataError as wrong:
                unknown, instead = [], str(wrong)
            said = UNKNOWN.format("; ".join(unknown)) if unknown else instead
            for place in step.places if said else ():
                place.value = paragraph(said)
