"""What a fitted law means for an extruder: force and pressure to run and to start, with their intervals and a caution."""

import warnings

import ipywidgets as W
import numpy as np

from ... import charts
from ...errors import RheokitWarning
from ...fitting.text import OPEN
from ...machine.extruder import CAUTION
from ...nomenclature import QUANTITIES, number
from ...units import kPa, mm
from ..page.extruder_fields import FIELDS, described_extruder
from ..page.freshness import Answer, expire
from ..page.number_field import SlidingNumber, fields_of, say_together
from ..page.page_words import page_words
from ..page.parts import Later, Message, caution, column, paragraph, result, side_by_side, stamped, table
from ..page.pictures import Picture
from ..page.rests_on import field_row, fit_rows, rests_on

FLOW = 23.0  # mm³/s to begin with
LEAST_FLOW, MOST_FLOW = FLOW * 10**-2.4, FLOW * 10**2.6  # mm³/s; the slider falls on what it begins with
FLOW_WORDS = f"flow {QUANTITIES['flow_rate'].symbol} [mm³/s]"
OWN_ERROR = "The limits hold the law's uncertainty; the error of the converging-flow formula comes on top."


def force_rows(fit, extruder, flow_rate):
    """Return the rows of the table of forces and pressures as text: what, value, 95 % limits, unit, note."""
    rows, best = [], fit.known(extruder).at(fit.nuisance)
    for words, quantity, factor, unit in (
        ("force on the plunger", lambda law, rig: rig.plunger_force(law, flow_rate), 1.0, "N"),
        ("pressure at the plunger face", lambda law, rig: rig.pressure(law, flow_rate), kPa, "kPa"),
        ("least force that starts it", lambda law, rig: rig.start_force(law), 1.0, "N"),
        ("least pressure that starts it", lambda law, rig: rig.start_pressure(law), kPa, "kPa"),
    ):
        found = fit.interval(quantity, extruder=extruder)
        comment = found.comment.removeprefix(fit.stamp).strip()  # the headline is stamped, once for all rows
        note = f"extrapolated: {comment}" if found.extrapolated else ""
        note = comment if np.isnan(found.value) else note
        reason = "" if np.isnan(found.value) else getattr(quantity(fit.law, best), "reason", "")
        note = "; ".join(filter(None, [note, f"a lower bound: {reason}" if reason else ""]))
        low, high = (number(limit / factor) for limit in found[1:3])
        value = OPEN if np.isnan(found.value) else number(found.value / factor)
        rows.append([words, f"{'at least ' if reason else ''}{value}", f"{low} to {high}", unit, note])
    return rows


class ForcePanel(W.VBox):
    """Fields for a taper nozzle on a barrel, and what a fitted law means for it."""

    def __init__(self):
        self.fit = None
        self.fields, self.together = fields_of(FIELDS, self._change), Message()
        self.flow = SlidingNumber(
            FLOW_WORDS, FLOW, LEAST_FLOW, MOST_FLOW, 0.02, self.refresh, logarithmic=True, called="Flow [mm³/s]"
        )
        self.message, self.status = Message(), Message()
        self.headline, self.numbers, self.rests = Answer(), Answer(), Answer()
        self.picture = Picture("Pressure by parts", 320)
        self.page, self.width = "light", 600
        self._later = Later(self._complain, self)
        said = W.HTML(caution(CAUTION))
        super().__init__([
            self.message,
            side_by_side(
                column(*self.fields.values(), self.together, self.flow, share="1 1 320px"),
                column(self.headline, self.rests, said, self.status, share="1 1 340px"),
            ),
            self.numbers,
            self.picture,
        ], layout=W.Layout(width="100%"))  # fmt: skip

    def wait(self):
        """Compute nothing until another fit is shown; what stands here is old."""
        self.fit = None
        self._later.stop()
        self.status.say("")
        expire(self)

    def _complain(self, words):
        self.message.complain(words)
        self.status.say("")

    def show(self, fit):
        """Take another fit."""
        self.fit = fit
        self.refresh()

    def _change(self):
        say_together(self.together, self.described)
        self.refresh()

    def refresh(self):
        """Compute again: the picture at once, the intervals after it."""
        if self.fit is not None:
            self.status.say("Computing the force ...")
            self._later.start([self.draw, self.tabulate])

    def described(self):
        """Return the extruder and the flow [m3/s] of the fields."""
        return described_extruder(**{key: field.value for key, field in self.fields.items()}), self.flow.value * mm**3

    def draw(self):
        """Draw where the pressure goes, and say the force; a formula used out of its range is said in the page."""
        extruder, flow = self.described()
        extruder = self.fit.known(extruder).at(self.fit.nuisance)
        missing = self.fit.missing(lambda law: extruder.pressure(law, flow))
        if missing:
            self.picture.leave_out(f"Pressure by parts is {missing}.")
            self.headline.value = result(f"Force and pressure are {missing}.")
            self.message.complain("")
            self.status.say("Computing the intervals ...")
            return
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", RheokitWarning)
            force, pressure = extruder.plunger_force(self.fit.law, flow), extruder.pressure(self.fit.law, flow)
        budget = extruder.budget(self.fit.law, flow)
        self.picture.draw(charts.pressure_budget(
            budget, f"Pressure by parts at {number(self.flow.value)} mm³/s", charts.subtitle_of(self.fit), self.page, self.width
        ))  # fmt: skip
        self.headline.value = stamped(self.fit.stamp) + result(
            f"Force {number(float(force))} N, pressure {number(float(pressure) / kPa)} kPa."
        )
        self.message.complain(
            "\n".join(
                dict.fromkeys(page_words(str(w.message)) for w in caught if issubclass(w.category, RheokitWarning))
            )
        )
        self.status.say("Computing the intervals ...")

    def tabulate(self):
        """Tabulate force and pressure with their intervals."""
        extruder, flow = self.described()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RheokitWarning)  # each is said in the table or above
            rows = force_rows(self.fit, extruder, flow)
        head = ["", "value", "95 % interval", "unit", "note"]
        law = self.fit.problem.law_class.name
        said = [
            f"{what} {value}{'' if value == OPEN else f' {unit}'}, 95 % from {limits} {unit}"
            for what, value, limits, unit, _ in rows[:2]
        ]
        doubt = " See the note below: what it needs." if any(row[1] == OPEN for row in rows[:2]) else ""
        if not doubt and any("extrapolated" in row[-1] for row in rows[:2]):
            doubt = " Extrapolated: see the note below."
        self.headline.value = stamped(self.fit.stamp) + result(f"F{'; '.join(said)[1:]}.{doubt}")
        asked = [field_row(self.fields[key], words, usual) for key, (words, usual, *_) in FIELDS.items()]
        asked.append(field_row(self.flow, FLOW_WORDS, FLOW))
        self.rests.value = rests_on([*fit_rows(self.fit), *asked])
        self.numbers.value = table(
            head, rows, f"Force and pressure, {law}, {number(self.flow.value)} mm³/s"
        ) + paragraph(f"{OWN_ERROR} Of the extruder: {self.fit.known(extruder).words(self.fit.nuisance)}.")
        self.status.say("")
