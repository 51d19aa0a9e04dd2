"""What limits of the draw have in common: a liquid without a yield stress."""

from ..machine.cautions import CAUTIONS
from ..nomenclature import written
from ..part.job import FIBRE
from .base import Limit
from .case import Case

EVENER = "shorten the gap, more flow, a cooler nozzle, a thicker dope, a finer needle"
UNDRAWN = "print it as layers, or draw a dope whose law has no yield stress"

ASSUMED_TENSION = "surface tension assumed, {}: weigh drops"


class DrawnLiquid(Limit):
    """A limit of a liquid that is drawn from the nozzle to the bath or the drum."""

    jobs = (FIBRE,)
    of_flow = True
    caution = CAUTIONS["hot gel"]

    def lacks(self, case: Case) -> str:  # noqa: D102
        return super().lacks(case) or ("the law has a yield stress: a paste is not drawn" if case.has_strength else "")

    def to_judge_it(self, case: Case) -> str:  # noqa: D102
        return UNDRAWN if case.has_strength and not super().lacks(case) else super().to_judge_it(case)

    def remark(self, case: Case) -> str:
        """Return that surface tension, which rules these limits, is assumed, where nobody gave it."""
        return (
            ASSUMED_TENSION.format(written(case.best.surface_tension, "surface_tension"))
            if case.tension_assumed
            else ""
        )
