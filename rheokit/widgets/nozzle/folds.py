"""What page 2 says beside force and limits: tables of all numbers, which needle to take from stock, what the interval is made of, and the flow factor of a catch."""

from typing import Any

import ipywidgets as W

from ...errors import DataError
from ...limits import Case
from ...nomenclature import sentence, written
from ...planning import nozzle_advice
from ...regions import AXES
from ..page.elements import details, paragraph, table
from ..page.freshness import Answer
from ..page.hearing import hear
from ..page.layout import Fold
from ..page.page_words import in_words, silent
from ..page.strip import with_room
from . import made_of, words
from .stock import CatchPanel, StockPanel, needles_fold

AS_READ = "Which needle to take is told of the paste as it was read: set the stiffness to 1."


class NozzleFolds:
    """The tables and the needles, told after every change, and what is told while its fold is open: what the interval is made of, and the catch.

    Parameters
    ----------
    page : NozzleExplorer
    """

    def __init__(self, page: Any) -> None:
        self._page = page
        self.stock, self.catch = StockPanel(), Fold(words.CATCH, CatchPanel)
        hear(self.catch.opener, self.show_catch)
        self.made_of = Fold(made_of.TITLE, Answer)
        hear(self.made_of.opener, self.show_made_of)

    @property
    def all(self) -> list[W.Widget]:
        """Every one, to stand below the tables."""
        return [self.made_of, self.catch]

    def show_numbers(self) -> None:
        """Tabulate force and pressure with their limits."""
        page = self._page
        with silent():  # said above, for the best values
            rows = words.force_rows(page.case, page.limits)
        self._fill(page.numbers, rows, "Force and pressure", words.limits_say(page.fit))

    def show_start(self) -> None:
        """Tabulate what starts and stops slowly."""
        page = self._page
        with silent():
            rows = words.start_and_stop_rows(page.case, page.drawn_case)
        self._fill(page.startstop, rows, "Start and stop", page.not_drawn or words.DRAWN)
        page.status.say("")

    def _fill(self, place, rows, title, said):
        told = f"{title} at {written(self._page.case.flow_rate, 'm³/s')}"
        place.value = details(title, table(words.HEAD, rows, told) + paragraph(said))

    def show_stock(self) -> None:
        """Say which needle to take, where that can be said."""
        page, told = self._page, self.stock
        case: Case | None = page.case
        if case is None:
            told.value = needles_fold()
            return
        held = {} if page.controls.stiffness.value == 1 else {"stiffness": AXES["stiffness"].get(case)}
        if not all(held.values()):  # of a law without a yield stress
            told.value = paragraph(AS_READ)
            return
        try:
            with silent():
                advice = nozzle_advice(page.material, page.controls.extruder(), case.job, held=held)
        except DataError as error:
            told.value = paragraph(in_words(error))
            return
        told.show(advice)
        if advice.take:  # told in view too, after what binds first
            first, grade = page.binds
            page.strip.binds.say(with_room(f"{first.removesuffix('.')}.", f"{advice.take}."), grade)

    def show_made_of(self) -> None:
        """Say what the interval of the force is made of, while somebody looks."""
        if not self.made_of.is_open:
            return
        page, answer = self._page, self.made_of.made
        if page.case is None:
            answer.value = paragraph(_lacks(page))
            return
        try:
            answer.value = made_of.made_of(page.fit, page.case, page.controls.extruder())
        except DataError as error:
            answer.value = paragraph(in_words(error))

    def show_catch(self) -> None:
        """Hand the flow that is set and the density to the panel of the catch."""
        if not self.catch.is_open:
            return
        case, panel = self._page.case, self.catch.made
        density = None if case is None else case.paste.density
        if density is None:
            panel.complain(_lacks(self._page) if case is None else words.NEEDS_DENSITY)
            return
        panel.show(float(case.flow_rate), float(density))


def _lacks(page):
    """Return in a sentence why there is no case."""
    return sentence(words.lacking(page.lacks)) if page.lacks is not None else "Not known."
