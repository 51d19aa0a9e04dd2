"""Do the readings behind the law cover the rates that the nozzle asks for?"""

from typing import ClassVar

from .base import Limit


class RateRange(Limit):
    """Shear rate at the wall of the bore against the rates that were read: outside, the law is extrapolated."""

    name: ClassVar[str] = "rates read"
    label: ClassVar[str] = "shear rate in the bore"
    unit: ClassVar[str] = "1/s"
    advice: ClassVar[bool] = True
    formula: ClassVar[str] = "slowest rate read ≤ γ̇_w ≤ fastest rate read"
    source: ClassVar[str] = "the readings"
    remedy: ClassVar[str] = "measure at the rates of use; until then the prediction is an extrapolation"

    def asked(self, case):  # noqa: D102
        return case.rate_range is not None

    def value(self, case):  # noqa: D102
        return case.wall_rate

    def low(self, case):  # noqa: D102
        return case.rate_range[0]

    def high(self, case):  # noqa: D102
        return case.rate_range[1]
