"""Are barrel and nozzle so warm that the gel sets in neither?"""

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..nomenclature import written
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .plain import WARM, fibre

ABOVE = 2.0  # K between the gel point and the coldest paste that flows as its law says; common practice, no source

WARM_BARREL = "warm the barrel, and press only when all of the gel in it has melted"
WARM_NOZZLE = "warm the nozzle, or shorten it; purge after a pause"


class GelPoint(Limit):
    """Temperature of the colder of barrel and exit of the nozzle against the gel point."""

    name = "nozzle above gel point"
    label = "coldest temperature of barrel and exit"
    unit = "K"
    jobs = (FIBRE,)
    width = 10.0
    model_error = 0.1
    of_flow = True
    needs = ("gel_temperature",)
    formula = "min(T_b, T_e) ≥ T_gel + 2 K"
    source = "mean over the flow behind a wall of one temperature (Graetz), or cooled by air; 2 K: common practice, no source"
    example = (
        Example(
            given=fibre("throughput length thermal_diffusivity nozzle_temperature barrel_temperature gel_temperature"),
            expected={"value": 312.414661558, "low": 306.4, "margin": 0.601466156, "margin with error": 0.501466156},
            source=f"{WARM}; (T - 304.4 - 2)/10",
        ),
        Example(
            given=fibre("gel_temperature", barrel_temperature=307.1),
            expected={"value": 307.1, "low": 306.4, "margin": 0.07, "margin with error": -0.03},
            source="by hand: a barrel colder than its nozzle, (307.1 - 306.4)/10; 0.1 for the formula",
        ),
    )
    remedy = f"in the barrel: {WARM_BARREL}; at the exit: {WARM_NOZZLE}"
    caution = CAUTIONS["hot gel"]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.coldest

    def remark(self, case: Case) -> str:  # noqa: D102
        where = "in the barrel" if _in_barrel(case) else "at the exit"
        gel = f", below the gel point of {written(case.paste.gel_temperature, 'K')}: it sets there"
        return where + gel if case.has_set else where

    def underlies(self, case: Case) -> bool:  # noqa: D102
        return case.has_set

    def remedy_for(self, case: Case) -> str:  # noqa: D102
        return WARM_BARREL if _in_barrel(case) else WARM_NOZZLE

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return case.paste.gel_temperature + ABOVE


def _in_barrel(case):
    return bool(np.all(np.less(case.coldest, case.exit_temperature)))
