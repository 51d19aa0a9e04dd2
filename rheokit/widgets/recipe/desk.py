"""What the panels of the recipe share: a paste that is handed on, steps each of which may fail alone, the last good picture stays."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from ...errors import DataError
from ...nomenclature import with_unit
from ...workbook.asked import ASKED, PROPERTIES
from ...workbook.of_paste import counted
from ...workbook.whence import origin_in, origin_of
from ..page.base import Panel
from ..page.elements import Message, is_shown, paragraph
from ..page.fields import choice, lacking
from ..page.freshness import clear, fail
from ..page.hearing import hear
from ..page.number_field import NotKnown, NumberField, SlidingNumber
from ..page.page_words import in_words
from ..page.paste_fields import said_of, whence_of
from ..page.rests_on import EXACT, OF_PAGE
from ..page.typed_numbers import Refused, plain
from .asking import hint_of

WAITS = "Not computed: it waits for the paste of the recipe above, of which {}."
UNKNOWN = "Not known, so what needs it is not computed: {}."


class Step(NamedTuple):
    """Something to compute, the fields and tables that must hold something, and the answers that say which do not.

    `wrong` stands below the fields, and says why they cannot be together; what one cannot be alone it says itself. Neither is said
    above the fields, where it would push them away from under the hand.
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
        Of a plan, in which its `fields`, `sliding` numbers and `chosen` drop-downs stand by their keys; `elsewhere` names the
        tables of those that stand in another one.
    workbook : Workbook
        Whose plan that is.
    """

    table = ""
    elsewhere: Mapping[str, str] = MappingProxyType({})

    pause = 0.15  # s
    mixed = None  # the paste that is handed on from room to room
    waits = True  # for it
    lacks = False  # whether it says in place of answers that it waits
    subtitle, downstream, alone, hands_on = (), (), (), ()
    offered: Mapping = MappingProxyType({})
    """What is said below an empty field, where a number is known that may be typed into it."""
    held = False  # while many numbers are put into it, nothing is computed
    busy = False
    whole = None  # the page
    begun = told = staticmethod(lambda: None)  # called when it begins to compute, and when it has ended

    def __init__(self, workbook):
        self._said, self._missing, self._unplaced, self.workbook = [], [], [], workbook
        self.sliding, self.chosen, self.whence, self._heard = {}, {}, {}, {}
        self.whole = self
        super().__init__()
        self.show_asked()

    def changed(self):
        """Hear nothing of a field: who binds it to a plan calls `hear_all`."""

    def table_of(self, key):
        """Return the table of a plan in which a key stands."""
        return self.elsewhere.get(key, self.table)

    def hear_all(self):
        """Hear every field, slider and choice from now on: after the plan has."""
        for key, control in (self.entries | self.chosen).items():
            act = self._heard.get(key, self.refresh)
            if isinstance(control, NumberField):
                control.heard(act)
            else:
                hear(control, act)
        for control in self.whence.values():
            hear(control, self.show_rests)

    def laid(self, *keys):
        """Return fields to be shown, a property of the paste with the choice where it comes from."""
        out = []
        for key in keys:
            out.append(self.fields[key])
            if self.table_of(key) == PROPERTIES:
                out.append(self.whence.setdefault(key, whence_of(self.fields[key])))
        return out

    def say_known(self):
        """Say below every empty field what counts in its place, if anything, and what is not known without it."""
        known = counted(self.workbook)
        for key, field in self.entries.items():
            entry, one = ASKED[self.table_of(key)][key], known.get((self.table_of(key), key))
            if one is None:
                field.say_while_empty(self.offered.get(key) or hint_of(key, entry))
            else:
                field.say_while_empty(said_of(entry, one), entry.from_si(one.value), one.origin)

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
        entry = ASKED[self.table_of(key)][key]
        slider = SlidingNumber(entry.label, entry.example, least, most, step, hint=hint_of(key, entry))
        slider.describe(entry.label, entry.example, entry.low, entry.high)
        self.sliding[key] = slider
        self._heard |= {key: changed} if changed else {}
        return slider

    def choice(self, key, changed=None):
        """Return the drop-down of an entry."""
        entry = ASKED[self.table_of(key)][key]
        self.chosen[key] = choice(entry.words, entry.choices)
        self._heard |= {key: changed} if changed else {}
        return self.chosen[key]

    def refresh(self):
        """Work through the steps; what goes wrong is said in the page, once each."""
        self.show_asked()
        self.say_known()
        if self.held:
            return
        if self.waits and self.mixed is None:
            self.work_alone()
            self.told()
            return
        self._said, self._missing, self._unplaced, self._placed = [], [], [], {}
        self.busy = True
        self.forget()
        self.begun()
        for room in self.downstream:
            room.wait()
        self._later.start([*map(self._trying, [*self.steps, Step(self.show_rests)]), self._end], self.pause)

    def work_alone(self):
        """Work through what asks nothing of the paste that is waited for, as far as it is known."""
        self._placed = {}
        self.forget()
        self._unsay()
        for step in self.alone:
            try:
                if not lacking(step.asked):
                    step.work()
            except DataError as wrong:
                step.wrong.blame("" if isinstance(wrong, Refused) else in_words(wrong))

    def forget(self):
        """Hold no result: others are being computed."""

    @property
    def missing(self):
        """What is not known, in words."""
        return list(dict.fromkeys(self._missing))

    @property
    def wrong_words(self):
        """What of that which is typed cannot be, or not together, in words."""
        return list(dict.fromkeys(self._said))

    def take(self, mixed):
        """Take another paste."""
        self.mixed, self.lacks = mixed, False
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
        rows = []
        for key, field in self.entries.items():
            if is_shown(field) and not field.refused and field.is_known:
                shown, origin = field.shown, OF_PAGE if field.stands_at(field.of_example) else self._origin(key)
                if not field.holds:
                    shown, origin = self._told(key), field.whence
                rows.append([field.words.rpartition(" [")[0], shown, self.limits_of(key) or EXACT, origin])
        return rows

    def limits_of(self, key):
        """Return the 95 % limits of an entry with its unit, as they are drawn; nothing of one that is taken as exact."""

    def _told(self, key):
        """Return what counts in the place of an empty field, with as many digits as its limits leave."""
        place, field = (self.table_of(key), key), self.entries[key]
        if (one := counted(self.workbook).get(place)) is None:
            return with_unit(plain(field.instead, 4), field.unit)
        return one.written_as(ASKED[place[0]][key]).partition(" (")[0]

    def _origin(self, key):
        """Return where the number of a field comes from."""
        plan = self.workbook.plan
        table = self.table_of(key)
        return origin_of(plan.origin(key)) if table == PROPERTIES else origin_in(plan, table)

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
                said = in_words(error)
                self._said.append(said)
                if not isinstance(error, Refused):
                    self._place(step.wrong, said)
                self._complain()
                for room in (self, *self.downstream):
                    fail(room)

        return go

    def _place(self, message, said):
        """Say in a message of a step why numbers cannot be together; without one, above all of them."""
        if message is None:
            self._unplaced.append(said)
        else:
            message.blame("\n".join(dict.fromkeys([*self._placed.setdefault(message, []), said])))
            self._placed[message].append(said)

    def _complain(self):
        missing = dict.fromkeys(self._missing)
        if missing and not self._said:
            self.message.say(UNKNOWN.format("; ".join(missing)))
        else:
            self.message.blame("\n".join(dict.fromkeys(self._unplaced)))

    def _end(self):
        """Say what is left to say, and that it is done; take away what a number is not known for."""
        self._unsay()
        self._complain()
        lacks = bool(self._missing and not self._said)
        if lacks:
            clear(self)
            self._say_lacking()
        for room in self.downstream:
            if room.mixed is None:  # no paste was handed on to it
                if lacks or room.lacks:
                    unknown = f"is not known: {'; '.join(lacking(self.hands_on))}" if lacks else ""
                    room._say_waits(WAITS.format(unknown or "something typed cannot be"))
                room.work_alone()
        self.busy = False
        self.told()

    def _unsay(self):
        """Take away what was said of numbers that can be together by now."""
        for wrong in {step.wrong for step in self.steps} - {None, *self._placed}:
            wrong.complain("")

    def _say_waits(self, why):
        clear(self)
        self.lacks = True
        self.message.say(why)
        self._say_lacking(why)

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
