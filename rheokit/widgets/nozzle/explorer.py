"""What a fitted paste asks of a nozzle, a barrel and a drive: force, pressure, limits, start and stop, in one page."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, Self

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...fitting import FitResult
from ...fitting.text import heading
from ...limits import Case, finding, judge
from ...machine.cautions import CAUTIONS
from ...nomenclature import capital, sentence, written
from ...paste.material import Material
from ...workbook import Plan, Workbook
from ...workbook.draft import Draft
from ...workbook.made import NotKnownYet
from ..page.base import Explorer, half_of
from ..page.elements import PageProbe, column, paragraph, result, section, side_by_side, stamped
from ..page.freshness import Answer
from ..page.hearing import hear
from ..page.layout import beside
from ..page.machine_words import EXAMPLE
from ..page.page_words import doubts, in_words, silent
from ..page.paste_fields import KnownPaste
from ..page.pictures import MovingPicture, Picture
from ..page.strip import DOUBTFUL, SOUND, STOPPED, Strip
from ..page.workbook_page import WorkbookPage
from . import words
from .controls import NozzleControls
from .draws import NozzleDraws, lacks_of, left_open, limits_of
from .folds import NozzleFolds
from .resting import rows_of_nozzle
from .start import start_words


class NozzleExplorer(Explorer):
    """Choose nozzle, barrel, drive and speed for a fitted paste; see force and pressure, what stops it, and what to do.

    Parameters
    ----------
    fit : FitResult
        As ``rk.fit`` returned it. Where its readings give no force, the page says what they lack.
    material : Material, optional
        What is known of the paste beside the law; the fit's own, if none is given.
    plan : Plan, optional
        Machine and part, which the page is typed into; an invented example, if none is given.
    unread : str
        Why there is no fit: then `fit` is None, and the page is typed into all the same.

    Attributes
    ----------
    controls : NozzleControls
    case : Case or None
        The last one that could be computed.
    limits : dict
        Its 95 % limits as far as they are found: force [N], pressure [Pa] and others by their words, None where there are none.
    """

    def __init__(
        self, fit: FitResult | None, material: Material | None = None, plan: Plan | None = None, unread: str = ""
    ) -> None:
        if not isinstance(fit, FitResult) and not unread:
            raise DataError(f"NozzleExplorer: {fit!r} is not the result of a fit; give what rk.fit returned.")
        self.fit, self.case, self._unread = fit, None, unread
        self.plan = Draft(EXAMPLE) if plan is None else plan
        self.known = KnownPaste(self.plan, Material.of(fit) if fit is not None and material is None else material)
        self._missing = unread or lacks_of(fit)
        self._drawn: Any = None if self._missing else NozzleDraws(fit)
        super().__init__()

    @classmethod
    def of(cls, workbook: Workbook) -> Self:
        """Return the page of a workbook, whose plan it is typed into."""
        try:
            page = cls(workbook.fit, workbook.material, workbook.plan)
        except DataError as error:  # no reading yet, or none that a law can be fitted to
            page = cls(None, None, workbook.plan, in_words(error))
        page.known.workbook = workbook
        return page

    @property
    def material(self) -> Material | None:
        """The paste as it is known now; None without a law."""
        return self.known.material

    def __repr__(self):
        return f"NozzleExplorer of {heading(self.fit) if self.fit else 'no reading'}"

    # --- what is on the page ------------------------------------------------------------------------------------

    def sections(self) -> list[W.Widget]:
        """Return controls, pictures and tables; where the readings give no force, what they lack and what they do say."""
        self.strip, self.controls = Strip(), NozzleControls(self.plan, self.known, self.changed)
        if self._missing:
            typed = self.controls.sliders, self.controls.panel, self.controls.of_paste
            return [self.strip, section("Force and pressure", self.message, self.rests), *typed, self.probe]
        self.headline, self.numbers, self.startstop, self.judged, self.cautions = (Answer() for _ in range(5))
        self.force = MovingPicture("Force against print speed", 440)
        self.along, self.parts = MovingPicture("Pressure along the extruder", 510), Picture("Pressure by parts", 340)
        self.folds, self.across = NozzleFolds(self), PageProbe()  # the width of the whole page, where the two stand
        hear(self.across, self.new_page, "page", "width")
        pictures = (column(picture, share="1 1 470px") for picture in (self.along, self.parts))
        below = self.message, self.status, self.headline, self.cautions  # where nothing moves with them
        shown = W.VBox([self.probe, self.force, *below], layout=W.Layout(width="100%"))
        return [
            self.strip,
            beside(self.controls.sliders, shown, self.controls.panel, self.controls.of_paste),
            section("Limits", self.judged, self.folds.stock),
            section("Where the pressure goes", self.across, side_by_side(*pictures)),
            section("Numbers", self.numbers, self.startstop, *self.folds.all, self.rests),
        ]

    # --- what is computed ---------------------------------------------------------------------------------------

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """The picture that moves first, then the answer with its limits, other pictures and tables; limits of the start come last into the picture."""
        if self._missing:
            return self._say_missing, self.show_rests
        tables = (
            self.folds.show_numbers,
            self.folds.show_start,
            self.folds.show_stock,
            self.folds.show_made_of,
            self.folds.show_catch,
        )
        asked = [partial(self._ask, place) for place in range(words.MOST_ASKED)]
        shown = self._show_force, *asked[:2], self._say_force, self._show_pressure, self._show_parts
        return [
            self._when_known(step)
            for step in (*shown, self._judge, self.show_rests, *asked[2:], self._draw_force, *tables)
        ]

    def _say_missing(self):
        if self._unread:
            self.strip.say(words.no_law(self.plan), DOUBTFUL)
            return self.complain(self._unread)
        said = left_open(self.fit, self.material, self.controls)
        self.strip.say(capital(said), DOUBTFUL)
        self.strip.trust.say(*words.trust(self.fit, [words.FORCE_OPEN], self.controls.invented))
        self.complain("\n".join(filter(None, [self.fit.stamp, words.unanswered(self._missing)])))

    def _when_known(self, step):
        """Return a step that says what is lacking where the plan does not know enough, and nothing after that."""

        def act():
            if step == self._show_force:
                self.lacks = None
            if self.lacks is None:
                try:
                    step()
                except NotKnownYet as error:
                    self.lacks = error
                    self._say_lacking(error)

        return act

    def _say_lacking(self, error):
        """Say in place of every answer what it needs; what starts the flow is known without a job."""
        self.case, said, short = None, words.lacking(error), sentence(words.lacking(error, in_strip=True))
        self.strip.say(short, DOUBTFUL)
        for picture in (self.force, self.along, self.parts):
            picture.leave_out(f"{picture.title}: {said}.")
        for place in (self.judged, self.cautions, self.numbers, self.startstop):
            place.value = ""
        self.message.complain("")
        self.status.say("")
        for tell in (self.show_rests, self.folds.show_stock, self.folds.show_made_of, self.folds.show_catch):
            tell()
        try:
            known = self.controls.extruder()
        except NotKnownYet:
            self.headline.value = ""
            return
        extruder, like = self.material.rig(known).extruder, self.controls.paste
        with silent():  # said of a case
            start = start_words(extruder, like(self.material.paste), self._drawn.of_start(known, self.material, like))
        self.strip.say(f"{short} {start}", DOUBTFUL)
        left_out = self.controls.left_out(self.material)
        self.strip.trust.say(*words.trust(self.fit, [], self.controls.invented, left_out))
        self.headline.value = stamped(self.fit.stamp) + result(start) + paragraph(words.blocked(extruder))

    @property
    def before(self) -> str:
        """What still stands."""
        return "" if self.case is None else words.BEFORE

    def changed(self) -> None:
        """Hear a change of a control; without a law it is only kept."""
        if not self._unread:
            self.refresh()

    def described(self) -> Any:
        """Return the case of the controls."""
        return self.controls.case(self.material)

    @property
    def drawn_case(self) -> Case | None:
        """The last case with joint draws of paste and extruder; None without them."""
        return self._drawn.of_case(self.case, self.material, self.controls.paste)

    @property
    def not_drawn(self) -> str:
        """Why there are no joint draws; empty where there are."""
        return self._drawn.none

    def _show_force(self):
        case = self.described()
        with doubts() as said:
            float(case.pressure)
        drawn = self._drawn.of_extruder(self.controls.extruder(), (1,))
        self._band = self._drawn.of_law(case.pressure_law, (1,)), drawn
        self.case, self.limits = case, {}
        self._draw_force()
        doubt = [*words.doubts_of(self.fit, case, self.controls.stiffness.value), *self._drawn.doubts]
        left_out = self.controls.left_out(self.material)
        self.strip.trust.say(*words.trust(self.fit, doubt, self.controls.invented, left_out))
        self.message.complain("\n".join(dict.fromkeys([*filter(None, [self._drawn.none]), *said])))
        self.status.say("Computing limits and tables ...")

    def _draw_force(self):
        (draws, drawn), paper = self._band, (self._subtitle, self.page, self.width)
        force, starts = (self.limits.get(name) for name in (words.FORCE, words.START_FORCE))
        self.force.move(charts.drawn_force_speed(self.case, draws, *paper, drawn, force, starts))

    def _ask(self, place):
        """Find the limits of one of the quantities of the case."""
        asked, like = words.asked_of_force(self.case), self.case.pressure_law
        for name, quantity, *_ in asked[place : place + 1]:
            if name in words.AFTER_REST:
                self.limits[name] = words.limits_of(words.at_rest(quantity), self.drawn_case)
            else:
                self.limits[name] = limits_of(self.fit, quantity, self.controls.extruder(), like)

    def _say_force(self):
        """Say the answer in the strip, and its limits in the picture."""
        without = any(one.startswith(words.FRICTION) for one in self.controls.left_out(self.material))
        self.strip.answer.say(words.forces(self.case, self.limits, without), STOPPED if self.fit.stamp else SOUND)
        self._draw_force()

    @property
    def half(self) -> int:
        """Width [px] of each of two pictures across the whole page."""
        return half_of(self.across.width)

    def _show_pressure(self):
        case, paper = self.case, (self._subtitle, self.page, self.half)
        flowing = case.real_extruder, case.pressure_law, float(case.flow_rate)
        with silent():
            self.along.move(charts.drawn_nozzle_pressure(*flowing, self.limits.get(words.PRESSURE), *paper))

    def _show_parts(self):
        budget = self.case.real_extruder.budget(self.case.pressure_law, float(self.case.flow_rate))
        title = f"Pressure by parts at {written(self.case.flow_rate, 'm³/s')}"
        self.parts.put(charts.pressure_budget(budget, title, self._subtitle, self.page, self.half))

    def redraw(self) -> None:
        """Draw the pictures that stand from before an error for the page as it is now."""
        for draw in (self._draw_force, self._show_pressure, self._show_parts):
            if self.case is not None:
                draw()

    def _judge(self):
        case = self._drawn.sure(self.case, self.material, self.controls.paste)
        found, caution = finding(case)
        said = found.removeprefix(" ".join(case.caveats)).strip()  # they stand above, in a box of their own
        rest = [
            self._drawn.of_limits, caution and f"Caution. {caution}", *words.held_pressure(case), words.blocked(case.extruder),
            f"Of the extruder: {case.about_extruder}.", *self.controls.left_out(self.material), words.invented(self.controls.invented),
        ]  # fmt: skip
        self.headline.value = stamped(self.fit.stamp) + result(said) + "".join(map(paragraph, filter(None, rest)))
        self.binds = words.first_to_bind(judged := judge(case.without_caveats))
        self.strip.binds.say(*self.binds)
        self.judged.value = words.limits_told(judged, not self._drawn.none)
        hazards = getattr(case.extruder.drive, "hazards", ())
        cautions = "".join(paragraph(f"{hazard.capitalize()}: {CAUTIONS[hazard]}") for hazard in hazards)
        self.cautions.value = f"<div role='note'><p class='caption'>Cautions</p>{cautions}</div>" if cautions else ""

    def rows(self) -> list[tuple]:
        """Return the rows of what the answers rest on."""
        if self.fit is None:
            return []
        return rows_of_nozzle(self.material, None if self._missing else self.controls, self.case, self.known.limits)

    @property
    def _subtitle(self):
        return [*charts.subtitle_of(self.fit), *self.controls.invented]


class NozzlePage(WorkbookPage):
    """Notebook 2: a paste is picked, and its plan is typed into."""

    def explorer_of(self, workbook: Workbook) -> NozzleExplorer:
        """Return the page of a workbook."""
        return NozzleExplorer.of(workbook)
