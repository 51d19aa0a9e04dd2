"""The one field for a number of every page, and a slider with such a field beside it.

What is typed stays as it was typed: it is taken, exactly, or refused with a message right below. Who asks for the `value` of
a field that holds none is told the same, so that nothing is ever computed with a number that nobody gave.
"""

import math
from contextlib import suppress
from itertools import count

import ipywidgets as W

from ...errors import DataError
from ...nomenclature import capital
from .accessible import JUDGED, SpokenValue, name
from .elements import Message, paragraph
from .hearing import hear
from .typed_numbers import Bounds, Refused, number_typed, plain, unit_of, with_unit

LABEL = "250px"
_TURNS = count(1)
USUAL = object()


class NotKnown(DataError):
    """Fields are empty, so what needs them is not computed; `names` are their words."""

    def __init__(self, *names):
        super().__init__("; ".join(names))
        self.names = names


class TypedText(W.Text):
    """A line of text that a second browser tab of its page follows; one that cannot be sent back (half a character) arrives all the same."""

    def __init__(self, **given):
        super().__init__(continuous_update=False, **given)

    def _send(self, msg, buffers=None):
        with suppress(UnicodeEncodeError):
            super()._send(msg, buffers)


class NumberField(W.VBox):
    """A field for a number, or for none: with a decimal point or comma, and its unit or none.

    Parameters
    ----------
    words : str
        With the unit: "straight land L [mm]".
    usual, low, high : float
        An example, for messages too, and the bounds.
    changed : callable, optional
        Called without arguments after every change.
    hint : str
        Said below it while it is empty, which then means that the number is not known; none: it must not be empty.
    or_0 : bool
        Whether it can be 0 below its bounds as well.
    above : bool
        Whether the words stand above it, or to its left.
    begin : float or None
        What it holds to begin with, if not the usual number; None: nothing.

    Attributes
    ----------
    value : float
        In the unit of the words; where there is none, asking for it raises `Refused` or `NotKnown`.
    of_example : float
        What it holds in the example of the page: the usual number, where nobody says another.
    instead : float or None
        What counts while it is empty, known from elsewhere: `whence` says from where.
    text : Text
        What is typed.
    note : Message
        What is wrong with it, or the hint.
    turn : int
        The greater, the later it was changed.
    """

    digits = 6  # of a number that is set
    instead, whence = None, ""

    def __init__(self, words, usual, low, high, changed=None, hint="", *, or_0=False, above=False, begin=USUAL):
        self.hint, self._above, self._called, self._given = hint, above, "", ("", None)
        self._blamed, self.turn = "", 0
        self.text = TypedText(
            placeholder="?" if hint else "",
            layout=W.Layout(width="auto", max_width="460px", min_width="0"),
            style={"description_width": LABEL},
        )
        self.note, self._title = Message(), W.HTML(layout=W.Layout(margin="2px 2px -6px 2px"))
        self.describe(words, usual, low, high, or_0)
        title = [self._title] if above else []
        super().__init__([*title, *self._controls(), self.note], layout=W.Layout(width="100%"))
        self.add_class("number-field").add_class(JUDGED)
        self.of_example, self.value = usual, usual if begin is USUAL else begin
        self._follow()
        self.heard(self._moved)
        if changed:
            self.heard(changed)

    def _controls(self):
        return [self.text]

    def describe(self, words, usual, low, high, or_0=False, called=""):
        """Ask for another number, of these words, bounds and example; `called` goes before the words in its name."""
        self._called = called or self._called
        self.words, self.usual, self.bounds, self.unit = words, usual, Bounds(low, high, or_0), unit_of(words)
        self._title.value = paragraph(words)
        self._label()
        self._follow()

    def _label(self):
        self.text.description = "" if self._above else self.words
        name(self.text, f"{self._called}{self.words}")

    def say_while_empty(self, hint, instead=None, whence=""):
        """Say another hint below it while it is empty; `instead` is the number that counts then, `whence` where it is known from."""
        self.hint, self.instead, self.whence = hint, instead, whence
        self._follow()

    @property
    def is_known(self):
        """Whether there is a number to compute with, or what is typed is to be one."""
        return bool(self.holds) or self.instead is not None

    def heard(self, act):
        """Call `act`, without arguments, after every change."""
        hear(self.text, act)

    @property
    def description(self):
        """The words."""
        return self.words

    @property
    def holds(self):
        """What is typed."""
        return self.text.value.strip()

    @property
    def value(self):
        """The number."""
        text, number = self._given
        if number is not None and text == self.text.value and self.bounds.hold(number):
            return number  # as it was set: exactly, and not as it is shown
        if self.hint and not self.holds:
            if self.instead is not None:
                return self.instead
            raise NotKnown(self.words)
        return number_typed(self.text.value, self.words, self.unit, plain(self.usual, 3), self.bounds)

    @value.setter
    def value(self, number):
        text = "" if number is None else plain(number, self.digits)
        self._given, self.text.value = (text, number), text

    def read(self):
        """Return the number, as `value`."""
        return self.value

    @property
    def refused(self):
        """Why what is typed is refused; nothing where it is taken, or not known."""
        try:
            self.read()
        except NotKnown:
            return ""
        except Refused as wrong:
            return wrong.why
        return ""

    @property
    def shown(self):
        """The number with its unit; what is typed, where that is none."""
        return self.holds if self.refused or not self.holds else with_unit(plain(self.value, 10), self.unit)

    def stands_at(self, number):
        """Return whether it holds a given number, as exactly as a field shows it."""
        known = bool(self.holds) and not self.refused and number is not None
        return known and plain(self.value) == plain(number)

    def blame(self, why):
        """Say below it why it cannot be together with others; "" where it can."""
        self._blamed = why
        self._follow()

    def _moved(self):
        self.turn = next(_TURNS)
        self._follow()

    def _follow(self):
        """Say below the field what is wrong with what is typed."""
        if self.text.value != self._given[0]:  # it is meant as it reads, also if it comes to read as what was set
            self._given = "", None
        why = self.refused or self._blamed
        self.note.complain(why and capital(why))
        if not why and self.hint:
            self.note.value = paragraph(self.hint)
        self.note.layout.display = None if why or (self.hint and not self.holds) else "none"


