"""What could not be judged and would end a window all the same."""

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from ..inputs import trusted
from ..limits.base import Limit
from ..limits.chosen import chosen
from ..part.job import FIBRE
from .axes import AXES
from .maps import RegionMap

USUAL = {  # of kitchen and studio pastes and gels, to see whether what is not known would matter; common practice, no source
    "density": 1300.0,
    "air_content": 0.03,
    "grain_size": 250e-6,
    "porosity": 0.5,
    "drag_diameter": 30e-6,
    "liquid_viscosity": 1.0,
    "diffusivity": 1e-9,
    "dry_density": 700.0,
    "skin_loss": 0.2,
    "gel_temperature": 305.0,
    "setting_time": 5.0,
    "heat_capacity": 3300.0,
    "dry_section": 0.35,
}
OF_A_DOPE = {"grain_size": 50e-6}
"""Of what is drawn into a fibre, which is strained before; common practice, no source."""
MODULUS_TO_YIELD = 40.0  # Young's modulus over the yield stress of a paste; common practice, no source


@trusted()
def would_end(found: RegionMap, values: np.ndarray, limits: Collection[Limit | str] | None) -> list[str]:
    """Return which limits that could not be judged would end a window of the first axis sooner, and why they could not.

    With usual values in place of properties not known; what no value of the paste can help is in doubt wherever what it
    limits changes along the axis.
    """
    (axis, _), (other, held) = found.axes.items()
    case = AXES[axis].set(AXES[other].set(found.case, float(held[0])), values)
    out = []
    for limit in chosen("window", limits, case.job):
        if limit.advice or not limit.concerns(case) or not limit.missing(case):
            continue
        usual = replace(case, paste=_filled(case.paste, limit.needs, case.job.kind))
        with np.errstate(all="ignore"):
            if limit.missing(usual):
                ends = _moves(limit, usual, values)
            else:
                ends = bool(np.any(limit.margin(usual) < 0))
        if ends:
            out.append(f"{limit.name} ({limit.missing(case).replace('_', ' ')})")
    return out


def _moves(limit, case, values):
    """Return whether what a limit looks at changes along an axis, which is in doubt where even that is not known."""
    if limit.of_flow and case.lacks_heat:
        return True
    return bool(np.ptp(np.broadcast_to(limit.value(case), values.shape)) > 0)


def _filled(paste, needs, kind):
    """Return a paste with usual values in place of those it needs and has not."""
    usual = USUAL | {"modulus": MODULUS_TO_YIELD * np.max(paste.yield_stress)} | (OF_A_DOPE if kind == FIBRE else {})
    return replace(paste, **{name: usual[name] for name in needs if getattr(paste, name) is None})
