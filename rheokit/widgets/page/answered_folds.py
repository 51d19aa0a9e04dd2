"""Folds that are answered while they are open, after what stands above them: a closed one costs nothing.

A page gives one `AnsweredFolds(page)` a subclass with a `fold(title, steps)` for each, calls `wait()` when something else is asked
and `answer()` when the rest stands; `page.stands` says whether it does.
"""

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets as W

from .elements import Later
from .freshness import OLD, clear, dated_in, expire, fail
from .hearing import hear
from .layout import Fold


class AnsweredFolds:
    """The folds of a page, each of which is answered while it is open.

    Parameters
    ----------
    page : Explorer
        With `stands`, whether it is answered, and `status` and `fault`.
    working : str
        What its status says meanwhile.

    Attributes
    ----------
    all : list of Fold
        Top to bottom.
    """

    def __init__(self, page: Any, working: str) -> None:
        self.page, self._working, self._later = page, working, Later(self._complain)
        self._steps: dict[Fold, tuple[Any, Callable[[], Sequence[Callable[[], object]]]]] = {}

    def fold(self, title: str, steps: Callable[[], Sequence[Callable[[], object]]], *inside: W.Widget) -> Fold:
        """Return a fold; `steps` returns what writes its answers and pictures, which are `inside`."""
        fold = Fold(title, lambda: W.VBox(inside, layout=W.Layout(width="100%")))
        self._steps[fold] = inside, steps
        hear(fold.opener, self._turned)
        return fold

    @property
    def all(self) -> list[Fold]:
        """The folds, top to bottom."""
        return list(self._steps)

    def _turned(self):
        for fold, (inside, _) in self._steps.items():
            if not fold.is_open:
                for place in inside:
                    clear(place)
        if self.page.stands:
            self.answer()

    def wait(self) -> None:
        """Give up what was not answered yet, and mark what was as old, or take it away where nobody sees it: something else is asked."""
        self._later.stop()
        for fold, (inside, _) in self._steps.items():
            for place in inside:
                expire(place)
                if not fold.is_open:
                    clear(place)

    def answer(self) -> None:
        """Answer what is open and not, or no longer, answered."""
        due = [steps for fold, (inside, steps) in self._steps.items() if fold.is_open and _is_old(inside)]
        if due:
            status = self.page.status
            said = [step for steps in due for step in steps()]
            self._later.start([lambda: status.say(self._working), *said, lambda: status.say("")])

    def _complain(self, error):
        self.page.fault(error)
        for inside, _ in self._steps.values():
            for place in inside:
                fail(place)


def _is_old(inside):
    return any(not one.shows or OLD in one._dom_classes for place in inside for one in dated_in(place))
