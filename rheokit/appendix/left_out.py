"""What was left out of the fit, row by row and test by test, and what leaving it out does to the answers."""

from __future__ import annotations

from ..errors import DataError
from ..reading.choosing import in_words
from ..reading.passed_over import PassedOver, passed_over
from ..workbook.of_fit import LEAVE_OUT
from ..workbook.with_left_out import effect_of
from .authors import TABLE, not_stated
from .cells import counted, stopped, with_limits
from .document import Block, Paragraph, Points, Table
from .study import Study

MOST_SHOWN = 10
"""Rows passed over of one file of which the readings stand in the protocol; the others in the table of the raw readings."""
NOTHING = "Nothing was left out of the fit: no row of a file was passed over (rows, runs, branch of bench.toml), and no test was left out by the plan."


def rows_of(study: Study) -> tuple[PassedOver, ...]:
    """Return the rows of the files that no test reads; none where nothing can be read."""
    return passed_over(study.bench) if study.knows("bench") else ()


def blocks(study: Study, heads: dict[str, list[str]]) -> list[Block]:
    """Return what was left out, why, and what the answers become with it.

    Parameters
    ----------
    study : Study
    heads : dict
        Headers of the columns that a test reads, by its name.
    """
    found, tests = rows_of(study), sorted(set(study.book.plan.listed(*LEAVE_OUT)))
    if not found and not tests:
        return [Paragraph(NOTHING)]
    said = [_row_by_row(one, heads.get(one.test.name, [])) for one in found]
    if tests:
        said.append(
            f"Left out of the fit by the plan: {', '.join(tests)}. The readings stand under “Raw readings”, as those of every test."
        )
    given = study.book.plan.text(TABLE, "exclusions").strip()
    notes = any("note" in study.entries[_entry(one)] for one in found if _entry(one) < len(study.entries))
    why = "as stated below" if given else "as a note of the test says, below" if notes else not_stated(study)
    said.append(f"The reason, and when it was decided: {why}.")
    return [Paragraph("What was left out of the fit:"), Points(tuple(said)), *_effect(study)]


def _entry(one):
    return getattr(one.test.origin, "entry", 0)


def _row_by_row(one: PassedOver, heads: list[str]) -> str:
    """Return which rows of a file were passed over, with their readings where they are few."""
    file = getattr(one.test.origin, "file", "")
    by = f"{file}, {one.test.name} ({one.choices})"
    if one.fault:
        return (
            f"{by}: which rows were passed over is not known, for the file cannot be read whole: {stopped(one.fault)}"
        )
    told = [
        f"row {number}: {', '.join(f'{head} {cell}' for head, cell in zip(heads, cells, strict=False))}"
        for number, cells in zip(one.rows[:MOST_SHOWN], one.cells[:MOST_SHOWN], strict=True)
    ]
    shared = " None of the tests that read this file reads them." if one.others else ""
    which = (
        ""
        if len(one.rows) <= MOST_SHOWN
        else f", {in_words(list(one.rows))}; of the first {MOST_SHOWN} the readings are"
    )
    return f"{by}: {counted(len(one.rows), 'row')} passed over{which}: {'; '.join(told)}.{shared}"


def _effect(study: Study) -> list[Block]:
    """Return the answers with what was left out beside those without, or why they are not known."""
    if why := study.lacking("fit"):
        return [Paragraph(f"What leaving it out does: not known, there is no fit. {stopped(why)}")]
    try:
        case, flow = study.case, float(study.case.flow_rate)
        force = lambda law, rig: rig.plunger_force(law, flow), study.extruder, case.pressure_law
    except DataError:
        force = None
    found = effect_of(study.book, force)
    if found is None or found.fit is None:
        why = "" if found is None else study.plain(found.why)
        return [Paragraph(f"What leaving it out does: not known, no fit with it can be made. {stopped(why)}")]
    rows = []
    for one in found.answers:
        without, beside = (with_limits(*ends[:3], one.unit) for ends in (one.without, one.with_all))
        far = " (extrapolated)" if one.without.extrapolated or one.with_all.extrapolated else ""
        rows.append((f"{one.words}{far}", *without[:3], without[3], *beside[:3], beside[3]))
    return [
        Table(
            "left-out",
            f"{study.of}: what the answers would be with what was left out, by one fit more of the same law to all of it; 95 % intervals {study.held}.",
            (
                "quantity",
                "as fitted",
                "low",
                "high",
                "unit",
                "with it",
                "low, with it",
                "high, with it",
                "unit, with it",
            ),
            tuple(rows),
            f"With it: {stopped(study.plain(found.fit.verdict))} Every other number of this appendix is without it.",
        )
    ]
