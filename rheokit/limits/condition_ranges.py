"""Do the readings behind the law cover the water and the age of the paste that is asked about?"""

from typing import ClassVar

from ..checking import Example
from ..hints import Numbers
from ..laws.condition_words import ROUNDING
from .base import BOTH, Limit
from .case import Case
from .plain import plain


class ConditionRange(Limit):
    """A condition that the law depends on against those that were read: outside, the law is extrapolated.

    Attributes
    ----------
    condition, of_readings : str
        Its name, and that of its range in a `Case`.
    """

    condition: ClassVar[str]
    of_readings: ClassVar[str]
    jobs = BOTH
    advice = True
    source = "the readings"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return self.condition in case.paste.law.depends_on

    def lacks(self, case: Case) -> str:  # noqa: D102
        unread = getattr(case, self.of_readings) is None
        return f"no {self.condition} read" if unread else super().lacks(case)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.paste.law.condition[self.condition]

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return getattr(case, self.of_readings)[0] * (1 - ROUNDING)

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return getattr(case, self.of_readings)[1] * (1 + ROUNDING)


class WaterRange(ConditionRange):
    """Water content of the paste against the water contents that were read: outside, the law is extrapolated."""

    name = "waters read"
    label = "water content (dry basis) against the readings"
    condition = "water_content"
    of_readings = "water_range"
    formula = "driest read ≤ u ≤ wettest read"
    example = Example(
        given=plain(water_content=1.17, water_range=(0.88, 1.31)),
        expected={"value": 1.17, "low": 0.88, "high": 1.31, "margin": 0.113023388},
        source="by hand: ln(1.31/1.17)",
    )
    remedy = "read a batch of that water; until then the prediction is an extrapolation"


class AgeRange(ConditionRange):
    """Age of the paste against the ages that were read: outside, the law is extrapolated."""

    name = "ages read"
    label = "age against the readings"
    unit = "s"
    condition = "age"
    of_readings = "age_range"
    formula = "youngest read ≤ t ≤ oldest read"
    example = Example(
        given=plain(age=9100.0, age_range=(7300.0, 93000.0)),
        expected={"value": 9100.0, "low": 7300.0, "high": 93000.0, "margin": 0.220400066},
        source="by hand: ln(9100/7300)",
    )
    remedy = "read a batch of that age; until then the prediction is an extrapolation"