def fields_of(asked, changed, hint=""):
    """Return number fields by key; `changed` is called without arguments after every change.

    `asked` maps a key to (words with unit, example, least, most), and what may stand there otherwise: True if 0 goes as well, or
    a text that is said below it while it is empty, which then means that the number is not known. `hint` is that text where none
    is given; without one a field must not be empty.
    """
    fields = {}
    for key, (words, usual, low, high, *more) in asked.items():
        said = more[0] if more and more[0] is not True else hint
        fields[key] = NumberField(words, usual, low, high, changed, said, or_0=more == [True])
    return fields


class SlidingNumber(NumberField):
    """A number field with a slider, which writes into it and stands at the place nearest to what is typed there.

    Parameters
    ----------
    words, usual, low, high, changed
        As of `NumberField`; the bounds are the ends of the slider too.
    step : float
        Between two places; of a decade, where it is `logarithmic`.
    logarithmic : bool
    hint, begin
        As of `NumberField`: with a hint it may be empty, and the slider then stands hollow at its least place.
    """

    digits = 4  # of a number that is set, or that the slider writes

    def __init__(self, words, usual, low, high, step, changed=None, *, logarithmic=False, hint="", begin=USUAL):
        self._logarithmic, self.step = logarithmic, step
        self._least, self._most = map(self._place, (low, high))
        kind, base = (W.FloatLogSlider, {"base": 10}) if logarithmic else (W.FloatSlider, {})
        self.slider = kind(value=low, min=self._least, max=self._most, step=step, readout=False, **base)
        self.slider.layout = W.Layout(width="auto", flex="1 1 auto", min_width="0")
        self._spoken = SpokenValue(logarithmic=logarithmic)
        self._stands = low
        low, high = (float(plain(end, self.digits)) for end in (low, high))
        super().__init__(words, usual, low, high, changed, hint, above=True, begin=begin)
        self.text.layout = W.Layout(width="96px", flex="0 0 auto")
        self.add_class("sliding-number")
        hear(self.slider, self._slid)

    def _controls(self):
        both = W.HBox([self.slider, self.text], layout=W.Layout(width="100%", max_width="640px"))
        return [both, self._spoken]

    def _label(self):
        name(self.slider, self.words)
        name(self.text, f"{self.words}, typed")
        self._spoken.unit = "" if self.unit in (None, "-") else f" {self.unit}"

    def _place(self, number):
        return math.log10(number) if self._logarithmic else number

    def _nearest(self, number):
        """Return the number at the place of the slider that is nearest to one."""
        wanted = min(max(self._place(number), self._least), self._most)
        step = self._least + round((wanted - self._least) / self.step) * self.step
        place = min(min(step, self._most), self._most, key=lambda end: abs(end - wanted))
        return 10**place if self._logarithmic else place

    def _apart(self, one, other):
        return abs(self._place(one) - self._place(other)) > self.step / 100

    def _slid(self):
        """Write where the slider was moved to, but for the place that it was put to."""
        if self._apart(self.slider.value, self._stands):
            self._stands = self.slider.value
            self.text.value = plain(self.slider.value, self.digits)

    def _follow(self):
        super()._follow()
        if self.refused:
            return
        known = bool(self.holds)
        (self.remove_class if known else self.add_class)("no-number")
        # in as many digits as stand there, where it was set more exactly
        seen = self.shown if self._given[1] is None else with_unit(self.holds, self.unit)
        near = self._nearest(self.value if self.is_known else self.bounds.low)
        self._spoken.place, self._spoken.said = self._place(near), seen if known else self.hint
        if self._apart(near, self.slider.value):
            self._stands = self.slider.value = near
