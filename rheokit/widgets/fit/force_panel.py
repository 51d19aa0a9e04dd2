"""What a fitted law means for the machine of a plan: force and pressure to run and to start, with their intervals and a caution."""

import ipywidgets as W

from ... import charts
from ...limits import Case
from ...machine.extruder import CAUTION
from ...nomenclature import sentence, symbol, written
from ...part.job import FIBRE, PRINT
from ...paste.material import Material
from ...workbook.draft import Draft
from ...workbook.made import NotKnownYet, extruder_of, flow_of, job_of, left_out
from ...workbook.of_rig import counted
from ...workbook.whence import origins_of
from ..page.base import Panel
from ..page.elements import caution, column, paragraph, result, side_by_side, stamped, table
from ..page.freshness import Answer
from ..page.machine_controls import speed_slider
from ..page.machine_panel import OF_FORCE, MachinePanel
from ..page.machine_rows import extruder_rows, machine_rows
from ..page.machine_words import EXAMPLE
from ..page.page_words import doubts, not_known, silent
from ..page.pictures import Picture
from ..page.rests_on import EXACT, fit_rows
from . import words
from .condition_fields import ConditionFields


class ForcePanel(Panel):
    """Machine and flow of a plan, and what a fitted law means for them; an invented example, if no plan is given."""

    def __init__(self, plan=None):
        self.fit, self.plan = None, plan or Draft(EXAMPLE)
        super().__init__()

    def sections(self):
        """Return fields, answers, numbers and picture."""
        kind = FIBRE if self.plan.text("job", "kind") == FIBRE else PRINT
        besides, groups = ("print", "print_speed"), OF_FORCE[kind]
        self.machine = MachinePanel(self.plan, self.changed, [besides], groups, groups, self._count)
        self.speed = speed_slider(self.plan)
        self.speed.heard(self.changed)
        self.fields = self.machine.fields
        self.headline, self.numbers, self.picture = Answer(), Answer(), Picture("Pressure by parts", 320)
        self.at = ConditionFields(self.changed)
        asked = column(*([self.speed] if kind == PRINT else []), self.at, self.machine, share="1 1 320px")
        said = column(self.headline, self.rests, W.HTML(caution(CAUTION)), self.status, share="1 1 340px")
        return [self.message, side_by_side(asked, said), self.numbers, self.picture]

    def wait(self):
        """Compute nothing until another fit is shown; what stands here is old."""
        self.fit = None
        super().wait()

    def show(self, fit, material_of=Material.of):
        """Take another fit, and what makes a material of it; ask for the condition if its law depends on one."""
        self.fit = None  # until its fields stand
        self.material = material_of(fit)
        self.at.ask_of(fit.problem.law_class, self.material.paste.law.condition)
        self.fit, self._material_of = fit, material_of
        self.machine.say_what_counts()
        self.refresh()

    def _count(self):
        return {} if self.fit is None else counted(self.material, extruder_of(self.plan))

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
        """Return the extruder of the plan and the flow of its job [m3/s], None where that is not known; `NotKnownYet` without an extruder."""
        self.machine.refuse()
        if self.speed.holds:
            self.speed.read()
        extruder = extruder_of(self.plan)
        try:
            return extruder, flow_of(self.plan)
        except NotKnownYet as error:
            self._lacks = error
            return extruder, None

    def _case(self, extruder):
        """Return the case of the plan; None where its job is not known."""
        try:
            return Case.of(self.material, extruder, job_of(self.plan))
        except NotKnownYet:
            return None

    def show_pressure(self):
        """Show where the pressure goes, and say the force; a formula used out of its range is said in the page."""
        self.material = self._material_of(self.fit)
        try:
            extruder, flow = self.described()
        except NotKnownYet as error:
            self._say_lacking(error)
            return
        case = self._case(extruder)
        warmth = None if case is None else case.coldest
        self.at.know({} if warmth is None else {"temperature": float(warmth)})
        at = self.at.condition
        with doubts() as said:
            law, where = self.material.paste.law_at(**at), self._where()
        missing = self.fit.missing(lambda law: extruder.pressure(law.at(**at), flow)) if flow else ""
        if not flow:
            self.picture.leave_out(f"Pressure by parts: {not_known(self._lacks.entries)}.")
            self.headline.value = result(f"Force and pressure to run: {not_known(self._lacks.entries)}.")
        elif missing:
            self.picture.leave_out(f"Pressure by parts is {missing}.")
            self.headline.value = result(f"Force and pressure are {missing}.")
        else:
            with doubts() as more:
                rig = self.material.rig(extruder).extruder
                force, pressure = rig.plunger_force(law, flow), rig.pressure(law, flow)
            said = [*said, *more]
            title = f"Pressure by parts at {written(flow, 'm³/s')}{where}"
            lines = [*charts.subtitle_of(self.fit), *charts.invented_machine(*origins_of(self.plan))]
            self.picture.put(charts.pressure_budget(rig.budget(law, flow), title, lines, **self.paper))
            said_first = f"Force {written(force, 'N')}, pressure {written(pressure, 'Pa')}{where}."
            self.headline.value = stamped(self.fit.stamp) + result(said_first)
        self.message.complain("\n".join(said))
        self.status.say(words.computing("intervals"))

    def _say_lacking(self, error):
        """Say in place of every answer what it needs."""
        said = not_known(error.entries)
        self.picture.leave_out(f"Pressure by parts: {said}.")
        self.headline.value, self.numbers.value = result(f"Force and pressure: {said}."), ""
        self.rests.value = ""
        self.message.complain("")
        self.status.say("")

    def tabulate(self):
        """Tabulate force and pressure with their intervals."""
        try:
            extruder, flow = self.described()
        except NotKnownYet:
            return
        with silent():  # each is said in the table or above
            rows = words.force_rows(self.fit, extruder, flow, self.at.condition)
        unknown = left_out(self.plan, counted(self.material, extruder))
        if flow:
            self.headline.value = stamped(self.fit.stamp) + result(words.force_words(rows, self._where()))
        self.show_rests()
        of_flow = f", {written(flow, 'm³/s')}" if flow else ""
        title = f"Force and pressure, {self.fit.problem.law_class.name}{of_flow}{self._where()}"
        own = (
            f"{words.OWN_ERROR} Of the extruder: {self.fit.known(extruder).words(self.fit.nuisance, self.fit.limits)}."
        )
        notes = [own, *(sentence(one) for one in unknown)]
        self.numbers.value = table(words.FORCES, rows, title) + "".join(map(paragraph, notes))
        self.status.say("")

    def _where(self):
        """Return at which condition it is, to go on a sentence with; nothing where the law depends on none."""
        return f", paste at {self.at.said}" if self.at.fields else ""

    def rows(self):
        """Return the rows of law, extruder, job and condition."""
        (extruder, flow), (machine, job) = self.described(), origins_of(self.plan)
        case = self._case(extruder)
        if case is not None:
            of_machine = machine_rows(self.material, extruder, case, machine, job_origin=job, plan=self.plan)
        else:
            of_machine = extruder_rows(self.material, extruder, machine, plan=self.plan)
            of_machine += [[f"flow {symbol('flow_rate')}", written(flow, "m³/s"), EXACT, job]] if flow else []
        return [*fit_rows(self.fit), *of_machine, *self.at.rows()]
