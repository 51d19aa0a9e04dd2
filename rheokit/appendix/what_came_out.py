"""What came out of predictions that were written down: in a line, and as a caution beside the prediction whose interval it missed."""

from __future__ import annotations

from ..nomenclature import and_
from ..planning import predicted as of
from ..workbook.outcomes.quantities import words_of
from .cells import counted
from .document import Caution
from .study import Study

FORCES, LIMITS, SHAPE, FIBRE = (
    "Predictions: force and pressure",
    "Predictions: limits and verdict",
    "Predictions: shape, drying and dry size",
    "Predictions: fibre",
)
BELONGS = {
    of.FORCE: FORCES,
    of.START: FORCES,
    of.WIDTH: LIMITS,
    of.PRINTED: LIMITS,
    of.HEIGHT: SHAPE,
    of.DRY_LENGTH: SHAPE,
    of.DRY_HEIGHT: SHAPE,
    of.WET_THREAD: FIBRE,
    of.DRY_THREAD: FIBRE,
    of.DRAWN: FIBRE,
}
"""The section of each quantity of the record, by its title."""
SEE = "under “Predictions and outcomes”"
NONE_YET = "nothing is recorded of what came out of a prediction"


def came_out(study: Study) -> str:
    """Return how many outcomes lie inside their intervals, and what those are that do not; what is not scored apart."""
    known = [one for one in study.book.outcomes.all if one.is_known]
    if not known:
        return f"{NONE_YET}."
    scored = [one for one in known if one.is_scored]
    numbers = [one for one in scored if not one.is_claim]
    claims = [one for one in scored if one.is_claim]
    said = []
    if any(one.invented for one in known):
        said.append("INVENTED numbers, for demonstration, are among these")
    if numbers:
        inside = sum(one.is_inside for one in numbers)
        missed = [f"{one.quantity} {_against(one)}" for one in numbers if not one.is_inside]
        outside = f"; outside: {and_(missed)}" if missed else ""
        said.append(
            f"{inside} of {counted(len(numbers), 'outcome')} inside the 95 % interval of the prediction{outside}"
        )
    if claims:
        came = sum(bool(one.came) for one in claims)
        said.append(f"{came} of {counted(len(claims), 'event')} of a predicted probability came true")
    if left := len(known) - len(scored):
        said.append(f"{counted(left, 'outcome')} not scored, {SEE}")
    return f"{'; '.join(said)}."


def misses(study: Study, title: str) -> tuple[Caution, ...]:
    """Return a caution for each outcome outside its interval whose prediction belongs to a section, by its title."""
    return tuple(
        Caution(
            f"What came out lies outside the interval of its prediction: number {one.number}, {words_of(one.quantity)}, {_against(one)}, predicted on "
            f"{one.when:%Y-%m-%d}, observed {'' if one.on is None else f'on {one.on.isoformat()}'}{f' of batch {one.batch}' if one.batch else ''}; {SEE}."
        )
        for one in study.book.outcomes.all
        if one.is_scored and not one.is_claim and not one.is_inside and BELONGS.get(one.quantity) == title
    )


def _against(one):
    return f"{one.observed_words} against {one.predicted_words}"
