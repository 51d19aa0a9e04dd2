"""Do the readings behind the law cover the rates that the nozzle asks for?"""

from ..checking import Example
from ..hints import Numbers
from .base import BOTH, Limit
from .case import Case
from .plain import FLOW, LAW, LINE, plain


class RateRange(Limit):
    """Shear rate in the bore against the rates that were read: outside, the law is extrapolated.

    Both stand as apparent rates, which follow from the flow alone; true and apparent rates rise together.
    """

    name = "rates read"
    label = "apparent shear rate in the bore"
    unit = "1/s"
    jobs = BOTH
    of_flow = True
    advice = True
    formula = "γ̇_a(slowest rate read) ≤ 32 Q/πD³ ≤ γ̇_a(fastest rate read)"
    source = "the readings"
    example = (
        Example(
            given=plain(LAW, LINE, "bore", rate_range=(2.7, 340.0)),
            expected={"value": 89.4326852, "low": 0.560889214, "high": 195.726902, "margin": 0.783234112},
            source=(
                FLOW + "; 32 Q/(pi*1.7^3); apparent rates at tau_w = 310 + 47*2.7^0.43 and 310 + 47*340^0.43: "
                "4/tau_w^3 int (s + 310)^2 (s/47)^(1/0.43) ds, term by term"
            ),
        ),
    )
    remedy = "measure at the rates of use; until then the prediction is an extrapolation"

    def lacks(self, case: Case) -> str:  # noqa: D102
        return "no shear rate read" if case.rate_range is None else super().lacks(case)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.apparent_rate

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return self._apparent(case, case.rate_range[0])

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return self._apparent(case, case.rate_range[1])

    @staticmethod
    def _apparent(case, rate):
        law = case.law
        return law.apparent_shear_rate(law.shear_stress(rate))
