"""What a hand can push."""

from typing import ClassVar

from ..checking import Example
from ..machine.drives import CAUTIONS, GREAT, HandDrive
from .drive import STRONGER, AgainstDrive


class HandForce(AgainstDrive):
    """Force to run against what most people push with a thumb."""

    name: ClassVar[str] = "hand force"
    label: ClassVar[str] = "force by hand"
    model_error: ClassVar[float] = 0.15
    formula: ClassVar[str] = (
        f"p A_0 + F_f ≤ F_hand, usually {HandDrive.force:g} N, never above {GREAT:g} N: {HandDrive.BANDS}"
    )
    source: ClassVar[str] = "Robinson et al. 2020: force and the effort people report when they inject by hand"
    example: ClassVar[tuple] = (
        Example(
            given={
                "yield_stress": 310.0,
                "consistency": 47.0,
                "flow_index": 0.43,
                "bore": 1.7e-3,
                "length": 0.013,
                "barrel_diameter": 0.0213,
                "fill_length": 0.057,
                "barrel_drag": 0.6,
                "plunger_friction": 7.3,
                "hand_force": 41.0,
                "print_speed": 0.019,
                "layer_height": 1.1e-3,
                "line_width": 2.3e-3,
            },
            expected={"value": 17.6033515, "high": 41.0, "margin": 0.845482754, "margin with error": 0.754981763},
            source=(
                "Q = 0.019*((2.3 - 1.1)*1.1 + pi*1.1^2/4) = 43.1363038 mm3/s; "
                "p = 28915.4150 Pa in 18 digits: land 4*13/1.7*tau_w, barrel 0.6*4*57/21.3*tau_w, step 21.3 to 1.7 mm by the converging-flow formula; "
                "pi/4*0.0213^2*p + 7.3 against 41; p times e^0.15, and not the friction"
            ),
        ),
    )
    remedy: ClassVar[str] = "push with a screw instead of a hand, or " + STRONGER
    caution: ClassVar[str] = CAUTIONS["hand"]

    def asked(self, case):  # noqa: D102
        return isinstance(case.extruder.drive, HandDrive)

    def remark(self, case):  # noqa: D102
        return HandDrive.effort(float(case.force))

    def value(self, case):  # noqa: D102
        return case.force
