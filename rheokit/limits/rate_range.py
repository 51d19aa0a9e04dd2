"""Do the readings behind the law cover the rates that barrel and nozzle ask for?"""

import numpy as np

from ..checking import Example
from ..flow.channel import AS_READ, SLIGHT
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
    the widest wall: true rates by the law, without slip, as the readings and every other place have them.
    """

    name = "rates read"
    label = "shear rate at the wall, from barrel to bore"
    unit = "1/s"
    jobs = BOTH
    of_flow = True
    advice = True
    formula = (
        "γ̇(τ_w(32 Q/πD³)) ≤ fastest rate read; slowest rate read ≤ γ̇(τ_w(32 Q/πD_0³)), D_0 that of the inlet of the nozzle where the barrel "
        f"bears less than {SLIGHT:.0%} of the pressure, but no least rate where the yield stress was read, which stands for rate 0; a miss by "
        f"{AS_READ - 1:.0%} counts as read"
    ).replace("%", " %")
    source = "the readings"
    example = (
        Example(
            given=plain(LAW, LINE, "bore", rate_range=(2.7, 340.0), yield_read=True),
            expected={"value": 168.665649, "high": 340.0, "margin": 0.70102727},
            source=(
                FLOW
                + "; 32 Q/(pi*1.7^3) = 89.4326852 = 4/tau_w^3 int (s + 310)^2 (s/47)^(1/0.43) ds from 0 to tau_w - 310 for "
                "tau_w = 736.303908 Pa, by quadrature and bisection in 25 digits; ((tau_w - 310)/47)^(1/0.43)"
            ),
        ),
        Example(
            given=plain(LAW, LINE, "barrel_diameter", rate_range=(2.7, 340.0)),
            expected={"value": 0.418394275, "low": 2.7, "high": 340.0, "margin": -1.86458282},
            source="as above with 32 Q/(pi*21.3^3) = 0.0454678297, tau_w = 342.313182 Pa: the barrel carries 0.1 of the pressure, and no test reads the yield stress",
        ),
    )
    remedy = "measure at the rates of use; until then the prediction is an extrapolation"

    def lacks(self, case: Case) -> str:  # noqa: D102
        return "no shear rate read" if case.rate_range is None else super().lacks(case)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        fast = self._at_wall(case, case.apparent_rate)
        if case.yield_read:
            return fast
        (low, high), slow = case.rate_range, self._at_wall(case, apparent_rate(case.flow_rate, case.widest_wall))
        return np.where(slow * fast < low * high, slow, fast)[()]  # further outside, by its ln

    def low(self, case: Case) -> Numbers | None:  # noqa: D102
        return None if case.yield_read else case.rate_range[0]

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return case.rate_range[1]

    def remark(self, case: Case) -> str:  # noqa: D102
        in_bore = np.all(self.value(case) == self._at_wall(case, case.apparent_rate))
        return "in the bore" if in_bore else f"where it is {written(case.widest_wall, 'm')} wide"

    @staticmethod
    def _at_wall(case, apparent):
        """Return the shear rate [1/s] at a wall of an apparent rate [1/s]; one that misses those read by no more than counts as read is the nearest of them."""
        law, (low, high) = case.pressure_law, case.rate_range
        rate = law.shear_rate(law.wall_shear_stress(apparent))
        near = np.where((rate > high) & (rate <= AS_READ * high), high, rate)
        return np.where((rate < low) & (rate >= low / AS_READ), low, near)[()]

    @staticmethod
    def apparent(case: Case, rate: Numbers) -> Numbers:
        """Return the apparent rate [1/s] that a case needs for a rate at its wall [1/s]."""
        law = case.pressure_law
        return law.apparent_shear_rate(law.shear_stress(rate))
