"""What a page says of predictions that are kept, and of what came out of them."""

from ...machine.cautions import CAUTIONS
from ...planning.predicted import DRAWN, FORCE, PRINTED, START, Predictions
from ...workbook.outcomes import Outcome
from ...workbook.outcomes.quantities import words_of

TITLE = "Predicted and observed"
ABOUT = (
    "Write down what is predicted before you try it, and what came out after it: both stand in outcomes.csv, beside the readings. A prediction that "
    "is kept is never changed. Its limits hold the next batch and the error of the formulae, so they are wider than those above, of the median "
    "batch, or of the batch read where it was one. "
    "In how many of 100 cases all limits hold is counted here by 2000 draws, on top of the page by fewer: the two may differ by a few."
)
OF_DEMO = "The readings are a demonstration's: what is kept is marked as INVENTED, and stands with what is remembered, not in its folder."
PREDICT = "What is predicted now?"
PREDICTING, CHANGED = "Predicting ...", "The settings were changed: ask anew what is predicted."
KEEP, KEPT, IS_KEPT = "Keep this prediction", "Kept as number {}: {}.", "Kept as number {}"
OVERTAKEN = (
    "What stands in the folder was changed since this page read it: take that first, on top of the page, then ask anew"
)
NOTHING_KEPT = "No prediction is kept yet."
CAME_OUT, WHICH, WRITE, CORRECT = (
    "What came out?",
    "of the prediction",
    "Write down what came out",
    "It is known already, and was wrong",
)
OBSERVED, ON, BATCH, REMARK = (
    "observed [{}], or with another unit",
    "observed on, such as 2026-01-31",
    "batch",
    "remark",
)
SUCH_ON, SUCH_BATCH = "empty: today", "such as B3"
TRUE, CHOOSE = "Did it come true?", "choose yes or no"
WRITTEN = "Written down: {} came out of number {}."
HEAD = ("number", "predicted on", "what", "predicted", "came out", "batch", "by", "note")
NOT_PREDICTED = "What is not predicted, and why"
PICTURE, OF_WHICH = "Predicted against observed", "picture of"


def prediction(words: str, quantity: str, doubt: str) -> str:
    """Return a prediction in a sentence."""
    return f"{words_of(quantity)[:1].upper()}{words_of(quantity)[1:]}: {words}." + (
        f" To be doubted: {doubt.removesuffix('.')}." if doubt else ""
    )


def cautions(made: Predictions) -> list[str]:
    """Return what can hurt who tries what is predicted."""
    asked = {one.quantity for one in made.found} | set(made.lacking)
    said = [CAUTIONS["barrel"]] if asked & {FORCE, START, PRINTED, DRAWN} else []
    return [*said, *([CAUTIONS["hot gel"]] if DRAWN in asked else [])]


def option(one: Outcome) -> str:
    """Return a prediction as it stands in a list to choose from."""
    came = f"; came out: {one.observed_words}" if one.is_known else ""
    return f"{one.number}. {one.quantity} {one.predicted_words}, {when_of(one)}{came}"


def when_of(one: Outcome) -> str:
    """Return when it was predicted."""
    return f"{one.when:%Y-%m-%d %H:%M} UTC"


def made_for(one: Outcome) -> str:
    """Return what a prediction was made for, as it was kept."""
    return f"Number {one.number} was predicted for: {one.settings}." if one.settings else ""


def every(count: int) -> str:
    """Return the title of what is kept."""
    return f"All {count} kept predictions" if count > 1 else "The kept prediction"


def row(one: Outcome) -> tuple[str, ...]:
    """Return a prediction as a row of the table."""
    notes = [one.fault and f"not scored: {one.fault}", "INVENTED" if one.invented else "", one.doubt, one.remark]
    return (
        str(one.number),
        when_of(one),
        one.quantity,
        one.predicted_words,
        one.observed_words,
        one.batch,
        one.by,
        "; ".join(filter(None, notes)),
    )
