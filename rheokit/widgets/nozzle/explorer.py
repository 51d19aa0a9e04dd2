"""What a fitted paste asks of a nozzle, a barrel and a drive: force, pressure, limits, start and stop, in one page."""

import warnings
from dataclasses import replace

import ipywidgets as W
import numpy as np

from ... import charts
from ...errors import DataError, RheokitWarning
from ...fitting import FitResult
from ...fitting.text import heading
from ...laws import Shifted
from ...limits import Case, finding, judge
from ...nomenclature import number
from ...paste.material import Material
from ...units import kPa, mm
from ..page.frame import Page
from ..page.freshness import Answer, Unheard
from ..page.hearing import hear
from ..page.page_words import page_words
from ..page.parts import Later, Message, PageProbe, column, paragraph, result, section, side_by_side, stamped, table
from ..page.pictures import MovingPicture, Picture
from ..page.rests_on import paste_rows, rests_on
from .fields import NozzleFields
from .rows import (
    blocked,
    cautions,
    force_rows,
    held_pressure,
    limit_rows,
    limits_of,
    start_and_stop_rows,
)

DRAWS, SEED = 500, 0
TWO_COLUMNS, CONTROLS = 800, 330  # px: least page for controls beside the picture; their width there
TWO_PICTURES = 940  # px: least page for two pictures beside each other
CHOSEN = """<style>
.rheokit-page .widget-toggle-button { padding: 0 10px; }
.rheokit-page .widget-toggle-button.mod-active {
  font-weight: 600; outline: 2px solid currentColor; outline-offset: -2px;
}
</style>"""
LIMITS_SAY = (
    "The 95 % limits hold the law's uncertainty, by joint draws. The error of the nozzle's theory (about 15 %) and the "
    "spread from batch to batch come on top; the limit on the pressure allows for both."
)


