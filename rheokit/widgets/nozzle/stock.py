"""Needles from stock with the one to take, and what a catch says of the flow: ready pieces for a page.

A page puts `needles_fold()` or, with a case to answer for, a `StockPanel` into itself; a `CatchPanel` where paste is weighed.
"""

import ipywidgets as W
import numpy as np

from ...flow.gauges import LUER_TAPER
from ...machine.calibration import FlowCalibration
from ...nomenclature import written
from ...planning import NozzleAdvice
from ...planning.stock import HEAD, JUDGED, needle_rows
from ...units import g
from ..page.base import Panel
from ..page.elements import details, paragraph, result, section, table
from ..page.freshness import Answer
from ..page.number_field import NumberField

TITLE = "Needles and luer tapers: nominal sizes of a trade table"
NOTE = (
    "Nominal sizes: measure the needle in hand. A luer taper widens by {:.0f} % of its length; its own length and ends differ "
    "between fittings."
)
MASSES = "mass_1", "mass_2", "mass_3"
CATCH = {
    "mass_1": ("mass of catch 1 [g]", 4.0, 1e-3, 1e5, "not weighed yet"),
    "mass_2": ("mass of catch 2 [g]", 4.0, 1e-3, 1e5, "not weighed yet"),
    "mass_3": ("mass of catch 3 [g]", 4.0, 1e-3, 1e5, "not weighed yet"),
    "time": ("time of one catch [s]", 60.0, 1.0, 3600.0, "not known; 60 s is usual"),
}
"""Words with unit, example, least, most, and what is said while it is empty, as all of them are to begin with."""


def needles_fold(advice: NozzleAdvice | None = None) -> str:
    """Return HTML of the table of needles and luer tapers, folded away."""
    head = HEAD if advice is None else [*HEAD, *JUDGED]
    note = paragraph(NOTE.format(100 * LUER_TAPER))
    return details(TITLE, table(head, needle_rows(advice), TITLE) + note)


class StockPanel(Answer):
    """Which needle to take, in a sentence, and the table of all of them folded below it."""

    def show(self, advice: NozzleAdvice) -> None:
        """Show an advice."""
        self.value = result(advice.words) + needles_fold(advice)


class CatchPanel(Panel):
    """Masses caught at a flow that was set, and the factor on that setting."""

    def __init__(self) -> None:
        self._set: tuple[float, float] | None = None
        self.fields = {key: NumberField(*one[:4], self.changed, one[4], begin=None) for key, one in CATCH.items()}
        super().__init__()

    def sections(self) -> list[W.Widget]:
        """Return fields and answer."""
        self.answered = Answer()
        return [section("Flow factor of a catch", *self.fields.values(), self.message, self.answered)]

    def show(self, flow_rate: float, density: float) -> None:
        """Answer for a flow that is set [m3/s] and the density of the paste [kg/m3]."""
        self._set = flow_rate, density
        self.refresh()

    def described(self) -> FlowCalibration | None:
        """Return the catches; None where no flow was set, or no mass typed."""
        masses = [self.fields[key].value * g for key in MASSES if self.fields[key].holds]
        time = self.fields["time"]
        if self._set is None or not masses or not time.holds:
            return None
        flow_rate, density = self._set
        return FlowCalibration(masses=np.array(masses), time=time.value, density=density, flow_rate=flow_rate)

    @property
    def steps(self):
        """One answer."""
        return (self._say,)

    def _say(self):
        found = self.described()
        self.message.complain("")
        if found is None:
            self.answered.value = ""
            return
        caught, wanted = (written(mass, "kg") for mass in (found.caught_mass, found.wanted_mass))
        self.answered.value = result(f"{caught} caught for {wanted} set. {found.verdict}")
