"""Do the readings behind the law cover the rates that barrel and nozzle ask for?"""

import numpy as np

from ..checking import Example
from ..flow.channel import AS_READ
from ..flow.segments import apparent_rate
from ..hints import Numbers
from ..nomenclature import written
from .base import BOTH, Limit
from .case import Case
from .plain import FLOW, LAW, LINE, plain


class RateRange(Limit):
    """Shear rates at the walls, from the barrel to the bore, against those that were read: outside, the law is extrapolated.

    Where a test reads the dynamic yield stress, what is slower than the rates read is covered; a barrel that carries hardly
    any pressure does not count (`Channel.widest_wall`). What is said is the rate further from the readings, in the bore or at
    the widest wall. All stand as apparent rates, which follow from the flow alone; true and apparent rates rise together.
    """

    name = "rates read"
    label = "apparent shear rate, from barrel to bore"
    unit = "1/s"
    jobs = BOTH
    of_flow = True
    advice = True
    formula = "γ̇_a(slowest rate read) ≤ 32 Q/πD_0³, 32 Q/πD³ ≤ γ̇_a(fastest rate read)"
    source = "the readings"
    example = (
        Example(
            given=plain(LAW, LINE, "bore", rate_range=(2.7, 340.0), yield_read=True),
            expected={"value": 89.4326852, "high": 200.051507, "margin": 0.805088645},
            source=(
                FLOW + "; 32 Q/(pi*1.7^3); apparent rate at tau_w = 310 + 47*(340*1.02)^0.43: "
                "4/tau_w^3 int (s + 310)^2 (s/47)^(1/0.43) ds, term by term"
            ),
        ),
        Example(
            given=plain(LAW, LINE, "barrel_diameter", rate_range=(2.7, 340.0)),
            expected={"value": 0.0454678297, "low": 0.546434981, "high": 200.051507, "margin": -2.48641029},
            source="as above, and at tau_w = 310 + 47*(2.7/1.02)^0.43; 32 Q/(pi*21.3^3): the barrel carries 0.1 of the pressure, and no test reads the yield stress",
        ),
    )
    remedy = "measure at the rates of use; until then the prediction is an extrapolation"

    def lacks(self, case: Case) -> str:  # noqa: D102
        return "no shear rate read" if case.rate_range is None else super().lacks(case)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        if case.yield_read:
            return case.apparent_rate
        slow, low, high = self._slow(case), self.low(case), self.high(case)
        return np.where(slow * case.apparent_rate < low * high, slow, case.apparent_rate)[
            ()
        ]  # further outside, by its ln

    def low(self, case: Case) -> Numbers | None:  # noqa: D102
        return None if case.yield_read else self._apparent(case, case.rate_range[0] / AS_READ)

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return self._apparent(case, case.rate_range[1] * AS_READ)

    def remark(self, case: Case) -> str:  # noqa: D102
        in_bore = np.all(self.value(case) == case.apparent_rate)
        return "in the bore" if in_bore else f"where it is {written(case.widest_wall, 'm')} wide"

    @staticmethod
    def _slow(case):
        return apparent_rate(case.flow_rate, case.widest_wall)

    @staticmethod
    def _apparent(case, rate):
        law = case.pressure_law
        return law.apparent_shear_rate(law.shear_stress(rate))
