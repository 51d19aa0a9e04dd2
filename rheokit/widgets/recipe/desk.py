"""What the panels of the recipe share: a paste that is handed on, steps each of which may fail alone, the last good picture stays."""

from collections.abc import Callable
from typing import NamedTuple

from ...errors import DataError
from ...origins import UNSAID
from ...workbook.asked import ASKED
from ..page.base import Panel
from ..page.elements import Message, in_words, is_shown, paragraph
from ..page.fields import choice, lacking
from ..page.freshness import clear, fail
from ..page.number_field import NotKnown, SlidingNumber
from ..page.rests_on import EXACT, OF_PAGE, slider_rows
from ..page.typed_numbers import Refused

REST = 0.15  # s
NOT_KNOWN = "not known"
WAITS = "Not computed: it waits for the paste of the recipe above, of which is not known: {}."
UNKNOWN = "Not known, so what needs it is not computed: {}."
WRAPS = """<style>
.wraps .widget-label { white-space: normal; height: auto; line-height: 1.25; overflow: visible; padding-top: 4px; }
.wraps .beside-main .number-field:not(.sliding-number) .widget-label,
.wraps .beside-others .number-field .widget-label { width: auto !important; flex: 1 1 0; min-width: 0; }
.wraps .beside-main .number-field:not(.sliding-number) input,
.wraps .beside-others .number-field input { flex: 0 0 104px; width: 104px; }
.wraps .beside-others .grid-head p { font-size: 12px; line-height: 1.25; overflow-wrap: anywhere; }
</style>"""
"""Labels too long for their column go on below."""


def asked_of(table, *keys):
    """Return what a panel asks for, by key, of the entries of a table of a plan."""
    entries = {key: ASKED[table][key] for key in keys}
    return {key: (one.label, one.example, one.low, one.high, hint_of(one)) for key, one in entries.items()}


def hint_of(entry):
    """Return what is said below the field of an entry while it is empty."""
    return entry.without if entry.without.startswith(NOT_KNOWN) else f"{NOT_KNOWN}: {entry.without}"


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
    table : str
        Of a plan, in which its `fields`, `sliding` numbers and `chosen` drop-downs stand by their keys.
    """

    table = ""

    pause = REST
    mixed = None  # the paste that is handed on from room to room
    waits = True  # for it
    subtitle, downstream = (), ()
    held = False  # while many numbers are put into it, nothing is computed
    busy = False
    begun = told = staticmethod(lambda: None)  # called when it begins to compute, and when it has ended

    def __init__(self):
        self._said, self._missing = [], []
        self.sliding, self.chosen = {}, {}
        super().__init__()
        self.show_asked()

    def changed(self):
        """Hear a change of a field."""
        self.refresh()

    def show_asked(self):
        """Show the fields and sliders that count."""

    @property
    def entries(self):
        """All of it that holds a number, by key."""
        return self.fields | self.sliding

    @property
    def sliders(self):
        """The sliding numbers."""
        return tuple(self.sliding.values())

    def slider(self, key, least, most, step, changed=None):
        """Return the slider of an entry, with its ends; what is typed beside it may go as far as the entry does."""
        entry, changed = ASKED[self.table][key], changed or self.refresh
        slider = SlidingNumber(entry.label, entry.example, least, most, step, changed, hint=hint_of(entry))
        slider.describe(entry.label, entry.example, entry.low, entry.high)
        self.sliding[key] = slider
        return slider

    def choice(self, key, changed=None):
        """Return the drop-down of an entry."""
        entry = ASKED[self.table][key]
        self.chosen[key] = choice(entry.words, entry.choices, changed or self.refresh)
        return self.chosen[key]

    def refresh(self):
        """Work through the steps; what goes wrong is said in the page, once each."""
        self.show_asked()
        if self.held or (self.waits and self.mixed is None):
            return
        self._said, self._missing = [], []
        self.busy = True
        self.forget()
        self.begun()
        for room in self.downstream:
            room.wait()
        steps = (*self.steps, Step(self.show_rests))
        for step in steps:
            if step.wrong is not None:
                step.wrong.complain("")
        self._later.start([*map(self._trying, steps), self._end], self.pause)

    def forget(self):
        """Hold no result: others are being computed."""

    @property
    def missing(self):
        """What is not known, in words."""
        return list(dict.fromkeys(self._missing))

    @property
    def failed(self):
        """Whether something that is typed cannot be, or not together."""
        return bool(self._said)

    def take(self, mixed):
        """Take another paste."""
        self.mixed = mixed
        self.refresh()

    def wait(self):
        """Compute nothing until the room upstream hands its result on; what is shown is old."""
        self.mixed, self.busy = None, False
        self.forget()
        super().wait()

    def look(self, page, width, subtitle):
        """Take the colour and width [px] of the page, and what stands below every title, without drawing."""
        self.page, self.width, self.subtitle = page, width, tuple(subtitle)

    def rows(self):
        """Return the rows of what the results rest on: words, value, limits and origin of each control with a number."""
        rows = slider_rows(*(one for one in self.sliders if is_shown(one) and one.holds and not one.refused))
        for field in filter(is_shown, self.fields.values()):
            if field.holds and not field.refused:
                origin = OF_PAGE if field.stands_at(field.of_example) else UNSAID
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
        """Say what is left to say, and that it is done."""
        self._complain()
        if self._missing and not self._said:
            self._take_away()
        self.busy = False
        self.told()

    def _take_away(self):
        """Take away what nothing could be computed for, because a number is not known."""
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
