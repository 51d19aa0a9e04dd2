"""The printable region of a workbook: it reads from the plan, and what is moved on it is written there, for every page."""

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...workbook.asked import ASKED, FIBRE
from ...workbook.asked_of_paste import OF_PRINT
from ...workbook.made import missing
from ...workbook.of_region import PAGE
from ..page.bound import saving_of
from ..page.elements import paragraph
from ..page.freshness import clear
from ..page.layout import Fold
from ..page.machine_panel import MachinePanel
from ..page.machine_words import BARREL, DRIVE, NOZZLE, PART
from ..page.page_words import in_words, labels_of, not_known_in_strip
from ..page.paste_fields import TITLE, PasteFields, limits_told, read_for_page
from ..page.strip import DOUBTFUL
from ..page.typed_numbers import as_in_field
from . import words
from .controls import OF_PLAN, RegionControls
from .explorer import RegionExplorer

ENTRIES = {
    key: (table, {"taper": "taper_half_angle"}.get(key, key))
    for key, table in zip(OF_PLAN, ("nozzle", "nozzle", "print", "print", "print", "print"), strict=True)
}
"""Where a slider is kept."""
HINTS = {key: f"Not known: {ASKED[table][entry].without}." for key, (table, entry) in ENTRIES.items()}
WAYS = {"taper", "layer_height"}
GROUPS = {"nozzle": NOZZLE, "machine": BARREL, "drive": DRIVE, "print": PART}


