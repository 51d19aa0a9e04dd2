"""Do the readings behind the law cover the rates that the nozzle asks for?"""

from typing import ClassVar

from .base import Limit


class RateRange(Limit):
    """Shear rate in the bore against the rates that were read: outside, the law is extrapolated.

    Both stand as apparent rates, which follow from the flow alone; true and apparent rates rise together.
    """

    name: ClassVar[str] = "rates read"
    label: ClassVar[str] = "apparent shear rate in the bore"
    unit: ClassVar[str] = "1/s"
    advice: ClassVar[bool] = True
    formula: ClassVar[str] = "γ̇_a(slowest rate read) ≤ 32 Q/πD³ ≤ γ̇_a(fastest rate read)"
    source: ClassVar[str] = "the readings"
    remedy: ClassVar[str] = "measure at the rates of use; until then the prediction is an extrapolation"

    def missing(self, case):  # noqa: D102
        return "no shear rate read" if case.rate_range is None else ""

    def value(self, case):  # noqa: D102
        return case.apparent_rate

    def low(self, case):  # noqa: D102
        return self._apparent(case, case.rate_range[0])

    def high(self, case):  # noqa: D102
        return self._apparent(case, case.rate_range[1])

    @staticmethod
    def _apparent(case, rate):
        law = case.paste.law
        return law.apparent_shear_rate(law.shear_stress(rate))
