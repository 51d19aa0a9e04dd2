"""What a page of a region says when it is asked: limits, what will do, what better measurements change. A closed fold costs nothing."""

import ipywidgets as W

from ...errors import DataError
from ...planning import LIKELY, nozzle_advice, what_if, widest_margin, window
from ...regions import AXES
from ..page import judged
from ..page.answered_folds import AnsweredFolds
from ..page.elements import paragraph
from ..page.freshness import Answer
from ..page.page_words import page_words, silent
from . import words

BETTER = 0.1  # standard deviation of ln of what is measured well


class RegionFolds(AnsweredFolds):
    """The folds of a page of a region, answered after its map.

    Attributes
    ----------
    limits, inverse, better : Fold
    """

    def __init__(self, page):
        super().__init__(page, words.MORE)
        self._said = {}
        self.limits = self._fold(words.LIMITS, self._limits)
        self.inverse = self._fold(words.INVERSE, self._inverse)
        self.better = self._fold(words.BETTER, self._better, W.HTML(paragraph(words.CALIBRATE)))

    def _fold(self, title, steps, *more):
        said = Answer()
        fold = self.fold(title, lambda: steps(said), said, *more)
        self._said[fold] = said
        return fold

    def text(self, fold):
        """Return the answer in a fold."""
        return self._said[fold]

    def _limits(self, said):
        def say():
            alone = self.page.alone
            said.value = judged.limit_table(alone) + judged.not_judged_words(alone)

        return [say]

    def _inverse(self, said):
        """Return the steps of what will do along each axis, and of the widest margin."""
        at, lines = self.page.controls, []

        def one(key):
            try:
                lines.append(self.page.at_point(window, key, probability=LIKELY).words)
            except DataError as error:  # not known is an answer
                lines.append(page_words(str(error).removeprefix("window: ")))

        def widest():
            ends = {key: AXES[key].span(at.case) for key in at.axes}
            with silent():
                lines.append(widest_margin(*self.page.described(), ends, held=at.held())["words"])
            said.value = "".join(map(paragraph, lines))

        def stock():
            try:
                held = at.held() | at.where()
                held.pop("bore", None)  # each needle brings its own
                with silent():
                    lines.append(nozzle_advice(*self.page.described(), held=held).words)
            except DataError as error:
                lines.append(page_words(str(error)))

        wanted = dict.fromkeys(["bore", "print_speed", "water_content", *at.axes])
        return [*(lambda key=key: one(key) for key in wanted if key in at.known), stock, widest]

    def _better(self, said):
        def say():
            found = self.page.at_point(what_if, spread=BETTER)
            said.value = words.what_if_words(found, BETTER, self.page.alone.unjudged)

        return [say]
