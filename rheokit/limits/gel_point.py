"""Does the gel leave the nozzle warm enough not to set in it?"""

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .plain import WARM, fibre

ABOVE = 2.0  # K between the gel point and the coldest paste that flows as its law says; common practice, no source


class GelPoint(Limit):
    """Temperature at the exit of the nozzle against the gel point."""

    name = "nozzle above gel point"
    label = "temperature at the exit of the nozzle"
    unit = "K"
    jobs = (FIBRE,)
    width = 10.0
    model_error = 0.1
    of_flow = True
    needs = ("gel_temperature",)
    formula = "T_e ≥ T_gel + 2 K"
    source = "mean over the flow behind a wall of one temperature (Graetz), or cooled by air; 2 K: common practice, no source"
    example = Example(
        given=fibre("throughput length thermal_diffusivity nozzle_temperature barrel_temperature gel_temperature"),
        expected={"value": 312.414661558, "low": 306.4, "margin": 0.601466156, "margin with error": 0.501466156},
        source=f"{WARM}; (T - 304.4 - 2)/10",
    )
    remedy = "warm the nozzle, or shorten it; purge after a pause"
    caution = CAUTIONS["hot gel"]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.exit_temperature

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return case.paste.gel_temperature + ABOVE
