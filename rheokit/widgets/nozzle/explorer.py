"""What a fitted paste asks of a nozzle, a barrel and a drive: force, pressure, limits, start and stop, in one page."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as W
import numpy as np

from ... import charts
from ...errors import DataError
from ...fitting import FitResult
from ...fitting.text import heading
from ...laws import Shifted
from ...limits import Case, finding, judge
from ...machine.cautions import CAUTIONS
from ...machine.extruder import Extruder
from ...nomenclature import written
from ...paste.material import Material
from ..page.base import Explorer
from ..page.elements import column, paragraph, result, section, side_by_side, stamped, table
from ..page.freshness import Answer
from ..page.page_words import doubts, silent
from ..page.pictures import MovingPicture, Picture
from ..page.rests_on import paste_rows
from . import words
from .fields import NozzleFields

DRAWS, SEED = 500, 0
TWO_COLUMNS, CONTROLS = 800, 330  # px: least page for controls beside the picture; their width there
CHOSEN = """<style>
.rheokit-page .widget-toggle-button { padding: 0 10px; }
.rheokit-page .widget-toggle-button.mod-active {
  font-weight: 600; outline: 2px solid currentColor; outline-offset: -2px;
}
</style>"""


class NozzleExplorer(Explorer):
    """Choose nozzle, barrel, drive and speed for a fitted paste; see force and pressure, what stops it, and what to do.

    Parameters
    ----------
    fit : FitResult
        As ``rk.fit`` returned it. Where its readings give no force, the page says what they lack.

    Attributes
    ----------
    controls : NozzleFields
    case : Case or None
        The last one that could be computed.
    """

    styles = CHOSEN

    def __init__(self, fit: FitResult) -> None:
        if not isinstance(fit, FitResult):
            raise DataError(f"NozzleExplorer: {fit!r} is not the result of a fit; give what rk.fit returned.")
        self.fit, self.case, self.material = fit, None, Material.of(fit)
        missing = fit.missing(lambda law: law.shear_stress(np.array([1.0, 10.0, 100.0])))
        of_law = set(fit.not_identified) & set(fit.problem.law_class.parameters())
        self._missing = missing if of_law else ""
        if not self._missing:
            self._draw_laws()
        super().__init__()

    def __repr__(self):
        return f"NozzleExplorer of {heading(self.fit)}"

    def _draw_laws(self):
        """Draw law and apparatus once; every band and limit of the page rests on these draws."""
        try:
            drawn = self.fit.sample_laws(DRAWS, SEED)
            values = {name: value[:, 0, 0] for name, value in drawn.values.items()}
            self._draws, self._no_draws = type(drawn)(**values), ""
            self._nuisance = self.fit.nuisance_draws(DRAWS, SEED)
        except DataError as error:
            self._draws, self._no_draws = None, f"No 95 % limits: {error}"

    # --- what is on the page ------------------------------------------------------------------------------------

    def sections(self) -> list[W.Widget]:
        """Return controls, pictures and tables; where the readings give no force, what they lack and what they do say."""
        if self._missing:
            self.complain(words.unanswered(self._missing))
            return [section("Force and pressure", self.message, self.rests)]
        paste = self.material.paste
        self.controls = NozzleFields(self.refresh, paste.static_ratio, paste.air_content)
        self.headline, self.numbers, self.startstop, self.judged, self.cautions = (Answer() for _ in range(5))
        self.force = MovingPicture("Force against print speed", 510)
        self.along, self.parts = MovingPicture("Pressure along the extruder", 510), Picture("Pressure by parts", 340)
        self._main = W.VBox([self.headline, self.rests, self.status, self.controls.sliders, self.force])
        self._asked = side_by_side(*self.controls.columns)
        self._beside = W.Box([self._main, self._asked])
        self._lay_out()
        pressures = (column(picture, share="1 1 450px") for picture in (self.along, self.parts))
        return [
            self.probe,
            self.message,
            section("Force and pressure", self._beside),
            section("Where the pressure goes", side_by_side(*pressures)),
            section("Limits", self.judged, self.cautions),
            section("Numbers", self.numbers, self.startstop),
        ]

    def _lay_out(self):
        """Put the controls beside the picture, or below it where the page is narrow."""
        wide = self.width >= TWO_COLUMNS
        flow, main, asked = ("row nowrap", "1 1 0", f"0 0 {CONTROLS}px") if wide else ("column", "0 0 auto", "0 0 auto")
        self._beside.layout = W.Layout(display="flex", width="100%", flex_flow=flow, align_items="stretch")
        self._main.layout = W.Layout(flex=main, min_width="0", padding="0 20px 0 0" if wide else "0")
        self._asked.layout = W.Layout(flex=asked, display="flex", flex_flow="row wrap", align_content="flex-start")

    def new_page(self) -> None:
        """Answer again on a page of another colour or width."""
        if not self._missing:
            self._lay_out()
        super().new_page()

    # --- what is computed ---------------------------------------------------------------------------------------

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """Pictures first, then tables."""
        if self._missing:
            return (self.show_rests,)
        tables = self._judge, self.show_rests, self._tabulate, self._tabulate_start
        return [self._show_force, self._show_pressure, self._show_parts, *tables]

    @property
    def before(self) -> str:
        """What still stands."""
        return "" if self.case is None else words.BEFORE

    def described(self) -> Any:
        """Return the case of the controls."""
        extruder, job = self.controls.described()
        return replace(Case.of(self.material, extruder, job), paste=self.controls.of_paste(self.material.paste))

    def draws(self, shape: tuple[int, ...] = ()) -> Shifted | None:
        """Return the joint draws as stiff as the controls say, each field of shape (count, ...); None without them."""
        if self._draws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self._draws.values.items()}
        return Shifted(type(self._draws)(**values), stress_factor=self.controls.stiffness.value)

    def drawn(self, shape: tuple[int, ...] = ()) -> Extruder | None:
        """Return the extruder of the controls as the fit knows it, drawn with the law: what it knows of shape (count, ...)."""
        if self._draws is None:
            return None
        extruder, _ = self.controls.described()
        values = {name: value.reshape(-1, *shape) for name, value in self._nuisance.items()}
        return self.fit.known(extruder).at(values)

    def _show_force(self):
        case = self.described()
        with doubts() as said:
            self._pressure = float(case.pressure)
        wide = self.width - CONTROLS - 20 if self.width >= TWO_COLUMNS else self.width
        draws = self.draws((1,)), self._subtitle, self.page, wide, self.drawn((1,))
        self.force.move(charts.drawn_force_speed(case, *draws))
        self.case, flow = case, float(case.flow_rate)
        drawn = self.draws(), self.drawn()
        with silent():  # said for the best values
            self._limits = words.limits_of(lambda law, extruder: extruder.pressure(law, flow), *drawn)
            self._force_limits = words.limits_of(lambda law, extruder: extruder.plunger_force(law, flow), *drawn)
        self.headline.value = self._first() + self._invented_words()
        self.message.complain("\n".join(dict.fromkeys([*filter(None, [self._no_draws]), *said])))
        self.status.say("Computing limits and tables ...")

    def _first(self):
        covered, asked = self._covered()
        doubt = "" if covered else f" Extrapolated: it {asked}."
        said = words.forces_in_words(self.case, self._pressure, self._limits, self._force_limits, doubt)
        return stamped(self.fit.stamp) + result(said)

    def _covered(self):
        """Return whether the readings cover the rates from the widest wall to the bore, and what is asked in words."""
        case = self.case
        return self.fit.covers(*case.extruder.channel.wall_rates(case.paste.law, float(case.flow_rate)))

    def _show_pressure(self):
        case = self.case
        with silent():
            self.along.move(charts.drawn_nozzle_pressure(
                case.real_extruder, case.paste.law, float(case.flow_rate), self._limits, self._subtitle, self.page, self.half
            ))  # fmt: skip

    def _show_parts(self):
        flow = float(self.case.flow_rate)
        budget = self.case.real_extruder.budget(self.case.paste.law, flow)
        title = f"Pressure by parts at {written(flow, 'm³/s')}"
        self.parts.put(charts.pressure_budget(budget, title, self._subtitle, self.page, self.half))

    # --- tables -------------------------------------------------------------------------------------------------

    def _judge(self):
        case = self.case
        found, caution = finding(case)
        found = found.removeprefix(" ".join(case.caveats)).strip()  # they stand above, in a box of their own
        said = [caution and f"Caution. {caution}", *words.held_pressure(case), words.blocked(case.extruder)]
        first = self._first() + result(found) + self._invented_words()
        self.headline.value = first + "".join(map(paragraph, filter(None, said)))
        limits = words.limit_rows(judge(case.without_caveats))
        self.judged.value = table(words.LIMITS_HEAD, limits, "What may stop it")
        hazards = case.extruder.drive.hazards
        said = "".join(paragraph(f"{hazard.capitalize()}: {CAUTIONS[hazard]}") for hazard in hazards)
        self.cautions.value = f"<div role='note'><p class='caption'>Cautions</p>{said}</div>"

    def rows(self) -> list[tuple]:
        """Return the rows of what the answers rest on."""
        known = paste_rows(self.material, self.fit)
        if self._missing:
            return known
        of_fields = ("static_ratio", "air_content")  # what the page has fields for
        known = [row for row in known if not row[0].replace(" ", "_").startswith(of_fields)]
        return [*self.controls.rows(self.material, DRAWS), *known]

    @property
    def _examples(self):
        """Names of the numbers that are still the example of this page."""
        return self.controls.examples(self.material.rig(self.controls.described()[0]).fitted)

    def _invented_words(self):
        """Return which numbers of the machine are invented, to stand beside force and verdict."""
        return paragraph(words.examples_left(charts.INVENTED_MACHINE, self._examples))

    @property
    def _subtitle(self):
        return [*charts.subtitle_of(self.fit), *([charts.INVENTED_MACHINE] if self._examples else [])]

    def _tabulate(self):
        said = words.LIMITS_SAY if self._draws is not None else self._no_draws
        self._fill(self.numbers, words.force_rows, "Force and pressure", said)

    def _tabulate_start(self):
        self._fill(self.startstop, words.start_and_stop_rows, "Start and stop", "")
        self.status.say("")

    def _fill(self, place, rows_of, title, said):
        with silent():  # said above, for the best values
            rows = rows_of(self.case, self.draws(), self.drawn())
        title = f"{title} at {written(self.case.flow_rate, 'm³/s')}"
        place.value = table(words.HEAD, rows, title) + paragraph(said)
