"""A part of the page behind a button, made when it is first asked for: until then it costs no time."""

import ipywidgets as W

from ..page.elements import show
from ..page.hearing import hear


class Folded(W.VBox):
    """A place for a widget that a button opens and closes.

    `make` returns the widget, and is called once: at the first press of the button, `opener`, or when `made` is asked for.
    """

    def __init__(self, words, icon, make):
        self.opener = W.ToggleButton(description=words, icon=icon, layout=W.Layout(width="auto", max_width="100%"))
        self.inside, self._make = None, make
        super().__init__([], layout=W.Layout(width="100%"))
        show(self, False)
        hear(self.opener, self._turn)

    @property
    def made(self):
        """The widget, made now if it was not yet."""
        if self.inside is None:
            self._fill()
        return self.inside

    def _fill(self):
        self.inside = self._make()
        self.children = [self.inside]

    def _turn(self):
        if self.opener.value and self.inside is None:
            self._fill()
        show(self, self.opener.value)
