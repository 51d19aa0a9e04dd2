"""Is the fibre drawn at all, and not beyond what was drawn without a break?"""

import numpy as np

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .drawn_liquid import UNDRAWN
from .plain import fibre

SLOWER, FASTER = "a finer needle or a slower drum", "a wider needle or a faster drum"


class DrawRatio(Limit):
    """Draw ratio of the liquid fibre against 1 and against the greatest that was drawn; none is right for a yield stress.

    The greatest is measured, not assumed: a gel that was drawn 16 times may be. Drawing a fibre after it has set is another
    matter, and not judged here.
    """

    name = "draw ratio"
    label = "winding speed over speed in the bore"
    jobs = (FIBRE,)
    model_error = 0.1
    formula = "1 ≤ v_w/v_0 ≤ D_B, no most where D_B is not known; 1 is the most of a law with a yield stress"
    source = "mass balance; D_B: the greatest ratio that was drawn without a break"
    example = (
        Example(
            given=fibre("bore throughput winding_speed break_ratio"),
            expected={
                "value": 5.94467870,
                "low": 1.0,
                "high": 13.0,
                "margin": 0.782452874,
                "margin with error": 0.682452874,
            },
            source="by hand: 0.113*pi*0.87^2/(4*11.3) m/s over mm/s; ln(13/5.94467870); 0.1 for the formula",
        ),
        Example(
            given=fibre("bore throughput", winding_speed=0.0143),
            expected={"value": 0.752291198, "low": 1.0, "margin": -0.284631817, "margin with error": -0.384631817},
            source="by hand: a drum slower than the dope comes",
        ),
    )
    remedy = (
        f"above: {SLOWER}; below: {FASTER}. Drawing after the gel has set is another matter, which this does not judge"
    )
    caution = CAUTIONS["hot gel"]

    def left_open(self, case: Case) -> str:  # noqa: D102
        return "break_ratio not known" if case.paste.break_ratio is None and not case.has_strength else ""

    def remark(self, case: Case) -> str:  # noqa: D102
        return "a law with a yield stress is not drawn" if case.has_strength else self.left_open(case)

    def underlies(self, case: Case) -> bool:  # noqa: D102
        return case.has_strength or bool(np.all(np.less(case.draw_ratio, 1)))

    def remedy_for(self, case: Case) -> str:  # noqa: D102
        if case.has_strength:
            return UNDRAWN
        if not self.nears_high(case):
            return FASTER
        return f"{SLOWER}. Drawing after the gel has set is another matter, which this does not judge"

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.draw_ratio

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return 1.0

    def high(self, case: Case) -> Numbers | None:  # noqa: D102
        return 1.0 if case.has_strength else case.paste.break_ratio
