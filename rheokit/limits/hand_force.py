"""What a hand can push."""

from typing import ClassVar

from ..drives import CAUTIONS, HandDrive
from .drive import STRONGER, AgainstDrive


class HandForce(AgainstDrive):
    """Force to run against what most people push with a thumb."""

    name: ClassVar[str] = "hand force"
    label: ClassVar[str] = "force by hand"
    model_error: ClassVar[float] = 0.15
    formula: ClassVar[str] = f"p A_0 + F_f ≤ F_hand, usually {HandDrive.force:g} N: {HandDrive.BANDS}"
    source: ClassVar[str] = "Robinson et al. 2020: force and the effort people report when they inject by hand"
    remedy: ClassVar[str] = "push with a screw instead of a hand, or " + STRONGER
    caution: ClassVar[str] = CAUTIONS["hand"]

    def asked(self, case):  # noqa: D102
        return isinstance(case.extruder.drive, HandDrive)

    def remark(self, case):  # noqa: D102
        return HandDrive.effort(float(case.force))

    def value(self, case):  # noqa: D102
        return case.force
