"""The page of a fibre of a workbook: it reads from the plan, and what is moved on it is written there, for every page."""

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...nomenclature import with_limits
from ...regions import AXES
from ...workbook.asked import ASKED, FIBRE, PRINT
from ...workbook.asked_of_paste import OF_FIBRE as OF_GEL
from ...workbook.entry import NONE
from ...workbook.made import extruder_of, job_of, left_out, missing, taken_as_bare
from ...workbook.of_rig import counted
from ..page.bound import bound, plan_field, saving_of
from ..page.elements import is_shown, paragraph, result, show, stamped
from ..page.freshness import clear
from ..page.hearing import hear
from ..page.layout import Fold
from ..page.machine_controls import buttons, under
from ..page.machine_panel import OF_FIBRE, MachinePanel
from ..page.machine_words import BARREL, DRIVE, NOT_KNOWN, NOZZLE
from ..page.number_field import SlidingNumber
from ..page.page_words import labels_of, not_known_in_strip, silent
from ..page.paste_fields import TITLE, PasteFields, read_for_page
from ..page.strip import DOUBTFUL
from ..page.typed_numbers import as_in_field, with_its_unit
from . import words
from .controls import KELVIN_STEP, LOG_STEP, SLIDERS
from .explorer import FibreExplorer

GROUPS = {"nozzle": NOZZLE, "machine": BARREL, "drive": DRIVE}
HEATED_TO = "nozzle_temperature"


class PlannedControls:
    """The controls of a plan; `changed` is called after every change, without arguments.

    Attributes
    ----------
    sliders : dict of str to SlidingNumber
    fields : dict of str to NumberField
    heated, held, kind : ToggleButtons
        Whether the needle is heated, how the fibre dries, and what the workbook is asked for: a print or a fibre.
    machine : Fold
        Of the fields of needle, barrel and drive.
    of_paste : Fold
        Of what is known of the gel.
    """

    def __init__(self, plan, changed, paste, counts=dict):
        self._counts, self.plan, self._changed, self.of_paste = counts, plan, self._planned(changed), paste
        self.sliders = {key: self._slider(key) for key in SLIDERS}
        self.fields = {key: self._field(key) for keys in words.PLANNED.values() for key in keys}
        held = {"": NOT_KNOWN, NONE: words.BARE}.get(plan.text(FIBRE, HEATED_TO), words.HEATED)
        self.heated = buttons("needle", [NOT_KNOWN, words.HEATED, words.BARE], held)
        self._unheated = W.HTML(paragraph(f"Not known: {ASKED[FIBRE][HEATED_TO].without}."))
        self.held = bound(buttons("the fibre dries", [words.HELD, words.LOOSE]), plan, FIBRE, "held")
        self.kind = bound(buttons("this paste is", list(words.MADE.items())), plan, "job", "kind")
        self._write_heat()
        for hears in (self._write_heat, self._changed):
            hear(self.heated, hears)
            self.sliders[HEATED_TO].heard(hears)
        hear(self.held, self._changed)
        hear(self.kind, changed)
        self.fields["bath_length"].heard(self._show_asked)
        self._show_asked()
        self.machine = Fold(words.MACHINE, self._machine_panel)

    def _planned(self, changed):
        """Return what is called after a change: a paste of which nothing is said yet is one for a fibre from then on."""

        def act():
            if not self.plan.text("job", "kind"):
                self.kind.value = FIBRE
            changed()

        return act

    def _machine_panel(self):
        self.panel = MachinePanel(self.plan, self._changed, opened=(NOZZLE,), offered=OF_FIBRE, counts=self._counts)
        return self.panel

    def _slider(self, key):
        asked, axis = ASKED[FIBRE][key], AXES[key]
        step = LOG_STEP if axis.logarithmic else KELVIN_STEP
        slider = SlidingNumber(
            asked.label, asked.example, asked.low, asked.high, step, logarithmic=axis.logarithmic,
            hint=words.HOW_WARM if key == HEATED_TO else f"Not known: {asked.without}.", begin=None,
        )  # fmt: skip
        held = self.plan.text(FIBRE, key)
        if key == HEATED_TO:
            slider.text.value = "" if held == NONE else as_in_field(held, slider.unit)
            return slider
        bound(slider, self.plan, FIBRE, key)
        slider.heard(self._changed)
        return slider

    def _field(self, key):
        return plan_field(self.plan, FIBRE, key, self._changed)

    def _write_heat(self):
        """Write how warm the needle is, "none" where it is bare."""
        slider, is_heated = self.sliders[HEATED_TO], self.heated.value == words.HEATED
        show(slider, is_heated)
        show(self._unheated, self.heated.value == NOT_KNOWN)
        text = (
            with_its_unit(slider.holds, slider.unit) if is_heated else NONE if self.heated.value == words.BARE else ""
        )
        if not (is_heated and slider.refused) and text != self.plan.text(FIBRE, HEATED_TO):
            saving_of(self.plan).put(FIBRE, HEATED_TO, text)

    def _show_asked(self):
        bath = self.fields["bath_length"]
        show(self.fields["bath_temperature"], bool(bath.refused) or (bool(bath.holds) and bath.value > 0))

    @property
    def columns(self):
        """The other controls, in groups."""
        groups = [
            under("this paste is", self.kind),
            under("needle", self.heated),
            self._unheated,
            self.machine,
            self.of_paste,
        ]
        for title, keys in words.PLANNED.items():
            groups.append(W.HTML(f"<div class='caption'>{paragraph(title)}</div>"))
            groups += [self.fields[key] for key in keys]
        return [*groups, under("the fibre dries", self.held)]

    @property
    def drum_diameter(self):
        """Diameter of the drum [m]; None where it is not known."""
        return self.plan.value(FIBRE, "drum_diameter")

    def described(self):
        """Return the extruder and the job of the plan; refuse where a field holds what cannot be."""
        if self.machine.inside is not None:
            self.panel.refuse()
        for field in (*self.sliders.values(), *self.fields.values()):
            if field.holds and is_shown(field):
                field.read()
        return extruder_of(self.plan), job_of(self.plan, FIBRE)

    @property
    def lacking(self):
        """Tables and keys that a fibre cannot do without, and that the plan does not know."""
        return [*missing(self.plan, "extruder"), *missing(self.plan, FIBRE)]

    def ask_for(self, entries):
        """Open the fields of what is missing of the machine."""
        tables = {table for table, _ in entries} & set(GROUPS)
        if tables:
            self.machine.unfold()
            for table in tables:
                self.panel.groups[GROUPS[table]].unfold()

    def set_here(self):
        """Return names of what is set otherwise than it was given: all of it stands in the plan."""
        return set()


