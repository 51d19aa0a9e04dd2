"""What was predicted, by the record's own clock, what came out, and how far the two agree."""

import math

from ... import charts
from ...nomenclature import number
from ..cells import NOT_KNOWN, counted
from ..document import Block, Caution, Cell, Paragraph, Points, Section, Shown, Table
from ..figures import figure
from ..study import Study

TITLE = "Predictions and outcomes"
NOTHING = (
    "Nothing is recorded yet: no prediction of this paste was written down (outcomes.csv beside the bench), so nothing here says "
    "how far its predictions hold."
)
ABOUT = (
    "By the record's own clock each prediction was written down before its outcome was typed; that it was before it was tried, only those who tried it "
    "know. One that is not as it was written is not scored. Limits are of 95 % and hold the next batch, machine and formula."
)
SOURCES = (
    "Share inside: Clopper and Pearson, Biometrika 26 (1934) 404. Score: Brier, Monthly Weather Review 78 (1950) 1, of one class. Band of the shares: where "
    "right probabilities put all of them in 95 of 100 records, counted exactly; the idea is of Bröcker and Smith, Weather and Forecasting 22 (2007) "
    "651. Ratio: Student's t on the means of batches. Sources from memory."
)
COLUMNS = (
    "number",
    "predicted at (UTC)",
    "quantity",
    "unit",
    "predicted",
    "low",
    "high",
    "observed",
    "observed on",
    "batch",
    "inside",
)


def section(study: Study) -> Section:
    """Return the record, how each quantity fared, and pictures of both sides."""
    record = study.book.outcomes
    every = record.all
    if not every:
        return Section(TITLE, (Paragraph(NOTHING),))
    known = sum(one.is_known for one in every)
    blocks: list[Block] = [Paragraph(ABOUT)]
    if any(one.invented for one in every):
        blocks.append(
            Caution("INVENTED numbers, for demonstration, stand among these: nobody measured what they rest on.")
        )
    blocks.append(
        Table(
            "outcomes",
            f"{study.of}: {counted(len(every), 'prediction')}, of {known} of which it is known what came out.",
            COLUMNS,
            tuple(_row(one) for one in every),
            "A probability has the unit -, its outcome is yes or no. Who made each, for which settings and of which readings stands in outcomes.csv.",
        )
    )
    if soon := [f"{one.number}" for one in every if one.is_known and one.on is not None and one.on <= one.when.date()]:
        blocks.append(
            Paragraph(
                f"Observed on the day of the prediction, so that nothing here tells which came first: number {', '.join(soon)}."
            )
        )
    if doubts := [
        f"Number {one.number} is to be doubted: {one.doubt.removesuffix('.')}." for one in every if one.doubt
    ]:
        blocks.append(Points(tuple(study.plain(one) for one in doubts)))
    for place, score in enumerate(record.scores, 1):
        blocks.append(Paragraph(score.words))
        draw = charts.predicted_and_true if score.is_claim else charts.predicted_and_observed
        said = f"{study.of}: {counted(score.count, 'outcome')} of {score.quantity} against what was predicted."
        blocks.append(figure(f"outcomes-{place}", draw(score), said))
    blocks += [
        Caution(f"Number {one.number} is not scored: {one.fault.removesuffix('.')}.") for one in every if one.fault
    ]
    return Section(TITLE, (*blocks, Paragraph(SOURCES)))


def _row(one):
    numbers = [one.probability, one.low, one.high] if one.is_claim else [one.value, one.low, one.high]
    observed: Cell = one.observed_words if one.is_claim or not one.is_known else _cell(one.observed)
    inside = NOT_KNOWN if not one.is_known else "-" if one.is_claim else "yes" if one.is_inside else "no"
    on = NOT_KNOWN if one.on is None else one.on.isoformat()
    told = Shown(one.number, f"{one.number}"), f"{one.when:%Y-%m-%d %H:%M:%S}", one.quantity, one.unit
    return *told, *map(_cell, numbers), observed, on, one.batch or "not told", inside


def _cell(value: float) -> Cell:
    return "-" if math.isnan(value) else Shown(value, number(value))
