"""What the law leaves of each reading, in the weighted scale: along the rate, in the order of reading, and number by number."""

from ... import charts
from ...charts import RATE, RUN_ORDER
from ...checking import verdict_of
from ...fitting.influence import influence
from ...nomenclature import number, with_decimals
from ..cells import counted, kept
from ..directions import columns_of
from ..document import Block, Paragraph, Section, Shown, Table
from ..figures import figure
from ..study import Study
from .checks import STUDENTISED
from .validity import in_nozzles

TITLE = "Residuals"
MOST_ROWS = 400
MOST_INFLUENTIAL = 5
PATTERNS = (
    "readings follow the law at all rates",
    "readings do not drift in the order of reading",
    "no reading pulls the fit",
    "scatter about the law as expected",
)
"""Checks that ask whether a pattern is left in the residuals: a line, a bend, neighbours that are alike, a reading far off."""


def section(study: Study) -> Section:
    """Return pictures and table of the residuals, and what the checks say of them."""
    fit = study.fit
    frame = fit.residuals
    n = counted(len(frame), "reading")
    blocks: list[Block] = [
        Paragraph(
            "A residual is the reading minus its prediction in standard uncertainties of the reading, of a test whose errors are shares alone the ln of their ratio over "
            "that share (the weighted scale of the fit, test by test under “Law and error model”). Of good "
            "residuals 95 of 100 lie between -2 and +2."
        )
    ]
    with_rate, in_order = int((frame.shear_rate > 0).sum()), int(frame.run_order.notna().sum())
    if with_rate:
        blocks.append(
            figure(
                "residuals-rate",
                charts.residuals(fit, RATE),
                f"{study.of}: residuals of {with_rate} of {n} along the shear rate{' as it was read' if fit.rates_move else ''}, those that have one. Lines at ±2.",
            )
        )
    order = (
        f"{in_order} of {n} in the order of reading, those whose order was recorded"
        if in_order
        else f"{n} in the order of their tables, since no column holds an order of reading"
    )
    blocks += [
        figure("residuals-order", charts.residuals(fit, RUN_ORDER), f"{study.of}: residuals of {order}. Lines at ±2."),
        figure(
            "read-over-predicted",
            charts.read_against_predicted(fit),
            f"{study.of}: readings over their predictions, test by test; bounds are left out.",
        ),
    ]
    told = [row for row in fit.checks.itertuples() if row.question in PATTERNS]
    rows = tuple((verdict_of(row), row.question, row.comment) for row in told)
    if rows:
        blocks.append(
            Table(
                "patterns",
                f"{study.of}: what is left along the residuals of {n}; neighbours are compared as in a runs or lag test.",
                ("verdict", "question", "answer"),
                rows,
                STUDENTISED,
                row_names=False,
            )
        )
    blocks.append(_table(study, frame))
    blocks += _left_out(study)
    return Section(TITLE, tuple(blocks))


def _left_out(study):
    found = influence(study.fit)
    blocks: list[Block] = [
        Paragraph(
            " ".join(
                (
                    *found.sentences,
                    "Of first order, from the fit as it stands: a change of several standard uncertainties is large, and how large it is "
                    "needs a fit without the reading or test.",
                )
                if not found.missing
                else found.sentences
            )
        )
    ]
    rows = []
    lines = (
        zip(found.readings.itertuples(index=False), found.changes(found.readings), strict=True)
        if not found.missing
        else ()
    )
    for row, moved in list(lines)[:MOST_INFLUENTIAL]:
        cells = []
        for value, change in zip(row[3:], moved, strict=True):
            known = change == change
            cells.append(Shown(value, number(value, 4)) if known else "not known")
            cells.append(Shown(float(change), with_decimals(change, 2, sign=True)) if known else "not known")
        rows.append((row[0], Shown(row[1], str(row[1])), *cells))
    if rows:
        heads = [head for name in found.answers for head in (f"{name} [Pa]", f"change of {name} [u]")]
        blocks.append(
            Table(
                "left-out",
                f"{study.of}: what each answer becomes without one reading, the {counted(len(rows), 'reading')} that move an answer most; u is the "
                "standard uncertainty of that answer.",
                ("test", "row", *heads),
                tuple(rows),
                row_names=False,
            )
        )
    return blocks


def _table(study, frame):
    rows, runs, moved = [], _of_batches(study.fit, frame) | _runs(study.fit), study.fit.rates_move
    for place, row in enumerate(frame.head(MOST_ROWS).itertuples()):
        side = {-1: "at most", 1: "at least"}.get(int(row.bound), "")
        rates = [
            Shown(rate, number(rate)) if rate > 0 else "none"
            for rate in (row.shear_rate, *([row.reference_rate] if moved else []))
        ]
        read = (kept(float(value), 4) for value in (row.reading, row.predicted, row.uncertainty))
        rows.append(
            (
                row.name,
                Shown(int(row.row), str(int(row.row))),
                *read,
                row.unit,
                Shown(row.residual, with_decimals(row.residual, 2, sign=True)),
                *rates,
                side,
                *(cells[place] for cells in runs.values()),
            )
        )
    more = f"The first {MOST_ROWS} of {len(frame)} readings. " if len(frame) > MOST_ROWS else ""
    more += "Shear rate: as it was read; where the flow was read, that of the flow predicted."
    if in_nozzles(study.fit):
        more += " In a nozzle it is by the bore as stated, here and wherever rates read are told; the figure of the flow curve has the bore as fitted."
    there = f"rate at {study.fit.reference} [1/s]"
    more += f" Beside it where the law takes it at {study.fit.reference}." if moved else ""
    return Table(
        "residuals",
        f"{study.of}: every reading, its prediction, its standard uncertainty u and its residual. {_made(study.fit)}",
        (
            "test",
            "row",
            "read",
            "predicted",
            "u",
            "unit",
            "residual [-]",
            "shear rate [1/s]",
            *([there] if moved else []),
            "bound",
            *runs,
        ),
        tuple(rows),
        more,
        row_names=False,
    )


def _made(fit):
    """Return in words what a prediction holds, and how a residual is made of what stands beside it."""
    held = [
        words
        for words, there in (
            ("its batch", fit.problem.batches),
            ("its record", fit.problem.record_spread > 0),
            ("its run (the table of the factor of each run, under “Estimates”)", fit.problem.runs),
        )
        if there
    ]
    said = f"A prediction holds the factor of {' and of '.join(held)}. " if held else ""
    return f"{said}The residual is (read - predicted)/u, where errors are shares alone ln(read/predicted) over u/read; that of a bound is nothing well inside it."


def _of_batches(fit, frame):
    """Return the batch of each residual, in a column; none where one batch alone was read."""
    batches = [test.batch or "not stated" for test in fit.tests]
    return {"batch": [batches[place] for place in frame.test]} if len(set(batches)) > 1 else {}


def _runs(fit):
    """Return run and branch of each residual, in columns; none where no test has several runs."""
    told = [columns_of(test) for test in fit.tests]
    heads = dict.fromkeys(head for one in told for head in one)
    empty = [dict.fromkeys(heads, [""] * len(test.readings)) for test in fit.tests]
    return {
        head: [cell for one, none in zip(told, empty, strict=True) for cell in (one or none)[head]] for head in heads
    }
