"""The line of ln yield stress over water that a fit over several waters found, and how far it is to be trusted.

Level and slope are known together: of a series the level is best known amid the waters that were read. As of a straight line the squared
half width of ln yield stress at a water content u is that of the slope times s² + (u - ū)²; centre ū and breadth s follow from the profile
limits at both ends of the waters read, of the median batch or of the next one. That is what the limits of a correction ask for.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ...errors import DataError
from ...inputs import judged_number
from ...laws.condition_words import beyond, in_words
from ...nomenclature import number
from ...origins import NOT_IDENTIFIED
from ...things import a

if TYPE_CHECKING:
    from ...fitting.result import FitResult
    from .law import WaterLaw

W = TypeVar("W", bound="WaterLaw")

BATCHES = ("next", "median")
LEAST = 1e-300  # Pa: where there is no yield stress, for a logarithm


def of_fit(
    law_class: type[W], fit: FitResult, level: float, temperature: float | None, age: float | None, batch: str
) -> W:
    """Return the `WaterLaw` of a fit; see ``WaterLaw.of``."""
    a("FitResult", "WaterLaw.of", "fit", fit)
    level = float(judged_number("WaterLaw.of", "level", level, "confidence_level"))
    if batch not in BATCHES:
        raise DataError(f"WaterLaw.of: batch = {batch!r} is not known; give {' or '.join(map(repr, BATCHES))}.")
    if "water_content" not in fit.law.depends_on:
        raise DataError(
            "WaterLaw.of: the law of this fit does not depend on the water; fit one that does, such as rk.watered(rk.HerschelBulkley, 1.0), to "
            "readings at two water contents or more."
        )
    given = {"temperature": temperature, "age": age}
    best = fit.law.at(**given)
    if not best.yield_stress > 0:
        raise DataError(
            f"WaterLaw.of: the {type(fit.law).name} law has no yield stress here, so that none falls with the water."
        )
    reference, slope = float(best.condition["water_content"]), float(best.effects["water_slope"])
    if "water_slope" not in fit.problem.free:
        raise DataError(
            f"WaterLaw.of: the slope was held at {number(slope)} in this fit, and has no interval; make WaterLaw(slope=..., low=..., high=...) of "
            "what is known of it."
        )
    low, high = fit.limits("water_slope", level)
    if not slope > 0 or not high < fit.problem.about("water_slope").high:
        needed = fit.not_identified.get("water_slope", "readings farther apart in water content")
        raise DataError(
            f"WaterLaw.of: the slope is {NOT_IDENTIFIED}: the readings set it no limit, or it is 0 by them; needs {needed}."
        )
    centre, breadth = _about(fit, level, temperature, age, batch, high - slope)
    return law_class(
        slope=slope,
        low=low,
        high=high,
        intercept=float(np.log(best.yield_stress)) + slope * reference,
        water_range=fit.condition_ranges["water_content"],
        centre=centre,
        breadth=breadth,
        level=level,
        there=_in_words(best.condition, given),
        doubts=_doubts(fit, best.condition, given),
    )


def _in_words(there, given):
    """Return the condition of the line in words, but for the water: "an age of 24 h"; what was not given is the reference."""
    of = {"age": "an age of "}
    return " and ".join(
        f"{of.get(name, '')}{in_words(name, float(value), float(value))}{', the reference' if given[name] is None else ''}"
        for name, value in there.items()
        if name in given
    )


def _doubts(fit, there, given):
    """Return in sentences what of the condition of the line was not read, and what changes nothing."""
    asked = {name: value for name, value in there.items() if name in given}
    over = [(name, value) for name, value in given.items() if value is not None and name not in there]
    said = [fit.passed_over(name, value) for name, value in over]
    return tuple(filter(None, [beyond(asked, fit.condition_ranges), *(one and f"{one}." for one in said)]))


def _about(fit, level, temperature, age, batch, slope_half):
    """Return centre and breadth [-] of the water contents that the line stands for, of half widths of ln yield stress at both ends of them."""
    ends = np.array(fit.condition_ranges["water_content"])

    def levels(law):
        there = [law.at(temperature=temperature, water_content=u, age=age).yield_stress for u in ends]
        return np.log(np.maximum(np.stack(np.broadcast_arrays(*there), axis=-1), LEAST))

    with warnings.catch_warnings(action="ignore"):
        found = fit.interval(levels, level, batch=batch)
    squares = np.square((found.high - found.low) / 2 / slope_half)
    centre = np.mean(ends) - (squares[1] - squares[0]) / (2 * (ends[1] - ends[0]))
    return float(centre), float(np.sqrt(np.maximum(np.mean(squares - np.square(ends - centre)), 0.0)))
