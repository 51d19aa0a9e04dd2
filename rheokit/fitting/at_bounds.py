"""Parameters that sit at their bound: a budget holds them there, and says what a step to the one side that is left would change."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..nomenclature import written
from .budget_inputs import IN_WORDS

if TYPE_CHECKING:
    from .result import FitResult


class AtBound(NamedTuple):
    """A parameter at its bound: what it is, as a budget names it, its value, unit, side, and what a step away from the bound changes.

    `step` is one standard uncertainty of its prior, NaN where it has none; then `change` of the answer is NaN too.
    """

    quantity: str
    value: float
    unit: str
    highest: bool
    step: float
    change: float


def at_bounds(
    result: FitResult, jacobian: np.ndarray, slope: np.ndarray, pull: np.ndarray, curvature: np.ndarray
) -> Iterator[AtBound]:
    """Return every parameter at its bound, the others fitted anew as it moves, to first order; those at other bounds stay there.

    All in scaled coordinates: of a prior one is its standard uncertainty. `pull` is the slope of the answer over the second derivatives of the
    coordinates that may move, 0 of those at a bound; `curvature` is 0 where it does not count.
    """
    problem = result.problem
    for place, name in enumerate(problem.names):
        if not result.is_at_bound(name):
            continue
        low, high = problem.box
        highest = bool(abs(result.minimum.theta[place] - high[place]) < abs(result.minimum.theta[place] - low[place]))
        prior = problem.nuisances.get(name)
        if prior is None or not np.isfinite(prior.spread):
            about = problem.about(name)
            value = float(getattr(result.law, name)) if prior is None else float(result.nuisance[name])
            yield AtBound(name.partition("[")[0].replace("_", " "), value, about.unit, highest, np.nan, np.nan)
            continue
        along = slope[place] - pull @ (jacobian.T @ jacobian[:, place] + curvature[:, place])
        of = f", {name.of}" if getattr(name, "of", None) else ""  # type: ignore[attr-defined]
        words = IN_WORDS.get(name.name, name.name.replace("_", " ")) + of  # type: ignore[attr-defined]
        size = float(prior.spread * (prior.middle if prior.logarithmic else 1.0))
        yield AtBound(
            words, float(result.nuisance[name]), prior.unit, highest, size, float(-along if highest else along)
        )


def told(one: AtBound, unit: str) -> str:
    """Return in a sentence where a parameter sits, and what a step to the side that is left would change of an answer in a unit."""
    end, way = ("highest", "less") if one.highest else ("lowest", "more")
    sits = f"{one.quantity} sits at its bound, {written(one.value, one.unit)} is the {end} that it can be, and is held there: it is not in the sum"
    if np.isnan(one.change):
        return f"{sits}, and nothing beforehand says how far it may lie off."
    sign = "-" if one.change < 0 else "+"
    step = f"One standard uncertainty of it {way}, {written(one.step, one.unit, 2)}, with all else fitted anew, to first order"
    return f"{sits}. {step}: {sign}{written(abs(one.change), unit, 2)}."
