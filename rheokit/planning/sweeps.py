"""Sweeps of an axis, and its values in words."""

import numpy as np

from ..limits import LIMITS
from ..nomenclature import written
from ..regions.axes import Axis
from ..regions.maps import RegionMap

POINTS = 33  # of a first sweep
SAME_ROOM = 1e-9  # of ln of room, which is rounding
ZOOMS = 4  # each narrows a sweep to the steps around what was found


def depends(found: RegionMap, along: int = -1) -> bool:
    """Return whether the room of any limit whose breaking is a failure changes along an axis of a map, -1 the first."""
    margins = [np.asarray(found.margins[limit.name]) for limit in found.limits if not limit.advice]
    return any(np.any(np.ptp(np.where(np.isfinite(m), m, 0.0), axis=along) > SAME_ROOM) for m in margins)


def spaced(about: Axis, low: float, high: float, count: int) -> np.ndarray:
    """Return so many values of an axis, spaced as it is."""
    return (np.geomspace if about.logarithmic and low > 0 else np.linspace)(low, high, count)


def shown(about: Axis, value: float) -> str:
    """Return a value of an axis, in SI, with its unit."""
    return written(value, about.unit)


def label(name: str) -> str:
    """Return a limit by name and label."""
    return f"{name} ({LIMITS[name].label})" if name in LIMITS else name or "nothing"
