"""Whether anything that was not in the fit says the same, and what the tests in it say of one another."""

from ... import charts
from ...fitting.yields import yield_bounds, yield_readings
from ...nomenclature import number
from ...workbook.of_fit import LEAVE_OUT, name_of
from ..cells import counted, with_limits
from ..document import Block, Caution, Paragraph, Section, Shown, Table
from ..figures import figure
from ..study import Study

TITLE = "Independent check, and tests beside one another"
BESIDE = "What follows is of readings that are in the fit: tests by other principles beside one another, which may contradict it, and are no independent check."
AGREE = (
    "yield stresses agree",
    "kinds of test agree",
    "no flow below the tests' yield stress",
    "apparatus as described",
)


def section(study: Study) -> Section:
    """Return what of the readings was not in the fit, and then what its own tests say of one another."""
    fit = study.fit
    read, bounds = yield_readings(fit), yield_bounds(fit)
    blocks: list[Block] = [*_not_in_the_fit(study), Paragraph(BESIDE)]
    if read.empty and bounds.empty:
        blocks.append(
            Paragraph(
                "No test of the yield stress by a second principle is among them: no other principle speaks of it. A loaded plate or a slump would."
            )
        )
    else:
        blocks += [_alone(study, read, bounds), _picture(study)]
    kinds = list(dict.fromkeys(test.kind for test in fit.tests))
    if len(kinds) == 1:
        blocks.append(
            Paragraph(f"One kind of test alone was fitted ({kinds[0]}): no other principle speaks for or against it.")
        )
    asked = [row for row in fit.checks.itertuples() if row.question in AGREE]
    if passed := [row.question for row in asked if row.passed]:
        blocks.append(Paragraph(f"Of the checks under “Checks” these ask it, and passed: {', '.join(passed)}."))
    blocks += [Caution(f"FAILED: {row.question}. {row.comment}") for row in asked if not row.passed]
    return Section(TITLE, tuple(blocks))


def _not_in_the_fit(study):
    """Return what could check the law from outside: tests that were left out, outcomes of predictions; that there is nothing where that is so."""
    out = [name for test in study.tests if (name := name_of(test)) in study.book.plan.listed(*LEAVE_OUT)]
    if out:
        yield Paragraph(
            f"Not in the fit are the readings of {', '.join(out)}, left out by the plan: they could check it, and nothing here compares them with it."
        )
    known = sum(one.is_known for one in study.book.outcomes.all)
    if known:
        yield Paragraph(
            f"Of predictions {counted(known, 'outcome')} came in, none of them in the fit: they stand under “Predictions and outcomes”."
        )
    elif not out:
        yield Caution(
            "No independent check was made: every reading of the flow is in the fit, and no prediction was tried."
        )


def _alone(study, read, bounds):
    fit, rows = study.fit, []
    for row in read.itertuples():
        value, low, high, unit = with_limits(row.stress, row.low, row.high, "Pa")
        rows.append((row.test, _row(fit, row), row.state, value, low, high, unit))
    for row in bounds.itertuples():
        value, *_, unit = with_limits(row.stress, row.stress, row.stress, "Pa")
        side = "at least" if row.side > 0 else "at most"
        rows.append((row.test, _row(fit, row), row.state, f"{side} {value}", "-", "-", unit))
    return Table(
        "yield-stress-readings",
        f"{study.of}: the yield stress in simple shear that each reading of it gives alone, {counted(len(rows), 'reading')}. Limits: 95 %, of the "
        "reading, its test's theory, the criterion of yielding and uncertain dimensions.",
        ("test", "row", "state", "yield stress", "low", "high", "unit"),
        tuple(rows),
        f"Dynamic: where flow stops. Static: where flow starts, usually {number(1.3)} times as much (common practice, no source).",
        row_names=False,
    )


def _row(fit, row):
    place = int(fit.tests[row.place].row_numbers[row.reading_place])
    return Shown(place, number(place, 7))


def _picture(study):
    return figure(
        "yield-stresses",
        charts.yield_stresses(study.fit),
        f"{study.of}: the yield stress by each reading alone with its 95 % limits, beside that of the law that was fitted to all of them.",
    )