class PlannedRegion(RegionExplorer):
    """A `RegionExplorer` of a workbook; where the plan says too little, the place of the map says what is missing.

    Attributes
    ----------
    workbook : Workbook
    controls : RegionControls or None
        Made anew when machine or part are changed in their own fields.
    machine : Fold
        Of the fields of machine and part.
    of_paste : Fold
        Of what is known of the paste.
    """

    def __init__(self, workbook, fine, quick):
        self.workbook, self.plan, self.controls = workbook, workbook.plan, None
        self._fault, self._quiet, self._texts, self._paste, self._opened = None, False, {}, None, ()
        self._begin(fine, quick)
        self._chosen, self._moved = (W.VBox([], layout=W.Layout(width="100%")) for _ in range(2))
        self.machine = Fold(words.MACHINE, self._machine_panel)
        self.of_paste = Fold(TITLE, self._paste_fields)
        super(RegionExplorer, self).__init__()

    @property
    def told(self):
        """The limits that the recipe tells."""
        return limits_told(self.workbook)

    def __repr__(self):
        return f"RegionExplorer of {self.workbook.name}"

    def sections(self):
        """Return what a region shows, of what is known."""
        out = super().sections()
        self._read()
        return out

    def _main(self):
        return self._chosen

    def _others(self):
        return [self._moved, self.machine, self.of_paste]

    def _machine_panel(self):
        self.panel = MachinePanel(
            self.workbook.plan, self._machine_changed, opened=self._opened, counts=lambda: self.workbook.counted
        )
        return self.panel

    def _paste_fields(self):
        return PasteFields(self.workbook.plan, OF_PRINT, read_for_page(self.workbook), self._paste_changed)

    def _paste_changed(self):
        self._paste = None
        self._machine_changed()

    # --- what the plan says ---------------------------------------------------------------------------------------

    def _read(self):
        """Make the controls anew of what bench and plan say, or note why that cannot be."""
        plan, self._fault = self.workbook.plan, None
        try:
            if plan.choice("job", "kind") == FIBRE:
                raise DataError(words.NOT_A_PRINT)
            self._know_paste()
            lines = [*charts.subtitle_of(self.workbook.fit, next_batch=True)]
            self._take(
                self._paste,
                self.workbook.extruder,
                self.workbook.job,
                lines,
                self.workbook.machine_origin,
                self.workbook.origins,
            )
        except DataError as fault:
            self._fault = fault
            self._ask_for_what_lacks()
            return
        kept = {key: plan.text(PAGE, key) for key in plan._at(PAGE)}
        follows = (
            {"layer_height": not plan.text("print", "layer_height")}
            if plan.text("print", "layer_height_to_bore")
            else {}
        )
        follows["wall_width"] = not plan.text("print", "wall_width")
        self._quiet = True
        asked = self._case(), kept.get("across") or "bore", kept.get("up"), self._slid, self._new_point
        self.controls = RegionControls(*asked, False, kept, follows, HINTS)
        self._texts = {key: self.controls.text(key) for key in ENTRIES if key in self.controls.sliders}
        self._chosen.children = [super()._main()]
        self._moved.children = self.controls.moved_most
        self._quiet = False

    def _know_paste(self):
        if self._paste is None:
            self._paste = self.workbook.material

    @property
    def _lacking(self):
        """Tables and keys that a map cannot do without; none where something that cannot be stands in the plan."""
        plan = self.workbook.plan
        try:
            return [] if plan.choice("job", "kind") == FIBRE else [*missing(plan, "extruder"), *missing(plan, "job")]
        except DataError:
            return []

    def _ask_for_what_lacks(self):
        """Show the fields of what is missing."""
        if self._lacking and self.found is None:
            self.machine.unfold()
            for table, _ in self._lacking:
                self.panel.groups[GROUPS[table]].unfold()

    @property
    def steps(self):
        """A map, or what it lacks."""
        return [self._refuse] if self._fault else super().steps

    def _refuse(self):
        lacks = self._lacking
        if self.found is not None and not lacks:
            raise self._fault
        self.found = self.alone = None  # what is not known is no error: nothing that was answered before stays
        for place in (self.answered, self.rests, self.picture.words, *self.folds.all):
            clear(place)
        is_fibre = str(self._fault) == words.NOT_A_PRINT
        short = words.NOT_A_PRINT if is_fibre else words.NO_MAP_BELOW
        self.strip.say(not_known_in_strip(lacks) if lacks else short, DOUBTFUL)
        self.picture.leave_out(words.lacks(labels_of(lacks)) if lacks else in_words(self._fault))
        self.status.say("")
        self.message.complain("")

    # --- what is changed ------------------------------------------------------------------------------------------

    def _machine_changed(self):
        if self._quiet:
            return
        self._read()
        self.refresh()

    def _slid(self):
        """Write what was moved, and compute another map."""
        if self._quiet:
            return
        self._write()
        self.refresh()

    def _new_point(self):
        if not self._quiet:
            self._write()
            super()._new_point()

    def _write(self):
        at, plan = self.controls, self.workbook.plan
        put = saving_of(plan).put
        moved = {key: text for key in self._texts if (text := at.text(key)) not in (None, self._texts[key])}
        self._texts |= moved
        for key, text in moved.items():
            put(*ENTRIES[key], text)
            if key == "taper":  # given by its half angle from now on
                put("nozzle", "taper_length", "")
        for key, text in at.chosen().items():
            if text != plan.text(PAGE, key):
                put(PAGE, key, text)
        if moved:
            self._follow_plan()
            self._show_in_panel(moved)

    def _follow_plan(self):
        """Take extruder and job as the plan has them now."""
        try:
            self.extruder, self.job, self._fault = self.workbook.extruder, self.workbook.job, None
            self.controls.case = self._case()
        except DataError as fault:
            self._fault = fault

    def _show_in_panel(self, moved):
        """Show what was moved in the fields of machine and part too, where they were made."""
        if self.machine.inside is None:
            return
        self._quiet = True
        if WAYS & set(moved):  # one of two ways to give it, which are made for what the plan holds
            self._opened = [title for title, group in self.panel.groups.items() if group.is_open]
            self.machine.renew()
        else:
            for key, text in moved.items():
                if ENTRIES[key] in self.panel.fields:
                    field = self.panel.fields[ENTRIES[key]]
                    field.text.value, field.turn = as_in_field(text, field.unit), 0  # the slider was moved
        self._quiet = False

    def _explain(self):
        super()._explain()
        self.answered.value += "".join(map(paragraph, self.workbook.left_out))
