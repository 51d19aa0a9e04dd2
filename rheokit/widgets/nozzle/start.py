"""What starts the flow, in words: it needs no job."""

import numpy as np

from ...nomenclature import with_limits
from ...sampling import limits_of as ends_of


def start_words(extruder, paste, drawn=None):
    """Return in words what starts the flow, which needs no job; with 95 % limits where both are `drawn` as well."""
    asked = _start_force, _start_pressure
    force, pressure = (quantity(extruder, paste) for quantity in asked)
    least = "at least " if getattr(force, "reason", "") else ""
    ends = [
        ends_of(np.ravel(quantity(*drawn))) if drawn else (float(one),) * 2
        for quantity, one in zip(asked, (force, pressure), strict=True)
    ]
    pushed = f"To start it takes {least}{with_limits(float(force), *ends[0], 'N')} on the plunger"
    return f"{pushed}, {with_limits(float(pressure), *ends[1], 'Pa')} in the paste." if pressure > 0 else f"{pushed}."


def _start_force(extruder, paste):
    return extruder.start_force(paste.law, paste.static_ratio * paste.law.yield_stress)


def _start_pressure(extruder, paste):
    return extruder.start_pressure(paste.law, paste.static_ratio * paste.law.yield_stress)
