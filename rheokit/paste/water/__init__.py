"""Water and stiffness: how the yield stress falls with the water content, and what to add to set it right."""

from .amounts import premix_to_add, water_to_add
from .correction import ASSUMED_SPREAD, FIRST_SHARE, LEAST_SPREAD, Correction
from .law import CLAY_DECADE, WaterLaw
from .readings import readings_with_limits

__all__ = [
    "ASSUMED_SPREAD",
    "CLAY_DECADE",
    "FIRST_SHARE",
    "LEAST_SPREAD",
    "Correction",
    "WaterLaw",
    "premix_to_add",
    "readings_with_limits",
    "water_to_add",
]
