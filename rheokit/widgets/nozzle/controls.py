"""What page 2 is moved by: speed, machine and part, and what is assumed of the paste, kept in a plan; and a stiffness to ask "what if", which is not."""

from dataclasses import replace

import ipywidgets as W

from ... import charts
from ...limits import Case
from ...part.printing import PrintJob
from ...workbook import Plan
from ...workbook.asked import FIBRE
from ...workbook.asked_of_paste import OF_FIBRE as OF_FIBRE_PASTE
from ...workbook.asked_of_paste import OF_PRINT as OF_PRINT_PASTE
from ...workbook.made import NotKnownYet, extruder_of, job_of, left_out, missing
from ...workbook.of_rig import counted
from ...workbook.whence import origins_of
from ..page.layout import Fold
from ..page.machine_controls import speed_slider
from ..page.machine_panel import OF_FIBRE, OF_PRINT, MachinePanel
from ..page.number_field import NumberField, SlidingNumber
from ..page.paste_fields import TITLE, KnownPaste, PasteFields
from . import words


class NozzleControls:
    """The controls, and what they describe with a plan; `changed` is called without arguments after every change.

    Attributes
    ----------
    speed, stiffness : SlidingNumber
    panel : MachinePanel
    of_paste : Fold
        Of what is known of the paste, in `fields`; below an empty one stands what the readings tell.
    """

    def __init__(self, plan: Plan, paste: KnownPaste, changed) -> None:
        self.plan, self._known, self._changed = plan, paste, changed
        self.speed = speed_slider(plan)
        self.stiffness = SlidingNumber(words.STIFFNESS, 1.0, 0.5, 2.0, 0.05)
        offered = OF_FIBRE if self.is_fibre else OF_PRINT
        self.panel = MachinePanel(
            plan, changed, besides=[("print", "print_speed")], offered=offered, counts=self._count
        )
        self.fields: dict[str, NumberField] = {}
        self.of_paste = Fold(TITLE, self._paste)
        for field in (self.speed, self.stiffness):
            field.heard(changed)

    @property
    def sliders(self) -> W.VBox:
        """What is moved most."""
        return W.VBox([self.stiffness] if self.is_fibre else [self.speed, self.stiffness])

    @property
    def is_fibre(self) -> bool:
        """Whether a fibre is planned, whose job stands on a page of its own."""
        return self.plan.text("job", "kind") == FIBRE

    def _paste(self):
        names = OF_FIBRE_PASTE if self.is_fibre else OF_PRINT_PASTE
        made = PasteFields(self.plan, names, self._known.read, self._know_paste)
        self.fields = made.fields
        return made

    def _know_paste(self):
        self._known.renew()
        self._changed()

    def _count(self):
        known = self._known.material
        return {} if known is None else counted(known, extruder_of(self.plan))

    def extruder(self):
        """Return the extruder; `NotKnownYet` where the plan lacks something of it, `Refused` where a field holds what cannot be."""
        self.panel.refuse()
        return extruder_of(self.plan)

    def job(self) -> PrintJob:
        """Return the print job, as `extruder`."""
        if self.is_fibre:
            raise NotKnownYet("print", [("job", "kind")])
        if self.speed.holds:
            self.speed.read()
        job = job_of(self.plan)
        assert isinstance(job, PrintJob)
        return job

    def lacking(self) -> NotKnownYet | None:
        """Return with all that the plan lacks of extruder and job why there is no case; None where it lacks nothing."""
        lacks = missing(self.plan, "extruder") + ([] if self.is_fibre else missing(self.plan, "job"))
        return NotKnownYet("case", lacks) if lacks else None

    def case(self, material) -> Case:
        """Return the case of a material in the extruder, printing the job; `NotKnownYet` names all that the plan lacks of both."""
        self.panel.refuse()
        if lacks := self.lacking():
            raise lacks
        extruder, job = self.extruder(), self.job()
        return replace(Case.of(material, extruder, job), paste=self.paste(material.paste))

    def paste(self, paste):
        """Return a paste as stiff as the controls say."""
        for field in self.fields.values():
            if field.holds:
                field.read()
        return paste.stiffer(self.stiffness.value)

    def left_out(self, material) -> list[str]:
        """Return what the force is computed without because nobody knows it, but for a friction that the readings know."""
        return left_out(self.plan, counted(material, self.extruder()))

    @property
    def invented(self) -> list[str]:
        """A line that says which of machine and part are said to be invented; none where neither is."""
        return charts.invented_machine(*self.origins)

    @property
    def origins(self) -> tuple[str, str]:
        """Where the numbers of the machine come from, and those of the job."""
        return origins_of(self.plan)