class NozzleExplorer(Page):
    """Choose nozzle, barrel, drive and speed for a fitted paste; see force and pressure, what stops it, and what to do.

    Parameters
    ----------
    fit : FitResult
        As ``rk.fit`` returned it. Where its readings give no force, the page says what they lack.

    Attributes
    ----------
    case : Case or None
        The last one that could be computed.
    """

    def __init__(self, fit):
        if not isinstance(fit, FitResult):
            raise DataError(f"NozzleExplorer: {fit!r} is not the result of a fit; give what rk.fit returned.")
        self.fit, self.case = fit, None
        self.message, self.status = Message(), Message()
        self.probe = PageProbe(layout=W.Layout(width="100%", height="0"))
        missing = fit.missing(lambda law: law.shear_stress(np.array([1.0, 10.0, 100.0])))
        if missing and set(fit.not_identified) & set(fit.problem.law_class.parameters()):
            super().__init__(self._unanswered(missing))
            return
        self.material = Material.of(fit)
        self._draw_laws()
        self._later = Later(self._complain, self)
        paste = self.material.paste
        self.controls = NozzleFields(self.refresh, paste.static_ratio, paste.air_content)
        self.headline, self.numbers, self.startstop, self.judged, self.cautions, self.rests = (
            Answer() for _ in range(6)
        )
        self.force, self.along = (
            MovingPicture("Force against print speed", 510),
            MovingPicture("Pressure along the extruder", 510),
        )
        self.parts = Picture("Pressure by parts", 340)
        hear(self.probe, self._new_page, "page", "width")
        super().__init__(self._sections(), style=CHOSEN)
        self._new_page()

    def __repr__(self):
        return f"NozzleExplorer of {heading(self.fit)}"

    def _unanswered(self, missing):
        """Return what the page holds where the readings give no force: what they lack, and what they do say."""
        self.message.complain(
            f"Force and pressure are {missing}.\nAdd such readings to the bench folder, read it again, and run this cell again."
        )
        known = rests_on(paste_rows(Material.of(self.fit), self.fit))
        return [section("Force and pressure", self.message, W.HTML(known))]

    def _draw_laws(self):
        """Draw law and apparatus once; every band and limit of the page rests on these draws."""
        try:
            drawn = self.fit.sample_laws(DRAWS, SEED)
            values = {name: value[:, 0, 0] for name, value in drawn.values.items()}
            self._draws, self._no_draws = type(drawn)(**values), ""
            self._nuisance = self.fit.nuisance_draws(DRAWS, SEED)
        except DataError as error:
            self._draws, self._no_draws = None, f"No 95 % limits: {error}"

    def _sections(self):
        self._main = W.VBox([self.headline, self.rests, self.status, self.controls.sliders, self.force])
        self._asked = side_by_side(*self.controls.columns)
        self._beside = W.Box([self._main, self._asked])
        return [
            self.probe,
            self.message,
            section("Force and pressure", self._beside),
            section("Where the pressure goes", side_by_side(*(column(p, share="1 1 450px") for p in (self.along, self.parts)))),
            section("Limits", self.judged, self.cautions),
            section("Numbers", self.numbers, self.startstop),
            Unheard(),
        ]  # fmt: skip

    def _lay_out(self):
        """Put the controls beside the picture, or below it where the page is narrow."""
        wide = self.width >= TWO_COLUMNS
        self._beside.layout = W.Layout(
            display="flex", width="100%", flex_flow="row nowrap" if wide else "column", align_items="stretch"
        )
        self._main.layout = W.Layout(
            flex="1 1 0" if wide else "0 0 auto", min_width="0", padding="0 20px 0 0" if wide else "0"
        )
        self._asked.layout = W.Layout(
            flex=f"0 0 {CONTROLS}px" if wide else "0 0 auto",
            display="flex",
            flex_flow="row wrap",
            align_content="flex-start",
        )

    def _new_page(self):
        self._lay_out()
        self.refresh()

    # --- what is computed ---------------------------------------------------------------------------------------

    def refresh(self):
        """Compute again: pictures first, then tables."""
        self._later.start(
            [
                self._draw_force,
                self._draw_pressure,
                self._draw_parts,
                self._judge,
                self._show_rests,
                self._tabulate,
                self._tabulate_start,
            ]
        )

    def described(self):
        """Return the case of the controls."""
        extruder, job = self.controls.described()
        return replace(Case.of(self.material, extruder, job), paste=self.controls.of_paste(self.material.paste))

    def draws(self, shape=()):
        """Return the joint draws as stiff as the controls say, each field of shape (count, ...); None without them."""
        if self._draws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self._draws.values.items()}
        return Shifted(type(self._draws)(**values), stress_factor=self.controls.stiffness.value)

    def drawn(self, shape=()):
        """Return the extruder of the controls as the fit knows it, drawn with the law: what it knows of shape (count, ...)."""
        if self._draws is None:
            return None
        extruder, _ = self.controls.described()
        values = {name: value.reshape(-1, *shape) for name, value in self._nuisance.items()}
        return self.fit.known(extruder).at(values)

    @property
    def width(self):
        """Width of the page [px]."""
        return self.probe.width

    def _draw_force(self):
        case = self.described()
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", RheokitWarning)
            self._pressure = float(case.pressure)
        wide = self.width - CONTROLS - 20 if self.width >= TWO_COLUMNS else self.width
        self.force.move(
            charts.drawn_force_speed(case, self.draws((1,)), self._subtitle, self.probe.page, wide, self.drawn((1,)))
        )
        self.case = case
        flow = float(case.flow_rate)
        self._limits = self._limits_of(lambda law, extruder: extruder.pressure(law, flow))
        self._force_limits = self._limits_of(lambda law, extruder: extruder.plunger_force(law, flow))
        self.headline.value = stamped(self.fit.stamp) + result(self._in_words()) + self._invented_words()
        said = [page_words(str(w.message)) for w in caught if issubclass(w.category, RheokitWarning)]
        self.message.complain("\n".join(dict.fromkeys([*filter(None, [self._no_draws]), *said])))
        self.status.say("Computing limits and tables ...")

    def _limits_of(self, quantity):
        """Return the 95 % limits of a quantity of law and extruder, or None."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RheokitWarning)  # said for the best values
            return limits_of(quantity, self.draws(), self.drawn())

    def _in_words(self):
        case = self.case
        force, low, high = float(case.force), "", ""
        if self._limits is not None:
            found = ((self._force_limits, "N"), (np.array(self._limits) / kPa, "kPa"))
            low, high = (f", 95 % {' to '.join(map(number, v))} {unit}" for v, unit in found)
        covered, words = self._covered()
        doubt = "" if covered else f" Extrapolated: it {words}."
        known = f" Of the extruder: {case.about_extruder}."
        return f"Force {number(force)} N{low}. Pressure {number(self._pressure / kPa)} kPa{high}.{doubt}{known}"

    def _covered(self):
        """Return whether the readings cover the rates from the widest wall to the bore, and what is asked in words."""
        law, extruder = self.case.paste.law, self.case.extruder
        wide = extruder.barrel_diameter if extruder.fill_length else extruder.nozzle.inlet_diameter
        apparent = 32 * float(self.case.flow_rate) / (np.pi * np.array([wide, extruder.nozzle.bore]) ** 3)
        return self.fit.covers(*law.shear_rate(law.wall_shear_stress(apparent)))

    def _draw_pressure(self):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RheokitWarning)
            self.along.move(charts.drawn_nozzle_pressure(
                self.case.real_extruder, self.case.paste.law, float(self.case.flow_rate), self._limits,
                self._subtitle, self.probe.page, self._half,
            ))  # fmt: skip

    @property
    def _half(self):
        return self.width // 2 - 20 if self.width > TWO_PICTURES else self.width

    def _draw_parts(self):
        flow = float(self.case.flow_rate)
        budget = self.case.real_extruder.budget(self.case.paste.law, flow)
        title = f"Pressure by parts at {number(flow / mm**3)} mm³/s"
        self.parts.draw(charts.pressure_budget(budget, title, self._subtitle, self.probe.page, self._half))

    # --- tables -------------------------------------------------------------------------------------------------

    def _judge(self):
        case = self.case
        found, caution = finding(case)
        found = found.removeprefix(" ".join(case.caveats)).strip()  # they stand above, in a box of their own
        said = [caution and f"Caution. {caution}", *held_pressure(case), blocked(case.extruder)]
        first = stamped(self.fit.stamp) + result(self._in_words()) + result(found) + self._invented_words()
        self.headline.value = first + "".join(map(paragraph, filter(None, said)))
        head = ["", "limit", "value", "allowed", "room", "note"]
        self.judged.value = table(head, limit_rows(judge(replace(case, caveats=()))), "What may stop it")
        said = "".join(paragraph(f"{hazard.capitalize()}: {words}") for hazard, words in cautions(case.extruder.drive))
        self.cautions.value = f"<div role='note'><p class='caption'>Cautions</p>{said}</div>"

    def _show_rests(self):
        of_fields = ("static_ratio", "air_content")  # what the page has fields for
        rows = [
            row for row in paste_rows(self.material, self.fit) if not row[0].replace(" ", "_").startswith(of_fields)
        ]
        self.rests.value = rests_on([*self.controls.rows(self.material, DRAWS), *rows])

    @property
    def _examples(self):
        """Names of the numbers that are still the example of this page."""
        return self.controls.examples(self.material.rig(self.controls.described()[0]).fitted)

    def _invented_words(self):
        """Return which numbers of the machine are invented, to stand beside force and verdict."""
        names = self._examples
        said = f"{charts.INVENTED_MACHINE}. Still the example of this page: {', '.join(names)}. Type yours, then tick that they are yours."
        return paragraph(said) if names else ""

    @property
    def _subtitle(self):
        return [*charts.subtitle_of(self.fit), *([charts.INVENTED_MACHINE] if self._examples else [])]

    def _tabulate(self):
        self._fill(
            self.numbers, force_rows, "Force and pressure", LIMITS_SAY if self._draws is not None else self._no_draws
        )

    def _tabulate_start(self):
        self._fill(self.startstop, start_and_stop_rows, "Start and stop", "")
        self.status.say("")

    def _fill(self, place, rows_of, title, said):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RheokitWarning)  # said above, for the best values
            rows = rows_of(self.case, self.draws(), self.drawn())
        flow = number(float(self.case.flow_rate) / mm**3)
        shown = table(["", "value", "95 % interval", "unit", "note"], rows, f"{title} at {flow} mm³/s")
        place.value = shown + (paragraph(said) if said else "")

    def _complain(self, words):
        if self.case is not None:
            words += "\nBelow stands the last one that could be computed."
        self.message.complain(words)
        self.status.say("")
