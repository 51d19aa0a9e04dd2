"""Empty barrel: the force that keeps a plunger moving without paste, which is its friction."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..machine.cautions import CAUTIONS
from .base import column
from .described import LOADS
from .measured import Property
from .property_test import PropertyTest


@dataclass(frozen=True, kw_only=True, eq=False)
class EmptyBarrel(PropertyTest):
    """Force on the plunger of a barrel that holds no paste and no nozzle, while it glides.

    Parameters
    ----------
    force : array-like, shape (N,)
        That keeps it moving, or the weight under which it just creeps, with whatever rests on it. [N]
    plunger_speed : array-like, shape (N,), optional
        At which it was read: a friction that changes with the speed shows as scatter. [m/s]

    Notes
    -----
    What it gives is of its apparatus: in a bench folder it lends its friction to every run of that apparatus that states none,
    with its uncertainty. The model error is what differs from stroke to stroke and from a dry to a wetted barrel.
    """

    kind = "empty barrel"
    reads = "force"
    gives = ("plunger_friction",)
    of_apparatus = True
    default_model_error = 0.1
    usual_scatter = 0.15
    formula = "F_f = mean of F, with no paste and an open end"
    source = "definition; sizes of the errors are common practice, no source"
    example = Example(
        given={"force": (5.9, 6.4, 7.2)},
        expected={"plunger_friction": 6.5, "spread of plunger_friction": 0.127864047},
        source="by hand: 19.5/3; sqrt((0.6^2 + 0.1^2 + 0.7^2)/2)/sqrt(3)*4.3026527/1.9599640 over it",
    )
    serves = ("paste", "liquid", "gel")
    artefacts = (
        "the first move needs more than gliding: read what keeps it moving, at the speeds of the runs",
        "a dry seal rubs more than a wetted one: wet it with the paste's liquid, or with a film of the paste",
        "an upright plunger carries itself: its own mass counts in the load",
        "a seal is no rubber band: use the one of the runs, not another of the box",
    )
    caution = CAUTIONS["weights"]
    tools = ("syringe", "scale", "weights")
    usual: ClassVar[dict] = {}
    usual_readings = (2.0, 10.0)
    protocol = (
        "Take the nozzle off the empty syringe and stand it upright. Load the plunger until it just keeps creeping once it was pushed on, and "
        "weigh the load with whatever carries it. Repeat it three times along the barrel."
    )
    ways: ClassVar[dict] = {"force": LOADS}

    force: np.ndarray = column()
    plunger_speed: np.ndarray | None = column(None)

    def faults(self) -> list[str]:  # noqa: D102
        if np.any(self.force > 0):
            return []
        return ["force is 0 in every row: no plunger glides without friction; read it finer, or leave the test out"]

    def properties(self) -> dict[str, Property]:
        """Return the friction of the plunger [N]."""
        return {"plunger_friction": self.settled(lambda force: force)}
