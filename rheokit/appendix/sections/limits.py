"""Whether the job of the plan is inside every limit: the verdict, each limit with its numbers, what was not judged, and the chance of all."""

import math

from ...errors import DataError
from ...limits import LIMITS, judge, verdict
from ...limits.base import room_of
from ...limits.judgement import not_judged
from ...limits.sure import DRAWS as SURE_DRAWS
from ...limits.sure import sure_errors
from ...nomenclature import number, unit_for, written
from ...planning import LIKELY
from ...planning import in_words as chance_in_words
from ..cells import alone, counted, in_unit, with_limits
from ..document import Block, Caution, Paragraph, Section, Table
from ..study import DRAWS, Study

TITLE = "Predictions: limits and verdict"
ENDS = (
    "That end of the pressure and the upper end of the force of the next batch, under “Predictions: force and pressure”, are of two sets of draws: they differ by "
    "what both standard errors let them. "
)
NONE = 1e-6
"""A lower bound below it, in SI, asks for nothing, as the pages have it."""


def section(study: Study) -> Section:
    """Return the verdict of the plan's job with every limit."""
    case = study.sure_case
    table = judge(case)
    told = verdict(case)
    if (why := not_judged(case)) and (table.verdict == "not judged").any():
        told = told.replace(why, names_alone(study, table)).strip()
    blocks: list[Block] = [Caution(told) if case.caveats or (table.verdict == "broken").any() else Paragraph(told)]
    blocks.append(_chance(study))
    judged = [row for row in table.itertuples() if row.verdict not in ("not judged", "not asked")]
    if judged:
        blocks.append(_judged(study, judged))
    blocks.append(_not_judged(study, table))
    return Section(TITLE, tuple(blocks))


def names_alone(study, table):
    """Return the names of the limits that were not judged; what each lacks stands in a table."""
    names = [str(row.Index) for row in table.itertuples() if row.verdict == "not judged"]
    part = [
        name for name, limit in LIMITS.items() if limit.judges(study.sure_case) and limit.left_open(study.sure_case)
    ]
    said = f"Not judged, for the reasons in the table below: {', '.join(names)}."
    return f"{said} Judged in part: {', '.join(part)}." if part else said


def without_reasons(words: str, why: str) -> str:
    """Return words without what each limit lacks that was not judged: that is said once, beside the verdict."""
    return " ".join(words.replace(why, "").split("  ")).strip() if why else words


def _chance(study):
    try:
        alone_ = study.chance
    except DataError as error:
        return Paragraph(f"In how many of 100 batches all limits hold: not known. {study.plain(str(error))}")
    least = float(alone_.probability[0, 0])
    fails = (
        f" The windows and the map ask for {100 * LIKELY:.0f} in 100, which this job as it is planned does not reach."
        if least < LIKELY
        else ""
    )
    said = without_reasons(chance_in_words(alone_), alone_.unjudged)
    return Paragraph(
        f"By {DRAWS} joint draws of law, properties, machine errors, formulae and next batches: {said} One standard error by the number of "
        f"draws: {number(100 * float(alone_.probability_error[0, 0]), 1)} in 100.{fails}"
    )


def _judged(study, judged):
    rows, off = [], _ends_off(study)
    for row in judged:
        limit = LIMITS[row.Index]
        value, unit = alone(row.value, row.unit)
        ends = [("-" if math.isnan(end) or 0 <= end < NONE else _in(end, row, study)) for end in (row.low, row.high)]
        room = "-" if math.isnan(row.margin) or math.isinf(row.margin) else limit.times(row.margin)
        note = " ".join(
            filter(
                None,
                [
                    row.remark and f"{row.remark}.",
                    row.verdict != "inside" and row.remedy and f"To do: {row.remedy}.",
                    "A hard limit." if row.hard else "",
                    _surely(row, off) if row.hard else "",
                ],
            )
        )
        rows.append(
            (
                row.verdict,
                row.label,
                value if not math.isnan(row.value) else "-",
                *ends,
                unit,
                room,
                number(row.model_error),
                note,
            )
        )
    return Table(
        "limits",
        f"{study.of}: {counted(len(rows), 'limit')} that could be judged of the job that is planned, the first to bind first; values of the "
        f"{study.case.of_batch}, without intervals. A hard limit, which can hurt, must hold in {number(97.5)} of 100 next batches.",
        (
            "verdict",
            "what",
            "value",
            "at least",
            "at most",
            "unit",
            "room",
            "error of the formula, sd of ln [-]",
            "note",
        ),
        tuple(rows),
        f"Room: a factor on the value, 1 where it just holds; of a hard limit on the value that {number(97.5)} of 100 next batches stay below, not on the "
        "one shown; of a "
        f"temperature a difference. Room is of numbers before they are rounded as they stand here. "
        f"{ENDS if any('joint draws, standard' in row[-1] for row in rows) else ''}"
        "Values are best values without intervals, but where the section of force "
        "and pressure gives them.",
        row_names=False,
    )


def _ends_off(study):
    """Return the standard errors of the ends of hard limits by the number of draws, as ln of the value [-], by name; none without draws."""
    try:
        return sure_errors(study.case, study.material)
    except DataError:
        return {}


def _surely(row, off):
    """Return below what the value of a hard limit stays in 97.5 of 100 next batches, nothing where that is the value."""
    surely = row.high / room_of(row.margin) if math.isfinite(row.margin) else math.nan
    if not surely > row.value:
        return ""
    error = surely * off.get(row.Index, math.nan)
    by = (
        f" (by {SURE_DRAWS} joint draws, standard error by their number {written(error, row.unit, 2)})"
        if error > 0
        else ""
    )
    return f"{number(97.5)} of 100 next batches stay below {written(surely, row.unit)}{by}."


def _in(value, row, study):
    """Return a bound as a cell in the unit in which the value of its limit stands; where the foot yields with the digits that its interval leaves."""
    unit = unit_for(row.unit, value if math.isnan(row.value) else row.value)
    if (
        row.Index == "stack"
        and (standing := study.standing) is not None
        and math.isclose(standing.foot.value, value, rel_tol=1e-6)
    ):
        return with_limits(*standing.foot, unit)[0]
    return in_unit(value, unit)


def _not_judged(study, table):
    rows = tuple(
        (row.Index, row.label, row.words.partition(": ")[2], row.remedy or "-")
        for row in table.itertuples()
        if row.verdict == "not judged"
    )
    other = [row.Index for row in table.itertuples() if row.verdict == "not asked"]
    if not rows:
        return Paragraph(f"Every limit that this job asks was judged. Not asked by it: {', '.join(other) or 'none'}.")
    return Table(
        "not-judged",
        f"{study.of}: {counted(len(rows), 'limit')} that the job asks and that could not be judged, and what each lacks. What was not judged may stop the job.",
        ("limit", "what", "why", "what would help"),
        rows,
        f"Not asked by this job: {', '.join(other) or 'none'}.",
    )
