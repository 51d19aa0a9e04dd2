"""The tests of the open bench in the form: one is taken back into it to be corrected, or taken out of the bench."""

import ipywidgets as W

from ...errors import DataError
from ..page.accessible import name
from ..page.elements import FIELD, Message, paragraph, press_button, show
from ..page.hearing import hear
from . import typed_words, words

NONE = -1


def mark_of(test, tests):
    """Return by what a test is known among others, after a restart too: its words, and its place among those of its kind."""
    return [words.counted(test), [one for one in tests if one.kind == test.kind].index(test)]


def marked(alike, mark):
    """Return the test that `mark_of` marked among those of its kind, None where there is none or no mark."""
    called, place = mark or ("", None)
    found = {k: test for k, test in enumerate(alike) if words.counted(test) == called}
    return found.get(place) or next(iter(found.values()), None)


class HeldTests(W.VBox):
    """A choice among the tests of a bench.

    Parameters
    ----------
    correct, take_out : callable
        Take the place of the chosen test among those of the bench, and return in words what was done.

    Attributes
    ----------
    which : Dropdown
        The place of a test, `NONE` for none.
    correct, take_out : Button
    said : Message
        What was done with it, or why it cannot be.
    """

    def __init__(self, correct, take_out):
        title = W.HTML(paragraph(typed_words.OF_BENCH), layout=W.Layout(margin="2px 2px -6px 2px"))
        self.which = W.Dropdown(options=[(typed_words.NO_TEST_CHOSEN, NONE)], layout=W.Layout(**FIELD))
        name(self.which, typed_words.OF_BENCH)
        self.correct = press_button(typed_words.CORRECT, lambda: self._do(correct))
        self.take_out = press_button(typed_words.TAKE_THIS_OUT, lambda: self._do(take_out))
        self.said = Message()
        hear(self.which, self._choose)
        buttons = W.Box([self.correct, self.take_out], layout=W.Layout(flex_flow="row wrap", display="flex"))
        super().__init__([title, self.which, buttons, self.said], layout=W.Layout(width="100%"))
        self.offer(())

    def offer(self, tests):
        """Offer the tests of a bench."""
        named = [(words.counted(test), place) for place, test in enumerate(tests)]
        options = [(typed_words.NO_TEST_CHOSEN, NONE), *named]
        if options != list(self.which.options):
            self.which.options = options
        self._choose()
        show(self, bool(named))

    def _choose(self):
        self.correct.disabled = self.take_out.disabled = self.which.value == NONE

    def _do(self, act):
        try:
            self.said.say(act(self.which.value))
        except DataError as error:
            self.said.complain(str(error))
