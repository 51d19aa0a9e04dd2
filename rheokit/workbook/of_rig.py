"""What the readings know of a machine that a plan does not say: it counts all the same."""

from __future__ import annotations

import numpy as np

from ..machine.extruder import Extruder
from ..paste.material import Material
from .assumed import Assumed

OF_RIG = ("plunger_friction", "barrel_drag")
EMPTY = "empty barrel"


def counted(material: Material, extruder: Extruder) -> dict[str, Assumed]:
    """Return what counts of an extruder and was not typed, by entry of the machine: as fitted, or as the bench states it.

    Parameters
    ----------
    material : Material
        Whose readings know it.
    extruder : Extruder
        As it was typed.
    """
    rig = material.rig(extruder)
    fit = material.fit
    is_empty = any(test.kind == EMPTY for bench in fit.benches for test in bench.tests) if fit else False
    out = {}
    for name in OF_RIG:
        value, typed = (float(np.mean(getattr(one, name))) for one in (rig.extruder, extruder))
        if name in rig.fitted:
            whence = f"from the {EMPTY} test" if is_empty and name == OF_RIG[0] else "as fitted to the readings"
            out[name] = Assumed(value, None, whence, rig.limits(name) if rig.limits else None)
        elif value != typed:
            out[name] = Assumed(value, None, "as the bench states it")
    return out
