"""What a hand can push."""

from typing import ClassVar

from ..drives import CAUTIONS, HandDrive
from .base import Limit
from .drive import PRESSURE, STRONGER


class HandForce(Limit):
    """Force to run against what most people push with a thumb."""

    name: ClassVar[str] = "hand force"
    label: ClassVar[str] = "force by hand"
    unit: ClassVar[str] = "N"
    model_error: ClassVar[float] = 0.15
    error_name: ClassVar[str] = PRESSURE
    formula: ClassVar[str] = "p A_0 + F_f ≤ 38 N, beyond which the effort is called great"
    source: ClassVar[str] = "Robinson et al. 2020: force and the effort people report when they inject by hand"
    remedy: ClassVar[str] = "push with a screw instead of a hand, or " + STRONGER
    caution: ClassVar[str] = CAUTIONS["hand"]

    def asked(self, case):  # noqa: D102
        return isinstance(case.extruder.drive, HandDrive)

    def value(self, case):  # noqa: D102
        return case.force

    def high(self, case):  # noqa: D102
        return case.extruder.drive.available_force(case.extruder.area)
