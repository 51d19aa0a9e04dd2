"""What a fitted law means for an extruder: force and pressure to run and to start, with their intervals and a caution."""

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...machine.extruder import CAUTION
from ...nomenclature import number, written
from ...paste.properties import Paste
from ...units import mm
from ..page.base import Panel
from ..page.bound import bound
from ..page.elements import caution, column, paragraph, result, side_by_side, stamped, table
from ..page.extruder_fields import FIELDS, described_extruder
from ..page.fields import lacking
from ..page.freshness import Answer
from ..page.number_field import SlidingNumber
from ..page.page_words import doubts, silent
from ..page.pictures import Picture
from ..page.rests_on import field_row, fit_rows
from . import words
from .condition_fields import ConditionFields

IN_PLAN = {
    "bore": ("nozzle", "bore"), "inlet": ("nozzle", "inlet_diameter"), "taper": ("nozzle", "taper_length"),
    "land": ("nozzle", "land_length"), "barrel": ("machine", "barrel_diameter"), "fill": ("machine", "fill_length"),
    "friction": ("machine", "plunger_friction"),
}  # fmt: skip
"""The fields by the entries of a plan, where there is one."""
FLOW = 23.0  # mm³/s to begin with
LEAST_FLOW, MOST_FLOW = FLOW * 10**-2.4, FLOW * 10**2.6  # mm³/s; the slider falls on what it begins with


class ForcePanel(Panel):
    """Fields for a taper nozzle on a barrel, and what a fitted law means for it."""

    asked = FIELDS

    def __init__(self, plan=None):
        self.fit = None
        super().__init__()
        for key, field in self.fields.items() if plan else ():
            field.hint = words.NOT_KNOWN
            bound(field, plan, *IN_PLAN[key])

    def sections(self):
        """Return fields, answers, numbers and picture."""
        self.flow = SlidingNumber(
            words.FLOW, FLOW, LEAST_FLOW, MOST_FLOW, 0.02, self.refresh, logarithmic=True, called="Flow [mm³/s]"
        )
        self.headline, self.numbers, self.picture = Answer(), Answer(), Picture("Pressure by parts", 320)
        self.at = ConditionFields(self.changed)
        asked = column(*self.fields.values(), self.at, self.together, self.flow, share="1 1 320px")
        said = column(self.headline, self.rests, W.HTML(caution(CAUTION)), self.status, share="1 1 340px")
        return [self.message, side_by_side(asked, said), self.numbers, self.picture]

    def wait(self):
        """Compute nothing until another fit is shown; what stands here is old."""
        self.fit = None
        super().wait()

    def show(self, fit):
        """Take another fit, and ask for the condition if its law depends on one."""
        self.fit = None  # until its fields stand
        self.at.ask_of(fit.problem.law_class)
        self.fit = fit
        self.refresh()

    def refresh(self):
        """Compute again: the picture at once, the intervals after it."""
        if self.fit is not None:
            self.status.say(words.computing("force"))
            super().refresh()

    @property
    def steps(self):
        """What is worked through after a change."""
        return self.show_pressure, self.tabulate

    def described(self):
        """Return the extruder and the flow [m3/s] of the fields; `DataError` with what is not known."""
        if unknown := lacking(self.fields.values()):
            raise DataError(f"{words.NO_FORCE} {'; '.join(unknown)}.")
        return described_extruder(**{key: field.value for key, field in self.fields.items()}), self.flow.value * mm**3

    def show_pressure(self):
        """Show where the pressure goes, and say the force; a formula used out of its range is said in the page."""
        extruder, flow = self.described()
        extruder, at = self.fit.known(extruder).at(self.fit.nuisance), self.at.condition
        with doubts() as said:
            law, where = self._paste.law_at(**at), self._where()
        missing = self.fit.missing(lambda law: extruder.pressure(law.at(**at), flow))
        if missing:
            self.picture.leave_out(f"Pressure by parts is {missing}.")
            self.headline.value = result(f"Force and pressure are {missing}.")
        else:
            with doubts() as more:
                force, pressure = extruder.plunger_force(law, flow), extruder.pressure(law, flow)
            said = [*said, *more]
            budget = extruder.budget(law, flow)
            title = f"Pressure by parts at {number(self.flow.value)} mm³/s{where}"
            self.picture.put(charts.pressure_budget(budget, title, charts.subtitle_of(self.fit), **self.paper))
            said_first = f"Force {written(force, 'N')}, pressure {written(pressure, 'Pa')}{where}."
            self.headline.value = stamped(self.fit.stamp) + result(said_first)
        self.message.complain("\n".join(said))
        self.status.say(words.computing("intervals"))

    def tabulate(self):
        """Tabulate force and pressure with their intervals."""
        extruder, flow = self.described()
        with silent():  # each is said in the table or above
            rows = words.force_rows(self.fit, extruder, flow, self.at.condition)
        self.headline.value = stamped(self.fit.stamp) + result(words.force_words(rows, self._where()))
        self.show_rests()
        title = f"Force and pressure, {self.fit.problem.law_class.name}, {number(self.flow.value)} mm³/s{self._where()}"
        own = f"{words.OWN_ERROR} Of the extruder: {self.fit.known(extruder).words(self.fit.nuisance)}."
        self.numbers.value = table(words.FORCES, rows, title) + paragraph(own)
        self.status.say("")

    @property
    def _paste(self):
        """The paste, as far as its law and its gel point say at which temperature it flows."""
        found = [(bench.stated() | bench.properties()).get("gel_temperature") for bench in self.fit.benches]
        gel = next((one.value for one in found if one), None)
        return Paste(law=self.fit.law, gel_temperature=gel)

    def _where(self):
        """Return at which condition it is, to go on a sentence with; nothing where the law depends on none."""
        return f", paste at {self.at.said}" if self.at.fields else ""

    def rows(self):
        """Return the rows of law, extruder and flow."""
        return [*fit_rows(self.fit), *super().rows(), *self.at.rows(), field_row(self.flow, words.FLOW, FLOW)]