class PlannedFibre(FibreExplorer):
    """A `FibreExplorer` of a workbook; where the plan says too little, the place of the pictures says what they need.

    Attributes
    ----------
    workbook : Workbook
    controls : PlannedControls
    demo : Button
        Shown where a paste is picked of which no fibre is planned, until one can be computed; the page that has a picker opens
        a demo then.
    """

    def __init__(self, workbook, fine):
        self.workbook, self.plan, self._known = workbook, workbook.plan, False
        self._begin(fine)
        self.demo = W.Button(description=words.LOOK_AT_A_DEMO, layout=W.Layout(width="auto", max_width="100%"))
        self.of_paste = Fold(
            TITLE, lambda: PasteFields(workbook.plan, OF_GEL, read_for_page(workbook), self._paste_changed)
        )
        self.controls = PlannedControls(workbook.plan, self.changed, self.of_paste, lambda: workbook.counted)
        show(self.demo, workbook.plan.text("job", "kind") != FIBRE)
        super(FibreExplorer, self).__init__()
        if self.winding is None:
            self.controls.ask_for(self._lacking())

    def __repr__(self):
        return f"FibreExplorer of {self.workbook.name}"

    def _paste_changed(self):
        self._known = False
        self.changed()

    def _main(self):
        return W.VBox([super()._main(), self.demo])  # below: no field moves when it goes

    @property
    def taken(self):
        """What counts as something because the plan does not say it."""
        return taken_as_bare(self.workbook.plan)

    def _lacking(self):
        try:
            return self.controls.lacking
        except DataError:
            return []  # what cannot be is said elsewhere

    def described(self):
        """Return the material, the extruder and the job of the workbook."""
        extruder, job = self.controls.described()
        if not self._known:  # the readings do not change while the page stands, what is typed of the paste does
            book = self.workbook
            self._take(book.material, extruder, job, charts.subtitle_of(book.fit), book.machine_origin, book.origins)
            self._known = True
        self.extruder, self.job = extruder, job
        return self.material, extruder, job

    @property
    def steps(self):
        """The way of the fibre, or what it lacks."""
        if self._lacks:
            return [self._say_lacking]
        way, *others = super().steps
        return [way, self._say_force, *others]

    def _say_force(self):
        """Say force and pressure with their limits, as the page of a fit and the script have them."""
        fit, extruder, like = self.workbook.fit, self.extruder, self.winding.case.pressure_law
        flow = float(self.winding.case.flow_rate)
        if lacks := fit.missing(lambda law: extruder.plunger_force(like.of(law), flow)):
            self.forced.value = result(f"Force and pressure are {lacks}.")
            return
        with silent():  # said of the limits
            asked = (lambda law, rig: rig.plunger_force(law, flow)), (lambda law, rig: rig.pressure(law, flow))
            found = [fit.interval(one, extruder=extruder, like=like) for one in asked]
        force, pressure = (with_limits(*one[:3], unit) for one, unit in zip(found, ("N", "Pa"), strict=True))
        without = left_out(self.workbook.plan, counted(self.material, extruder))
        said = result(f"Force {force}, pressure {pressure} at the plunger.")
        notes = dict.fromkeys([*(f"Extrapolated: {one.comment}." for one in found if one.extrapolated), *without])
        self.forced.value = stamped(fit.stamp) + said + "".join(map(paragraph, notes))

    def refresh(self):
        """Compute again, or say what is not known."""
        self._lacks = self._lacking()
        if not self._lacks:
            show(self.demo, False)
        for picture in list(self.way.values())[1:]:  # the first says what all of them need
            show(picture, not self._lacks)
        super().refresh()

    def _say_lacking(self):
        """Say in place of the pictures what they need; no answer to what was asked before stays."""
        self.winding = self.alone = None
        for place in (self.wound, self.forced, self.answered, self.cautions, self.rests, *self.folds.all):
            clear(place)
        is_print = self.workbook.plan.text("job", "kind") == PRINT
        said = not_known_in_strip(self._lacks)
        self.strip.say(words.NOT_A_FIBRE if is_print else said, DOUBTFUL)
        first, *others = self.way.values()
        first.leave_out(words.lacks(labels_of(self._lacks)))
        for picture in others:
            picture.clear()
        self.message.complain("")
        self.status.say("")
