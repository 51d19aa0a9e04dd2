"""The straight line of ln yield stress over water through readings, its limits those of the stated error and the scatter together.

A stated error is believed until the readings scatter more, and gives way to their scatter by and by: see `sampling.by_scatter`. Two
readings show no scatter, and readings at two water contents no bend.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ...errors import DataError
from ...hints import Numbers
from ...inputs import not_negative, positive
from ...nomenclature import number, written
from ...sampling import FEW, OF_STATED, by_scatter

if TYPE_CHECKING:
    from .law import WaterLaw

W = TypeVar("W", bound="WaterLaw")

TWO = (
    "Two readings show neither scatter nor bend: they are taken to err by {}, as was stated, and to lie on a straight line. A third shows both, "
    "and draws the limits together."
)
NO_BEND = "Readings at two water contents show no bend: the line between them is taken as straight."


def through(
    law_class: type[W],
    water_contents: Numbers,
    yield_stresses: Numbers,
    relative_uncertainty: Numbers | None,
    level: float,
) -> W:
    """Return the `WaterLaw` through readings; see ``WaterLaw.fit``."""
    u, stress = np.asarray(water_contents, float), np.asarray(yield_stresses, float)
    not_negative("WaterLaw.fit", water_content=u)
    positive("WaterLaw.fit", yield_stress=stress)
    if u.ndim != 1 or u.shape != stress.shape or len(np.unique(u)) < 2:
        raise DataError(
            f"WaterLaw.fit: {u.size} water contents ({len(np.unique(u))} different) and {stress.size} yield "
            "stresses; a slope needs one yield stress each, at two different water contents or more."
        )
    if relative_uncertainty is None and len(u) < 3:
        raise DataError(
            "WaterLaw.fit: two readings lie on a line whatever their error; state relative_uncertainty (0.15 for "
            "15 %), or add a third water content."
        )
    error = 1.0 if relative_uncertainty is None else relative_uncertainty
    positive("WaterLaw.fit", relative_uncertainty=error)
    weight = np.broadcast_to(1 / np.square(error), u.shape)
    middle, ln_middle = np.average(u, weights=weight), np.average(np.log(stress), weights=weight)
    spread = np.sum(weight * (u - middle) ** 2)
    slope = -np.sum(weight * (u - middle) * np.log(stress)) / spread
    if slope <= 0:
        raise DataError(
            f"WaterLaw.fit: ln yield stress falls by {number(slope)} per unit of water content; it should fall. Are "
            "the water contents all on the dry basis, and the pastes rested alike?"
        )
    left = np.log(stress) - ln_middle + slope * (u - middle)
    typical, stated = float(np.sqrt(np.mean(np.square(error)))), relative_uncertainty is not None
    squares = float(np.sum(weight * left**2))
    size, freedom = by_scatter(squares, len(u) - 2, stated)
    if len(u) < 3:
        freedom = OF_STATED  # what nothing checks is known no better than what a third reading checks
    law = law_class(
        slope=float(slope),
        intercept=float(ln_middle + slope * middle),
        water_range=(float(u.min()), float(u.max())),
        centre=float(middle),
        breadth=float(np.sqrt(spread / weight.sum())),
        reading_spread=size * typical,
        spread_stated=stated and size == 1,
        freedom=freedom,
        level=level,
    )
    half = float(law.reach * size / np.sqrt(spread))
    law = replace(law, low=law.slope - half, high=law.slope + half)
    if len(u) < 3:
        return replace(law, scatter=TWO.format(written(typical, "%", 2)))
    said = _in_words(law, len(u), typical * np.sqrt(squares / (len(u) - 2)), written(typical, "%", 2) if stated else "")
    return replace(law, scatter=" ".join(filter(None, [said, "" if len(np.unique(u)) > 2 else NO_BEND])))


def _in_words(law, count, scatter, stated):
    """Return in a sentence what the scatter of readings makes of the limits; empty where they are as was `stated`, if anything was."""
    taken = written(law.reading_spread, "%", 2)
    if taken == stated:
        return ""
    said = f"The {count} readings scatter by {written(scatter, '%', 2)} about their line"
    if stated:
        said += f", more than the {stated} stated of them: {taken} is taken"
    if law.reach < FEW * law.normal:
        return f"{said}." if stated else ""
    return (
        f"{said}: so few tell a scatter badly, and the limits lie {number(law.reach, 3)} standard deviations to either side rather than "
        f"{number(law.normal, 2)}. Another reading draws them together."
    )
