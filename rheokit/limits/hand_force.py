"""What a hand can push."""

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..machine.drives import GREAT, HandDrive
from .case import Case
from .drive import STRONGER, AgainstDrive
from .plain import LAW, LINE, NOZZLE, RUNNING, plain


class HandForce(AgainstDrive):
    """Force to run against what most people push with a thumb."""

    name = "hand force"
    label = "force by hand"
    of_flow = True
    model_error = 0.15
    formula = f"p A_0 + F_f ≤ F_hand, usually {HandDrive.force:g} N, never above {GREAT:g} N: {HandDrive.BANDS}"
    source = "Robinson et al. 2020: force and the effort people report when they inject by hand"
    example = (
        Example(
            given=plain(LAW, NOZZLE, LINE, "plunger_friction", hand_force=41.0),
            expected={"value": 17.6033515, "high": 41.0, "margin": 0.845482754, "margin with error": 0.754981763},
            source=(RUNNING + "pi/4*0.0213^2*p + 7.3 against 41; p times e^0.15, and not the friction"),
        ),
    )
    remedy = "push with a screw instead of a hand, or " + STRONGER
    caution = CAUTIONS["hand"]

    def asked(self, case: Case) -> bool:  # noqa: D102
        return isinstance(case.extruder.drive, HandDrive)

    def remark(self, case: Case) -> str:  # noqa: D102
        return HandDrive.effort(float(case.force))

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.force
