"""A fibre from the needle to the drum: its way in pictures, how to wind it, what stops it first, what if, and maps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import ipywidgets as W

from ... import charts
from ...limits import Case
from ...machine.extruder import Extruder
from ...origins import UNSAID
from ...part.winding import FibreJob
from ...paste.material import Material
from ...planning import chance
from ...planning.fibre_way import fibre_way
from ...planning.winding import Winding
from ...regions.maps import RegionMap
from ...things import a
from ...units import mm
from ...workbook import shelf
from ...workbook.opened import Workbook
from ...workbook.plan import Plan
from ..page import judged
from ..page.base import Explorer
from ..page.elements import paragraph
from ..page.freshness import Answer
from ..page.hearing import hear_press
from ..page.in_short import tell_point
from ..page.layout import beside
from ..page.machine_rows import machine_rows
from ..page.page_words import doubts, once, page_words, silent
from ..page.pictures import MovingPicture
from ..page.rests_on import SET, paste_rows, rests_on, unknown_words
from ..page.strip import Strip
from ..page.workbook_page import WorkbookPage
from . import words
from .controls import FibreControls
from .folds import SEED, FibreFolds

ON_WAY = 200  # draws of the pictures
FINE = (40, 1000)  # points along an axis of a map, and draws of the answers
REST = 0.3  # s without a move before the answers are begun


class FibreExplorer(Explorer):
    """Draw a gel as a fibre: see its way, how fast to wind it, what stops it first, and where it can be drawn.

    Parameters
    ----------
    material : Material
    extruder : Extruder
        With the needle.
    job : FibreJob
    drum_diameter : float
        [m]
    subtitle : sequence of str
        Said below the titles of the pictures: which gel, and whether it is invented.
    fine : (int, int)
        Points along an axis of the maps, and draws of the answers.
    machine : str
        Where the numbers of extruder and job come from (see `rheokit.origins`).

    Attributes
    ----------
    controls : FibreControls
    winding : Winding or None
        What was asked last.
    alone : RegionMap or None
        The limits of it, with draws.
    """

    pause = REST
    plan: Plan | None = None

    def __init__(
        self,
        material: Material,
        extruder: Extruder,
        job: FibreJob,
        drum_diameter: float = 60 * mm,
        subtitle: Sequence[str] = (),
        fine: tuple[int, int] = FINE,
        machine: str = UNSAID,
    ) -> None:
        for kind, name, given in (("Material", "material", material), ("FibreJob", "job", job)):
            a(kind, "FibreExplorer", name, given)
        self._begin(fine)
        self._take(material, extruder, job, subtitle, machine)
        self.controls = FibreControls(Case.of(self.material, extruder, job), drum_diameter, self.changed)
        super().__init__()

    @classmethod
    def of(cls, workbook: Workbook, fine: tuple[int, int] = FINE) -> FibreExplorer:
        """Return the explorer of a workbook, which reads from its plan and writes into it; `fine` as above."""
        from .planned import PlannedFibre

        return PlannedFibre(workbook, fine)

    def _begin(self, fine):
        self.fine = fine
        self.winding: Winding | None = None
        self.alone: RegionMap | None = None

    def _take(self, material, extruder, job, subtitle, machine, origins=None):
        draws = material.law_draws
        self.material = material if draws is None else replace(material, law_draws=cache(draws))
        self.extruder, self.job, self._origins = extruder, job, origins or (machine, machine)
        self._invented = charts.invented_lines(material, *self._origins, made="fibre")
        self.subtitle = [*subtitle, *self._invented]

    def __repr__(self):
        return "FibreExplorer"

    def sections(self) -> list[W.Widget]:
        """Return the answer in short, sliders beside the way of the fibre, all that is said, and what is folded."""
        self.strip = Strip()
        self.wound, self.forced, self.answered, self.cautions = (Answer() for _ in range(4))
        self.way = {key: MovingPicture(title, 330) for key, title in words.PICTURES.items()}
        self.folds = FibreFolds(self)
        pictures = W.VBox([self.probe, *self.way.values()])
        return [
            self.strip,
            beside(self._main(), pictures, *self._others()),
            self.wound,
            self.forced,
            self.answered,
            self.cautions,
            *self.folds.all,
            self.rests,
            W.HTML(paragraph(words.NOTE)),
        ]

    def _main(self):
        """Return what is moved most."""
        return W.VBox([*self.controls.sliders.values(), self.status, self.message])

    def _others(self):
        """Return the other controls."""
        return self.controls.columns

    # --- what is asked ------------------------------------------------------------------------------------------

    def described(self) -> Any:
        """Return the material, and the extruder and the job of the controls."""
        return (self.material, *self.controls.described(self.extruder, self.job))

    @property
    def taken(self) -> list[str]:
        """What counts as something because it is not known: nothing, where all of it was given."""
        return []

    @property
    def before(self) -> str:
        """What still stands."""
        return "" if self.winding is None else words.BEFORE

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """The way at once; the rest after a rest."""
        return [self._show_way, self._say, self.show_rests, self._done]

    @property
    def stands(self) -> bool:
        """Whether all that is not folded is answered."""
        return self._stands

    _stands = False

    def refresh(self) -> None:
        """Compute again."""
        self._stands = False
        self.folds.wait()
        super().refresh()

    # --- what happens -------------------------------------------------------------------------------------------

    def _show_way(self):
        self.winding = Winding(*self.described(), draws=ON_WAY, seed=SEED)
        self._doubts = self._draw_way()
        self.message.complain("\n".join(self._doubts))
        self.status.say(words.WORKING)

    def redraw(self) -> None:
        """Draw the way that stands from before an error for the page as it is now."""
        if self.winding is not None:
            self._draw_way()

    def _draw_way(self):
        """Draw the way, and return what is doubtful of it."""
        with doubts() as said:
            way = fibre_way(self.winding.case, self.winding.drawn, self.winding.normals)
        for key, picture in self.way.items():
            if key in way.unknown and way.table[key].isna().all():
                picture.leave_out(f"{words.PICTURES[key]}: not known, {way.unknown[key]}.")
            else:
                draw = getattr(charts, f"drawn_fibre_{key}")
                picture.move(draw(way, self.subtitle, **self.paper))
        return said

    def _say(self):
        drum, drive = self.controls.drum_diameter, self.winding.extruder.drive
        with silent():  # kept in the notes of the map
            self.alone = chance(*self.described(), draws=self.fine[1], seed=SEED)
            winding = replace(self.winding, draws=self.fine[1] // 2)
            self.wound.value = words.wind_words(winding, drum)
            where = words.settings(self.winding.job, drum)
            below = words.hazards(drive).values()
            answer = judged.answer(self.alone, where, below)
            self.answered.value = answer + "".join(map(paragraph, self._invented))
            wind = words.wind_in_short(winding, drum)
            tell_point(self.strip, self.alone, where, self._invented, wind, self.taken)
        self.cautions.value = words.cautions(drive)
        notes = [page_words(note) for note in self.alone.notes if note not in self.alone.case.caveats]
        self.message.complain("\n".join(once([*self._doubts, *notes])))

    def rows(self) -> list[tuple]:
        """Return the rows of every number that the answers rest on."""
        here, winding = self.controls.set_here(), self.winding
        machine, job = self._origins
        rows = machine_rows(self.material, winding.extruder, winding.case, machine, here, job, self.plan)
        drum = words.drum_row(self.controls.drum_diameter, SET if "drum_diameter" in here else job)
        return [*rows, drum, *paste_rows(self.material)]

    def show_rests(self) -> None:
        """Say what the answers rest on, and what of the paste is not known."""
        self.rests.value = rests_on(self.rows(), unknown_words(self.material))

    def _done(self):
        self._stands = True
        self.status.say("")
        self.folds.answer()


class FibrePage(WorkbookPage):
    """A fibre of the paste that is picked."""

    first_demo = "gelatin-dope-40"

    def explorer_of(self, workbook: Workbook) -> FibreExplorer:
        """Return the explorer of a workbook, from which a demo can be opened where it can compute nothing."""
        explorer = FibreExplorer.of(workbook)
        hear_press(explorer.demo, lambda: self.open_folder(shelf.demo(self.first_demo)))
        return explorer
