"""The straight line of ln yield stress over water through readings, its limits those of the larger of two errors: stated, and scatter.

A stated error is believed until the readings scatter more; from there on their scatter is all that is known of it, and the limits are
those of Student's t. Of 20000 invented lines whose readings scattered twice as much as was stated of them the 95 % limits of the slope held
0.87, 0.93 and 0.95 (3, 4 and 7 readings); the normal distribution, widened by the scatter alone, held 0.82, 0.86 and 0.90.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ...errors import DataError
from ...hints import Numbers
from ...inputs import not_negative, positive
from ...nomenclature import number, written
from ...sampling import FEW, by_scatter

if TYPE_CHECKING:
    from .law import WaterLaw

W = TypeVar("W", bound="WaterLaw")


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
    size, freedom = by_scatter(np.sum(weight * left**2), len(u) - 2, stated=relative_uncertainty is not None)
    law = law_class(
        slope=float(slope),
        intercept=float(ln_middle + slope * middle),
        water_range=(float(u.min()), float(u.max())),
        centre=float(middle),
        breadth=float(np.sqrt(spread / weight.sum())),
        reading_spread=float(size * np.sqrt(np.mean(np.square(error)))),
        freedom=freedom,
        level=level,
    )
    half = float(law.reach * size / np.sqrt(spread))
    more = "" if relative_uncertainty is None else ", more than was stated of them"
    return replace(law, low=law.slope - half, high=law.slope + half, scatter=_in_words(law, more))


def _in_words(law, more):
    """Return in a sentence what the scatter of readings makes of the limits; empty where they are as was stated."""
    if not np.isfinite(law.freedom):
        return ""
    said = f"The {law.freedom + 2} readings scatter by {written(law.reading_spread, '%', 2)} about their line{more}"
    if law.reach < FEW * law.normal:
        return f"{said}." if more else ""
    return (
        f"{said}: so few tell a scatter badly, and the limits lie {number(law.reach, 3)} standard deviations to either side rather than "
        f"{number(law.normal, 2)}. Another reading draws them together."
    )
