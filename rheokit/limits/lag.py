"""Does trapped air delay the start beyond what the job allows?"""

from ..checking import Example
from ..hints import Numbers
from ..machine.lower_bound import LowerBound
from ..units import ATMOSPHERE
from .base import BOTH, Limit
from .case import Case
from .plain import LAW, LINE, NOZZLE, RUNNING, plain


class Lag(Limit):
    """Time from the start of the drive to about half the flow against what the job allows."""

    name = "lag"
    label = "lag of the flow behind the drive"
    unit = "s"
    jobs = BOTH
    of_flow = True
    model_error = 0.4
    needs = ("air_content",)
    formula = "t = [V_g (1 - p_0/(p_0 + p)) + C_s p]/Q ≤ the longest that is allowed, V_g = ε_a A_0 L_f; C_s = 0, for a lower bound, where it is not known"
    source = "Boyle's law; elastic barrel"
    example = (
        Example(
            given=plain(LAW, NOZZLE, LINE, "air_content", compliance=2.9e-12, longest_lag=67.0),
            expected={"value": 5.18455436, "high": 67.0, "margin": 2.55900873, "margin with error": 2.15900873},
            source=(RUNNING + "[0.031*pi/4*0.0213^2*0.057*p/(101325 + p) + 2.9e-12 p]/Q; 0.4 for the formula"),
        ),
    )
    remedy = "tap or evacuate the paste, fill less, prime before the part, pull back after it"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.longest_lag is not None

    def left_open(self, case: Case) -> str:  # noqa: D102
        return "compliance not known" if isinstance(case.extruder.compliance, LowerBound) else ""

    def remark(self, case: Case) -> str:  # noqa: D102
        return "at least: how far barrel and plunger give way is not known" if self.left_open(case) else ""

    def value(self, case: Case) -> Numbers:  # noqa: D102
        extruder, pressure = case.extruder, case.pressure
        gas = case.paste.air_content * extruder.area * extruder.fill_length
        return (gas * pressure / (ATMOSPHERE + pressure) + extruder.compliance * pressure) / case.flow_rate

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.longest_lag
