"""What a page of a region says when it is asked: limits, what will do, what better measurements change. A closed fold costs nothing."""

import ipywidgets as W

from ...errors import DataError
from ...planning import LIKELY, what_if, widest_margin, window
from ...regions import AXES
from ..page import judged
from ..page.elements import Later, paragraph
from ..page.freshness import OLD, Answer, fail
from ..page.hearing import hear
from ..page.layout import Fold
from ..page.page_words import page_words, silent
from . import words

BETTER = 0.1  # standard deviation of ln of what is measured well


class RegionFolds:
    """The folds of a page of a region; each is answered while it is open, after the map.

    Attributes
    ----------
    limits, inverse, better : Fold
    all : list of Fold
        Top to bottom.
    """

    def __init__(self, page):
        self._page, self._later = page, Later(self._complain)
        self._said = {}
        self.limits = self._fold(words.LIMITS, self._limits)
        self.inverse = self._fold(words.INVERSE, self._inverse)
        self.better = self._fold(words.BETTER, self._better, W.HTML(paragraph(words.CALIBRATE)))
        self.all = list(self._said)

    def _fold(self, title, steps, *more):
        said = Answer()
        fold = Fold(title, lambda: W.VBox([said, *more]))
        self._said[fold] = said, steps
        hear(fold.opener, self._turned)
        return fold

    def text(self, fold):
        """Return the answer in a fold."""
        return self._said[fold][0]

    def _turned(self):
        if self._page.stands:
            self.answer()

    def wait(self):
        """Give up what was not answered yet: something else is asked."""
        self._later.stop()

    def answer(self):
        """Answer what is open and not, or no longer, answered."""
        due = [
            (said, steps)
            for fold, (said, steps) in self._said.items()
            if fold.is_open and (not said.shows or OLD in said._dom_classes)
        ]
        if due:
            status = self._page.status
            steps = [step for said, steps in due for step in steps(said)]
            self._later.start([lambda: status.say(words.MORE), *steps, lambda: status.say("")])

    def _complain(self, said):
        self._page.complain(said)
        fail(self._page)

    def _limits(self, said):
        def say():
            alone = self._page.alone
            said.value = judged.limit_table(alone) + judged.not_judged_words(alone)

        return [say]

    def _inverse(self, said):
        """Return the steps of what will do along each axis, and of the widest margin."""
        at, lines = self._page.controls, []

        def one(key):
            try:
                lines.append(self._page.at_point(window, key, probability=LIKELY).words)
            except DataError as error:  # not known is an answer
                lines.append(page_words(str(error).removeprefix("window: ")))

        def widest():
            ends = {key: AXES[key].span(at.case) for key in at.axes}
            with silent():
                lines.append(widest_margin(*self._page.described(), ends, held=at.held())["words"])
            said.value = "".join(map(paragraph, lines))

        wanted = dict.fromkeys(["bore", "print_speed", "water_content", *at.axes])
        return [*(lambda key=key: one(key) for key in wanted if key in at.known), widest]

    def _better(self, said):
        def say():
            found = self._page.at_point(what_if, spread=BETTER)
            said.value = words.what_if_words(found, BETTER, self._page.alone.unjudged)

        return [say]
