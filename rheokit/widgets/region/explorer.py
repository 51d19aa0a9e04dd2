"""The printable region: choose two axes, move everything else, and ask any point what stops it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import ipywidgets as W

from ... import charts
from ...limits import Case
from ...machine.extruder import Extruder
from ...origins import UNSAID
from ...part.printing import PrintJob
from ...paste.material import Material
from ...planning import chance
from ...regions import bands, joined, region_map
from ...regions.maps import RegionMap
from ...things import a
from ...workbook.opened import Workbook
from ...workbook.plan import Plan
from ..page import judged
from ..page.base import Explorer
from ..page.elements import paragraph
from ..page.freshness import Answer, no_newer
from ..page.in_short import tell_point
from ..page.layout import beside
from ..page.machine_rows import machine_rows
from ..page.page_words import page_words, silent
from ..page.rests_on import paste_rows, rests_on, unknown_words
from ..page.strip import Strip
from ..page.workbook_page import WorkbookPage
from . import words
from .controls import RegionControls
from .folds import RegionFolds
from .picture import RegionPicture

QUICK = (32, 100)  # points along an axis and draws, while a slider moves
FINE = (64, 1000)
BAND = 4  # rows of the fine map computed at once
REST = 0.3  # s without a move before the fine map is begun


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

    pause = REST
    plan: Plan | None = None

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
        self._begin(fine, quick)
        self._take(material, extruder, job, subtitle, machine)
        self.controls = RegionControls(self._case(), across, up, self.refresh, self._new_point)
        super().__init__()

    @classmethod
    def of(cls, workbook: Workbook, fine: tuple[int, int] = FINE, quick: tuple[int, int] = QUICK) -> RegionExplorer:
        """Return the explorer of a workbook, which reads from its plan and writes into it; `fine` and `quick` as above."""
        from .planned import PlannedRegion

        return PlannedRegion(workbook, fine, quick)

    def _begin(self, fine, quick):
        self._fine, self._quick = fine, quick
        self._parts: list[RegionMap] = []
        self.found: RegionMap | None = None
        self.alone: RegionMap | None = None
        self.picture = RegionPicture(lambda x, y: self.controls.pick(x, y))

    def _take(self, material, extruder, job, subtitle, machine, origins=None):
        draws = material.law_draws
        self.material = material if draws is None else replace(material, law_draws=cache(draws))
        self.extruder, self.job = extruder, a("PrintJob", "RegionExplorer", "job", job)
        self._origins = origins or (machine, machine)
        self._invented = charts.invented_lines(material, *self._origins)
        self.picture.subtitle = [*subtitle, *self._invented]

    def _case(self):
        return Case.of(self.material, self.extruder, self.job)

    def __repr__(self):
        return f"RegionExplorer over {' and '.join(self.controls.axes)}"

    def sections(self) -> list[W.Widget]:
        """Return the answer in short, axes and point beside the map, sliders, and all that is said of the point."""
        self.strip, self.answered = Strip(), Answer()
        self.folds = RegionFolds(self)
        picture = W.VBox(
            [self.probe, self.picture, self.status, self.message]
        )  # below: nothing moves where it comes and goes
        return [
            self.strip,
            beside(self._main(), picture, *self._others()),
            self.answered,
            *self.folds.all,
            self.picture.words,
            self.rests,
        ]

    def _main(self):
        """Return what is chosen of the map, and the point on it."""
        at = self.controls
        point = W.HTML(paragraph(words.POINT))
        return W.VBox([at.both, at.kind, point, W.HBox(list(at.point.values()))])

    def _others(self):
        """Return what is moved beside the map."""
        return [*self.controls.moved_most, *self.controls.machine]

    # --- what is asked ------------------------------------------------------------------------------------------

    def described(self) -> Any:
        """Return the material, and the extruder and the job of the fields."""
        return (self.material, *self.controls.described(self.extruder, self.job))

    def _map(self, axes, draws):
        draws = draws if self.controls.kind.value == words.PROBABLE else 0
        with silent():  # each is kept in the notes of the map
            return region_map(*self.described(), None, axes, draws=draws, held=self.controls.held())

    def at_point(self, ask: Callable[..., Any], *what: Any, **how: Any) -> Any:
        """Return what one of the functions of `planning` says of the point."""
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
        return [self._show_quick, self._explain, *fine, self._show_fine]

    def _spread(self, count):
        return {key: self.controls.spread(key, count) for key in self.controls.axes}

    def refresh(self) -> None:
        """Compute another map."""
        self._parts = []
        self.folds.wait()
        super().refresh()

    def _show_quick(self):
        count, draws = self._quick
        self._show(self._map(self._spread(count), draws), quick=True)
        self.status.say(words.FINE_MAP)

    def _show_fine(self):
        self._show(joined(self._parts))
        self.status.say("")
        self.folds.answer()

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
        self.alone = self.at_point(chance)
        where = charts.place_words(self.controls.where(), charts.POINT_DIGITS)
        tell_point(self.strip, self.alone, where, self._invented)
        self.answered.value = judged.answer(self.alone, where) + "".join(map(paragraph, self._invented))
        self.rests.value = rests_on(self.rows(), unknown_words(self.material))

    @property
    def stands(self) -> bool:
        """Whether the fine map of what the controls hold is shown, and its point explained."""
        return (
            self.found is not None
            and tuple(self.found.axes) == self.controls.axes
            and len(self._parts) * BAND >= self._fine[0]
        )

    @property
    def told(self) -> Mapping[str, tuple[float, float]]:
        """The 95 % limits [SI] of what is told of the paste with them, by name."""
        return {}

    def rows(self) -> list[tuple]:
        """Return the rows of every number that the answer at the point rests on."""
        _, extruder, _ = self.described()
        here = self.controls.set_here(self.extruder, self.job)
        case = judged.case_of(self.alone)
        machine, job = self._origins
        rows = machine_rows(self.material, extruder, case, machine, here, job, self.plan)
        return [*rows, *paste_rows(self.material, case.paste, here, self.told)]

    def _new_point(self):
        """Mark and explain another point of the map that is shown."""
        if self.found is None:
            return
        if not self.stands:
            self.refresh()
            return
        self.folds.wait()
        self._later.start([lambda: self._show(self.found), self._explain, self.folds.answer])


class RegionPage(WorkbookPage):
    """The printable region of the paste that is picked."""

    def explorer_of(self, workbook: Workbook) -> RegionExplorer:
        """Return the explorer of a workbook."""
        return RegionExplorer.of(workbook)
