"""How far the readings lie from the law: residuals along rate and run order, and readings over predictions."""

import altair as alt
import numpy as np
import pandas as pd

from ..errors import DataError
from ..fitting import FitResult
from ..nomenclature import number, with_decimals
from .looks import PLAIN, axis, axis_title, names_of, sheet_of, tip
from .subtitles import subtitle_of
from .suspects import rings, said, with_rings

RATE, RUN_ORDER = "shear_rate", "run_order"
ALONG = {RATE: "shear rate [1/s]", RUN_ORDER: "order of reading", "ratio": "reading / prediction"}
RESIDUAL = "read - predicted [standard deviations]"
READ_OVER_PREDICTED = "reading / prediction [-]"
TWO_LINES = """split(replace(datum.label, /'($| [(])/, '$1'), " '")"""  # kind of test above, its label below, without the quotes around it
USUAL = 2.0  # standard deviations that 95 % of good residuals stay within


def residuals(fit: FitResult, along: str = RATE, page: str = "light", width: int = 600) -> alt.LayerChart:
    """Return the residuals of a fit, read minus predicted in standard deviations, along the rate or the order of reading.

    Parameters
    ----------
    fit : FitResult
    along : {"shear_rate", "run_order"}
        Where no order was recorded, the readings stand in the order of their tables.
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart
        Open marks are bounds ("at most", "at least"). Lines at -2 and +2: 95 % of good residuals lie between.
    """
    if along not in (RATE, RUN_ORDER):
        raise DataError(f"residuals: along = {along!r}; it must be {RATE!r} or {RUN_ORDER!r}.")
    sheet, names = sheet_of(page, width), names_of(fit.tests)
    frame = _frame(fit, names)
    title = axis_title(along)
    if along == RUN_ORDER and frame.run_order.isna().all():
        frame["run_order"], title = np.arange(1, len(frame) + 1), "place in the tables [-]"
    rows = frame[frame[along].notna() & (frame[along] > (0 if along == RATE else -np.inf))]
    if along == RATE and len(rows):
        ends = float(rows.shear_rate.min()) / 1.5, float(rows.shear_rate.max()) * 1.5
        x = axis(alt.X, along, title, ends, log=True, labelOverlap=True)
    else:
        scale = alt.Scale(type="log", nice=True) if along == RATE else alt.Scale(zero=False, nice=True)
        x = alt.X(f"{along}:Q", title=title, scale=scale).axis(labelExpr=PLAIN, labelOverlap=True, tickCount=6)
    reach = max(3.0, 1.1 * float(np.abs(rows.residual).max())) if len(rows) else 3.0
    y = alt.Y("residual:Q", title=RESIDUAL, scale=alt.Scale(domain=[-reach, reach])).axis(labelExpr=PLAIN)
    chart = alt.layer(*_lines(sheet, [-USUAL, 0.0, USUAL], "residual"), *_points(sheet, rows, names, x, y))
    heading = "Residuals along the shear rate" if along == RATE else "Residuals in the order of reading"
    return sheet.finished(chart, heading, _below(fit, names, rows), words(fit, along), sheet.lower(300))


def read_against_predicted(fit: FitResult, page: str = "light", width: int = 600) -> alt.LayerChart:
    """Return every reading over its prediction, test by test: 1 where they agree, whatever the unit read.

    Parameters
    ----------
    fit : FitResult
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart
        Readings that are bounds are left out.
    """
    sheet, names = sheet_of(page, width), names_of(fit.tests)
    rows = _frame(fit, names)
    rows = rows[(rows.bound == 0) & (rows.predicted != 0)].assign(ratio=lambda r: r.reading / r.predicted)
    reach = max(0.1, 1.15 * float(np.abs(rows.ratio - 1).max())) if len(rows) else 0.1
    scale = alt.Scale(domain=[1 - reach, 1 + reach], nice=True, zero=False)
    x = alt.X("ratio:Q", title=READ_OVER_PREDICTED, scale=scale).axis(labelExpr=PLAIN, tickCount=4, labelOverlap=True)
    y = alt.Y("test:N", title=None, sort=names).axis(labelLimit=0, grid=True, labelExpr=TWO_LINES)
    chart = alt.layer(*_lines(sheet, [1.0], "ratio"), *_points(sheet, rows, names, x, y, legend=False))
    told, height = "Readings over predictions.", 60 + 44 * max(len(set(rows.test)), 1)
    if len(rows):
        worst = rows.loc[(rows.ratio - 1).abs().idxmax()]
        told = f"Readings over predictions: farthest from 1 is {worst.test}, row {worst.row}, at {with_decimals(worst.ratio, 3)}."
    return sheet.finished(chart, "Readings against predictions", _below(fit, names, rows), told, height)


def words(fit, along):
    """Return the residuals in words: how many, how many beyond two standard deviations, and the farthest."""
    frame = _frame(fit, names_of(fit.tests))
    if along == RATE or frame[along].notna().any():
        frame = frame[frame[along].notna()]
    if frame.empty:
        return "No reading has a shear rate, so no residual can be drawn along it."
    far = int((frame.residual.abs() > USUAL).sum())
    worst = frame.loc[frame.residual.abs().idxmax()]
    what = "the shear rate" if along == RATE else "the order of reading"
    return (
        f"{len(frame)} residuals (read minus predicted) along {what}, {far} of them beyond two standard deviations. The farthest, "
        f"{number(worst.residual)}, is {worst.test}, row {worst.row}."
    )


def _frame(fit, names):
    frame = fit.residuals
    frame = frame.assign(place=frame.test, reading_place=frame.groupby("test").cumcount())
    frame = with_rings(fit, frame)
    return frame.assign(test=[names[k] for k in frame.test], solid=frame.bound == 0, what=frame.row)


def _below(fit, names, rows):
    """Return what stands below the title: what was fitted, whether to trust it, and which rows are ringed."""
    below = subtitle_of(fit)
    if fit.problem.batches:  # whose line would say that all are of the median one
        below[-1] = f"{len(fit.problem.batches)} batches, each reading against the law of its own"
    return [*below, *said(fit, names, rows)]


def _lines(sheet, values, field):
    lines = pd.DataFrame({field: values, "dash": [v == values[len(values) // 2] for v in values]})
    place = alt.Y(f"{field}:Q") if field == "residual" else alt.X(f"{field}:Q", scale=alt.Scale(zero=False))
    dash = alt.condition("datum.dash", alt.value([1, 0]), alt.value([6, 4]))
    return [alt.Chart(lines).mark_rule(color=sheet.page.ink, strokeWidth=1.5).encode(place, strokeDash=dash)]


def _points(sheet, rows, names, x, y, legend=True):
    field = x.shorthand.split(":")[0]
    tips = ["test:N", alt.Tooltip("what:Q", title="row"), tip(field, ALONG[field]), tip("residual", "residual", ".2f")]
    columns = ["test", "what", "solid", "shear_rate", "run_order", "residual", *(["ratio"] if "ratio" in rows else [])]
    return [*sheet.marks(rows[columns], names, legend, x=x, y=y, tooltip=tips), *rings(sheet, rows, x, y)]
