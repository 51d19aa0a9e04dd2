"""Is the gel in the barrel so hot that it loses its strength?"""

from collections.abc import Callable

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..part.job import FIBRE
from .base import Limit
from .case import Case

HOTTEST = 333.15  # K; gelatin loses strength within hours at 60 °C: common practice, no source


class HoldTemperature(Limit):
    """Temperature of the barrel against what gelatin bears for hours.

    A gel that melts only above it, as agar does, is held hotter and not asked.
    """

    name = "hold temperature"
    label = "temperature of the barrel"
    unit = "K"
    jobs = (FIBRE,)
    width = 10.0
    formula = "T_b ≤ 60 °C, of a gel that melts below that"
    source = "gelatin loses strength within hours at 60 °C: common practice, no source"
    example = Example(
        given={"barrel_temperature": 338.65},
        expected={"value": 338.65, "high": 333.15, "margin": -0.55},
        source="by hand: (333.15 - 338.65)/10; what is cooler has endless room",
    )
    remedy = "hold it cooler, and warm only what is drawn within the hour"
    caution = CAUTIONS["hot gel"]

    def asked(self, case: Case) -> bool:  # noqa: D102
        melts = case.paste.melt_temperature
        return melts is None or bool(np.all(np.less(melts, HOTTEST)))

    def margin(self, case: Case, normals: Callable | None = None) -> Numbers:
        """Return how far it is above, in widths, and endless room where it is not: a setting is kept or not.

        How far below it stays says nothing of how near the draw is to failing, and must not hide on a map what does.
        """
        margin = super().margin(case, normals)
        return np.where(margin >= 0, np.inf, margin)[()]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.barrel_temperature

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return HOTTEST
