"""A fibre from the needle to the drum: its way in pictures, how to wind it, what stops it first, what if, and maps."""

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
from ...planning.sweeps import spaced
from ...planning.winding import Winding
from ...regions import AXES, region_map
from ...regions.maps import RegionMap
from ...things import a
from ...units import mm
from ..page import judged
from ..page.base import Explorer
from ..page.elements import column, paragraph, section, side_by_side
from ..page.freshness import Answer
from ..page.machine_rows import machine_rows
from ..page.page_words import doubts, page_words, silent
from ..page.pictures import MovingPicture, Picture
from ..page.rests_on import SET, paste_rows, rests_on, unknown_words
from . import words
from .controls import FibreControls

ON_WAY = 200  # draws of the pictures
FINE = (40, 1000)  # points along an axis of a map, and draws of the answers
REST = 0.3  # s without a move before the maps are begun
MAP_DRAWS = 200
SEED = 0


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

    max_width, pause = "1240px", REST

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
        draws = material.law_draws
        self.material = material if draws is None else replace(material, law_draws=cache(draws))
        self.extruder, self.job, self._fine, self._machine = extruder, job, fine, machine
        self.winding: Winding | None = None
        self.alone: RegionMap | None = None
        self._invented = charts.invented_lines(material, machine)
        self._subtitle = [*subtitle, *self._invented]
        self.controls = FibreControls(Case.of(material, extruder, job), drum_diameter, self.changed)
        super().__init__()

    def __repr__(self):
        return "FibreExplorer"

    def sections(self) -> list[W.Widget]:
        """Return answers, sliders, pictures, fields, tables and maps."""
        at = self.controls
        self.wound, self.answered, self.limits, self.unjudged, self.what_if, self.cautions = (
            Answer() for _ in range(6)
        )
        self.way = {key: MovingPicture(title, 330) for key, title in words.PICTURES.items()}
        self.maps = [Picture(f"{words.MAPS}, {place} map", 560) for place in ("first", "second")]
        pictures = column(self.probe, *self.way.values(), share="3 1 520px")
        moved = column(*at.sliders.values(), *at.columns, self.together, share="1 1 300px")
        return [
            self.message,
            section("How to wind it", self.wound, self.answered, self.rests, self.status),
            section(
                "Its way from the needle to the drum", side_by_side(pictures, moved), W.HTML(paragraph(words.NOTE))
            ),
            section("Limits", self.limits, self.unjudged, self.cautions),
            section("What if", self.what_if),
            section(words.MAPS, *self.maps),
        ]

    # --- what is asked ------------------------------------------------------------------------------------------

    def described(self) -> Any:
        """Return the material, and the extruder and the job of the controls."""
        return (self.material, *self.controls.described(self.extruder, self.job))

    @property
    def before(self) -> str:
        """What still stands."""
        return "" if self.winding is None else words.BEFORE

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """The way at once; the rest after a rest."""
        maps = [lambda place=place: self._show_map(place) for place in range(len(self.maps))]
        return [self._show_way, self._say, self._say_limits, self._say_what_if, self.show_rests, *maps, self._done]

    # --- what happens -------------------------------------------------------------------------------------------

    def _show_way(self):
        self.winding = Winding(*self.described(), draws=ON_WAY, seed=SEED)
        with doubts() as said:
            way = fibre_way(self.winding.case, self.winding.drawn, self.winding.normals)
        for key, picture in self.way.items():
            if key in way.unknown and way.table[key].isna().all():
                picture.leave_out(f"{words.PICTURES[key]}: not known, {way.unknown[key]}.")
            else:
                draw = getattr(charts, f"drawn_fibre_{key}")
                picture.move(draw(way, self._subtitle, **self.paper))
        self._doubts = said
        self.message.complain("\n".join(said))
        self.status.say(words.WORKING)

    def _say(self):
        drum = self.controls.drum_diameter
        with silent():  # kept in the notes of the map
            self.alone = chance(*self.described(), draws=self._fine[1], seed=SEED)
            self.wound.value = words.wind_words(replace(self.winding, draws=self._fine[1] // 2), drum)
            said = judged.answer(self.alone, words.settings(self.winding.job, drum))
        self.answered.value = said + "".join(map(paragraph, self._invented))
        notes = [page_words(note) for note in self.alone.notes if note not in self.alone.case.caveats]
        self.message.complain("\n".join(dict.fromkeys([*self._doubts, *notes])))

    def _say_limits(self):
        with silent():  # kept in the notes of the map
            self.limits.value = judged.limit_table(self.alone)
        self.unjudged.value = judged.not_judged_words(self.alone)
        self.cautions.value = words.cautions(self.winding.extruder.drive)

    def _say_what_if(self):
        material, extruder, _ = self.described()
        with silent():
            cases = [(said, Case.of(material, extruder, job)) for said, job in words.variations(self.winding)]
            self.what_if.value = words.what_if_words(cases, words.paused_words(self.winding))

    def rows(self) -> list[tuple]:
        """Return the rows of every number that the answers rest on."""
        here, winding = self.controls.set_here(), self.winding
        rows = machine_rows(self.material, winding.extruder, winding.case, self._machine, here, self._fine[1])
        drum = words.drum_row(self.controls.drum_diameter, SET if "drum_diameter" in here else self._machine)
        return [*rows, drum, *paste_rows(self.material)]

    def show_rests(self) -> None:
        """Say what the answers rest on, and what of the paste is not known."""
        self.rests.value = rests_on(self.rows(), unknown_words(self.material))

    def _show_map(self, place):
        bare = self.winding.job.nozzle_temperature is None
        warm = "air_temperature" if bare else "nozzle_temperature"
        names = ((warm, "winding_speed"), ("gap", "throughput"))[place]
        case = self.winding.case
        axes = {name: spaced(AXES[name], *AXES[name].span(case), self._fine[0]) for name in names}
        point = {name: float(AXES[name].get(case)) for name in names}
        with silent():  # each is kept in the notes of the map
            found = region_map(*self.described(), axes=axes, draws=min(MAP_DRAWS, self._fine[1]), seed=SEED)
        look = {"subtitle": self._subtitle, **self.paper}
        self.maps[place].put(charts.printable_region(found, point, **look))

    def _done(self):
        self.status.say("")
