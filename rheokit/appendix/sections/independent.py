"""Whether something independent says the same: yield stresses by other principles, kinds of test against one another."""

from ... import charts
from ...fitting.yields import yield_bounds, yield_readings
from ...nomenclature import number
from ..cells import counted, with_limits
from ..document import Block, Caution, Paragraph, Section, Shown, Table
from ..figures import figure
from ..study import Study

TITLE = "Independent check"
AGREE = (
    "yield stresses agree",
    "kinds of test agree",
    "no flow below the tests' yield stress",
    "apparatus as described",
)


def section(study: Study) -> Section:
    """Return the yield stress by each test alone, and whether kinds of test agree."""
    fit = study.fit
    read, bounds = yield_readings(fit), yield_bounds(fit)
    blocks: list[Block] = []
    if read.empty and bounds.empty:
        blocks.append(
            Paragraph(
                "No test of the yield stress by a second principle was made: nothing independent checks the law. A loaded plate or a slump would."
            )
        )
    else:
        blocks += [_alone(study, read, bounds), _picture(study)]
    kinds = list(dict.fromkeys(test.kind for test in fit.tests))
    if len(kinds) == 1:
        blocks.append(
            Paragraph(f"One kind of test alone was fitted ({kinds[0]}): no other principle speaks for or against it.")
        )
    for row in fit.checks.itertuples():
        if row.question in AGREE:
            blocks.append(
                Paragraph(f"{row.question[:1].upper()}{row.question[1:]}: passed. {row.comment}")
                if row.passed
                else Caution(f"FAILED: {row.question}. {row.comment}")
            )
    blocks.append(
        Paragraph(
            "A prediction tested: what was predicted and later came out stands in the record of outcomes, where there is one (outcomes.csv beside the bench)."
        )
    )
    return Section(TITLE, tuple(blocks))


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
        "Dynamic: where flow stops. Static: where flow starts, usually 1.3 times as much (common practice, no source).",
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
