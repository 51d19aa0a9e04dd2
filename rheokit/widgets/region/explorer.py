"""The printable region: choose two axes, move everything else, and ask any point what stops it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...limits import Case
from ...machine.extruder import Extruder
from ...origins import UNSAID
from ...part.printing import PrintJob
from ...paste.material import Material
from ...planning import LIKELY, chance, what_if, widest_margin, window
from ...regions import AXES, bands, joined, region_map
from ...regions.maps import RegionMap
from ...things import a
from ..page import judged
from ..page.base import Explorer
from ..page.elements import column, paragraph, section, side_by_side
from ..page.freshness import Answer, no_newer
from ..page.machine_rows import machine_rows
from ..page.page_words import page_words, silent
from ..page.rests_on import paste_rows, rests_on, unknown_words
from . import words
from .controls import RegionControls
from .picture import RegionPicture

QUICK = (32, 100)  # points along an axis and draws, while a slider moves
FINE = (64, 1000)
BAND = 4  # rows of the fine map computed at once
REST = 0.3  # s without a move before the fine map is begun
BETTER = 0.1  # standard deviation of ln of what is measured well


class RegionExplorer(Explorer):
    """Map two things, move the others, pick a point and read what stops it and what would help.

    Parameters
    ----------
    material : Material
    extruder : Extruder
    job : PrintJob
    across, up : str
        Names of ``AXES`` to begin with; None: the water content. Where it cannot be moved: the bore, or the print speed.
    subtitle : sequence of str
        Said below the title of the picture: which paste, and whether it is invented.
    fine, quick : (int, int)
        Points along an axis and draws of the map, and of the one drawn while a slider moves.
    machine : str
        Where the numbers of extruder and job come from (see `rheokit.origins`).

    Attributes
    ----------
    controls : RegionControls
    found : RegionMap or None
        The map that is shown.
    alone : RegionMap or None
        The point that is explained.
    """

    max_width, pause = "1240px", REST

    def __init__(
        self,
        material: Material,
        extruder: Extruder,
        job: PrintJob,
        across: str = "bore",
        up: str | None = None,
        subtitle: Sequence[str] = (),
        fine: tuple[int, int] = FINE,
        quick: tuple[int, int] = QUICK,
        machine: str = UNSAID,
    ) -> None:
        draws = material.law_draws
        self.material = material if draws is None else replace(material, law_draws=cache(draws))
        self.extruder, self.job = extruder, a("PrintJob", "RegionExplorer", "job", job)
        self._fine, self._quick, self._machine = fine, quick, machine
        self._parts: list[RegionMap] = []
        self.found: RegionMap | None = None
        self.alone: RegionMap | None = None
        self._invented = charts.invented_lines(material, machine)
        case = Case.of(material, extruder, job)
        self.controls = RegionControls(case, across, up, self.refresh, self._new_point)
        self.picture = RegionPicture(self.controls.pick, [*subtitle, *self._invented])
        super().__init__()

    def __repr__(self):
        return f"RegionExplorer over {' and '.join(self.controls.axes)}"

    def sections(self) -> list[W.Widget]:
        """Return axes, picture, sliders, point and all that is said of it."""
        at = self.controls
        self.answered, self.limits, self.unjudged, self.inverse, self.better = (Answer() for _ in range(5))
        choices = (column(choice, share="1 1 200px") for choice in (at.across, at.up, at.kind))
        picture = column(self.probe, self.picture, share="3 1 500px")
        moved = column(*at.moved_most, *at.machine, share="1 1 280px")
        point = column(W.HTML(paragraph(words.POINT)), *at.point.values(), share="1 1 320px")
        return [
            self.message,
            side_by_side(*choices),
            side_by_side(picture, moved),
            side_by_side(point, column(self.answered, self.rests, self.status, share="2 1 400px")),
            self.picture.words,
            section("Limits at the point", self.limits, self.unjudged),
            section("What will do", self.inverse),
            section("What better measurements would change", self.better),
            W.HTML(paragraph(words.CALIBRATE)),
        ]

    # --- what is asked ------------------------------------------------------------------------------------------

    def described(self) -> Any:
        """Return the material, and the extruder and the job of the fields."""
        return (self.material, *self.controls.described(self.extruder, self.job))

    def _map(self, axes, draws):
        draws = draws if self.controls.kind.value == words.PROBABLE else 0
        with silent():  # each is kept in the notes of the map
            return region_map(*self.described(), None, axes, draws=draws, held=self.controls.held())

    def _at_point(self, ask, *what, **how):
        held = self.controls.held() | self.controls.where()
        with silent():
            return ask(*self.described(), *what, draws=self._fine[1], held=held, **how)

    # --- what happens -------------------------------------------------------------------------------------------

    @property
    def before(self) -> str:
        """What still stands."""
        return "" if self.found is None else words.BEFORE

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """A quick map at once; the fine one and all that is said of it after a rest."""
        if len(set(self.controls.axes)) < 2:
            return [self.described]  # which says so
        cut = bands(self._spread(self._fine[0]), BAND)
        fine = (lambda axes=axes: self._parts.append(self._map(axes, self._fine[1])) for axes in cut)
        return [self._show_quick, self._explain, *fine, self._show_fine, *self._more()]

    def _spread(self, count):
        return {key: self.controls.spread(key, count) for key in self.controls.axes}

    def refresh(self) -> None:
        """Compute another map."""
        self._parts = []
        super().refresh()

    def _show_quick(self):
        count, draws = self._quick
        self._show(self._map(self._spread(count), draws), quick=True)
        self.status.say(words.FINE_MAP)

    def _show_fine(self):
        self._show(joined(self._parts))
        self.status.say(words.WHAT_WILL_DO)

    def new_page(self) -> None:
        """Show it again for another theme or width: no number depends on them, and what is being computed goes on."""
        if self.found is not None and tuple(self.found.axes) == self.controls.axes:
            with no_newer(self):
                self._show_picture(self._point)

    def _show_picture(self, point=None):
        self._point = self.controls.where() if point is None else point
        self.picture.show(self.found, self._point, **self.paper, quick=self._rough)

    def _show(self, found, quick=False):
        self.found, self._rough = found, quick
        self._show_picture()
        warned = found.case.caveats
        said = [note if note in warned else f"Somewhere on the map, {note}" for note in found.notes]
        self.message.complain("\n".join(map(page_words, said)))

    def _explain(self):
        self.alone = self._at_point(chance)
        said = judged.answer(self.alone, charts.place_words(self.controls.where()))
        self.answered.value = said + "".join(map(paragraph, self._invented))
        self.limits.value = judged.limit_table(self.alone)
        self.rests.value = rests_on(self.rows(), unknown_words(self.material))
        self.unjudged.value = judged.not_judged_words(self.alone)

    def rows(self) -> list[tuple]:
        """Return the rows of every number that the answer at the point rests on."""
        _, extruder, _ = self.described()
        here = self.controls.set_here(self.extruder, self.job)
        case = judged.case_of(self.alone)
        rows = machine_rows(self.material, extruder, case, self._machine, here, self._fine[1])
        return [*rows, *paste_rows(self.material, None, case.paste, here)]

    def _more(self):
        """Return the steps of the inverse answers and of what better measurements would change."""
        lines = []

        def one(key):
            try:
                lines.append(self._at_point(window, key, probability=LIKELY).words)
            except DataError as error:  # not known is an answer
                lines.append(page_words(str(error).removeprefix("window: ")))

        def widest():
            ends = {key: AXES[key].span(self.controls.case) for key in self.controls.axes}
            with silent():
                lines.append(widest_margin(*self.described(), ends, held=self.controls.held())["words"])
            self.inverse.value = "".join(map(paragraph, lines))
            self.status.say(words.MEASURED_BETTER)

        def better():
            found = self._at_point(what_if, spread=BETTER)
            self.better.value = words.what_if_words(found, BETTER, self.alone.unjudged)
            self.status.say("")

        wanted = dict.fromkeys(["bore", "print_speed", "water_content", *self.controls.axes])
        known = [key for key in wanted if key in self.controls.known]
        return [*(lambda key=key: one(key) for key in known), widest, better]

    def _new_point(self):
        """Mark and explain another point of the map that is shown."""
        if self.found is None:
            return
        if tuple(self.found.axes) != self.controls.axes or len(self._parts) * BAND < self._fine[0]:
            self.refresh()
            return
        self.status.say(words.WHAT_WILL_DO)
        self._later.start([lambda: self._show(self.found), self._explain, *self._more()])
