"""The point of the widest margin."""

from collections.abc import Collection, Mapping

import numpy as np

from ..errors import DataError
from ..limits.base import Limit
from ..machine.extruder import Extruder
from ..part.job import Job
from ..paste.material import Material
from ..regions import AXES, region_map, value_of_axis, warned_once
from .sweeps import POINTS, ZOOMS, depends, label, shown, spaced


@warned_once()
def widest_margin(
    material: Material,
    extruder: Extruder,
    job: Job,
    bounds: Mapping[str, tuple[float, float]],
    limits: Collection[Limit | str] | None = None,
    held: Mapping[str, float] | None = None,
) -> dict[str, float | str]:
    """Return the point of the widest margin inside bounds, with best values.

    Parameters
    ----------
    material, extruder, job, limits, held
        As for a region map.
    bounds : dict of str to (float, float)
        Two axes with their least and greatest value. [SI, as the axes]

    Returns
    -------
    found : dict
        The two values in SI, ``margin`` (ln of the ratio of room) [-], ``limited_by``, and ``words``.
    """
    if len(bounds) != 2 or not all(name in AXES for name in bounds):
        raise DataError(f"widest_margin: bounds must name two of {', '.join(AXES)}, each with its ends in SI.")
    near = {name: tuple(value_of_axis("widest_margin", name, end) for end in ends) for name, ends in bounds.items()}
    for _ in range(ZOOMS):
        axes = {name: spaced(AXES[name], low, high, POINTS) for name, (low, high) in near.items()}
        found = region_map(material, extruder, job, limits, axes, held=held)
        row, column = map(int, np.unravel_index(int(np.argmax(found.margin)), found.shape))
        for (name, values), place in zip(axes.items(), (column, row), strict=True):
            near[name] = tuple(values[[max(place - 2, 0), min(place + 2, POINTS - 1)]])
    point = {name: float(values[place]) for (name, values), place in zip(axes.items(), (column, row), strict=True)}
    margin, stop = float(found.margin[row, column]), found.limited_by[row, column]
    room = next(limit for limit in found.limits if limit.name == stop).room
    where = ", ".join(f"{AXES[name].label} {shown(AXES[name], value)}" for name, value in point.items())
    if margin >= 0:
        words = f"Widest margin with {where}: {room(margin)} of room to the nearest limit, {label(stop)}."
    else:
        words = f"Nothing within these bounds will do; the least miss is with {where}, {room(-margin)} beyond {label(stop)}."
    idle = [AXES[name].label for name, along in zip(axes, (-1, -2), strict=True) if not depends(found, along)]
    words += f" No limit that could be judged depends on {' or '.join(idle)}." if idle else ""
    words = " ".join(filter(None, [*material.caveats, words, found.unjudged]))
    return {**point, "margin": margin, "limited_by": stop, "words": words}
