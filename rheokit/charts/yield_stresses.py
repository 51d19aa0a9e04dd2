"""Yield stresses: what each test of it reads alone, beside the yield stress of the law; no shear rate is invented for them."""

import altair as alt
import numpy as np
import pandas as pd

from ..bench.base import Shared
from ..bench.measured import SIDES
from ..errors import DataError
from ..fitting import FitResult
from ..fitting.yields import yield_bounds, yield_readings
from ..nomenclature import numbers, with_limits, written
from .looks import axis, axis_title, names_of, on_axis, sheet_of, tip
from .subtitles import subtitle_of
from .suspects import rings, said, with_rings

STATES = {"dynamic": "where flow stops", "static": "where flow starts"}
ROW = 48  # px a test


def yield_stresses(
    fit: FitResult, band: bool = True, page: str = "light", width: int = 600, checked: bool = True
) -> alt.LayerChart:
    """Return the yield stresses that the tests of a fit read alone, and that of its law.

    Parameters
    ----------
    fit : FitResult
        With a test of the yield stress, such as a slump or a loaded plate.
    band : bool
        Whether to draw the 95 % limits of the law's yield stress, as the table of the fit has them.
    page : {"light", "dark"}
    width : int
        Axes included. [px]
    checked : bool
        Whether to compute the checks, to stamp the picture where they failed; it says so where not.

    Returns
    -------
    chart : altair.LayerChart
        A mark a reading with its 95 % limits, the error of the test's own theory included; open where flow starts, an arrow where it is
        a bound. The line is the law's yield stress; the dotted one is the stress at which flow starts.
    """
    if not isinstance(fit, FitResult):
        raise DataError(f"yield_stresses: {fit!r} is not the result of a fit; give what rk.fit returned.")
    sheet, names = sheet_of(page, width), names_of(fit.tests)
    read, bounds = (_named(found, names) for found in (yield_readings(fit), yield_bounds(fit)))
    if read.empty and bounds.empty:
        raise DataError("yield_stresses: no test of this fit reads a yield stress; a loaded plate or a slump does.")
    read = with_rings(fit, read, checked)
    ratio = _ratio(fit, band, "static" in {*read.state, *bounds.state})
    levels = _levels(fit, band, ratio[0])
    key = _key(levels, ratio)
    shown = [
        *read.low,
        *read.high,
        *bounds.stress,
        *(value for level in levels for value in level if np.isfinite(value) and value > 0),
    ]
    ends = min(shown) / 1.15, max(shown) * 1.15
    title = axis_title(
        "yield_stress", words="yield stress" if sheet.narrow else "yield stress, as each test reads it alone"
    )
    x = axis(alt.X, "stress", title, ends, log=True, labelOverlap=True)
    y = alt.Y("row:N", title=None, sort=list(dict.fromkeys([*read.row, *bounds.row])))
    y = y.axis(labelLimit=0, labelExpr="split(datum.label, '|')", labelOffset=-8)
    tips = ["test:N", tip("stress", "yield stress [Pa]"), tip("low", "95 % from"), tip("high", "to"), "state:N"]
    spread = alt.Chart(read[["stress", "low", "high", "row"]]).mark_rule(color=sheet.page.ink, strokeWidth=2)
    layers = [
        *_lines(sheet, levels, x),
        spread.encode(on_axis(x, "low"), y, alt.X2("high:Q")),
        *sheet.marks(read, names, legend=False, x=x, y=y, tooltip=tips),
        *(rings(sheet, read, x, y) if len(read) else []),
        *_bounds(sheet, bounds, x, y, ends),
    ]
    below = [*subtitle_of(fit, checked), *(said(fit, names, read) if checked else []), *key]
    below += ["Arrow: a reading that is a bound, and no number"] if len(bounds) else []
    height = ROW * len({*read.row, *bounds.row}) + 24
    return sheet.finished(alt.layer(*layers), "Yield stresses", below, words(fit, read, key, bounds), height)


def _named(found, names):
    """Return readings with the name of their test, the words of their row, and whether they are drawn solid."""
    rows = [f"{names[k]}|{STATES[state]}" for k, state in zip(found.place, found.state, strict=True)]
    return found.assign(row=rows, test=[names[k] for k in found.place], solid=found.state != "static")


def _bounds(sheet, bounds, x, y, ends):
    """Return the layers of readings that are bounds: an arrow from the stress towards where it may lie."""
    tips, layers = ["test:N", "bound:N", "state:N"], []
    for side, shape in ((1, "triangle-right"), (-1, "triangle-left")):
        rows = bounds[bounds.side == side]
        if len(rows):
            rows = rows.assign(end=ends[side > 0], bound=[f"{SIDES[side]} {written(one, 'Pa')}" for one in rows.stress])
            line = alt.Chart(rows).mark_rule(color=sheet.page.ink, strokeWidth=2, strokeDash=[4, 4], clip=True)
            mark = alt.Chart(rows).mark_point(shape=shape, size=220, filled=True, color=sheet.page.ink, opacity=1)
            layers += [line.encode(x, y, alt.X2("end:Q")), mark.encode(x, y, tooltip=tips)]
    return layers


def words(fit, read, key, bounds):
    """Return the picture in words: what each test reads alone, and the law's yield stress."""
    return f"Yield stresses as each test reads them alone: {'; '.join(_alone(read, bounds))}. {'. '.join(key) or _none(fit)}."


def alone_words(fit):
    """Return in words what each test of the yield stress reads alone, a list."""
    names = names_of(fit.tests)
    return _alone(*(_named(found, names) for found in (yield_readings(fit), yield_bounds(fit))))


def _alone(read, bounds):
    alone = [
        f"{rows.test.iloc[0]} {with_limits(*rows[['stress', 'low', 'high']].median(), 'Pa')} ({STATES[rows.state.iloc[0]]})"
        for _, rows in read.groupby("place")
    ]
    return alone + [
        f"{one.test} {SIDES[one.side]} {written(one.stress, 'Pa')}, a bound ({STATES[one.state]})"
        for one in bounds.itertuples()
    ]


def _ratio(fit, band, static):
    """Return the ratio of static to dynamic yield stress with its limits, none without `band`; 1 where it is not asked for or not known."""
    key = Shared("static_ratio")
    if not static or key not in fit.nuisance:
        return 1.0, 1.0, 1.0
    value = float(fit.nuisance[key])
    return value, *(fit.limits(key) if band else (value, value))


def _levels(fit, band, ratio):
    """Return the law's yield stress with its limits [Pa], and where it is asked for the one at which flow starts; none where not known."""
    if "yield_stress" not in fit.law.values or "yield_stress" in fit.not_identified:
        return []
    value = float(fit.law.yield_stress)
    low, high = fit.limits("yield_stress") if band else (np.nan, np.nan)
    return [(value, low, high), *([(ratio * value, np.nan, np.nan)] if ratio != 1 else [])]


def _none(fit):
    return (
        f"The yield stress {fit.left_open}"
        if "yield_stress" in fit.law.values
        else "The law fitted has no yield stress"
    )


def _key(levels, ratio):
    """Return what the lines are, in words."""
    if not levels:
        return []
    value, low, high = levels[0]
    known = with_limits(value, low, high, "Pa") if np.isfinite(low + high) else written(value, "Pa")
    times, *limits = numbers(*ratio)
    times += " times that" + (f" (95 % {' to '.join(limits)})" if ratio[1] < ratio[2] else "")
    return [f"Line: yield stress of the law, {known}", *[f"Dotted: where flow starts, {times}"] * (len(levels) > 1)]


def _lines(sheet, levels, x):
    """Return the layers of the law's yield stress with its limits, and of the stress at which flow starts."""
    rows = pd.DataFrame(levels, columns=["stress", "low", "high"])
    known = rows[np.isfinite((rows.low + rows.high).astype(float))]
    layers = []
    if len(known):
        area = alt.Chart(known).mark_rect(color=sheet.page.band, opacity=0.28, clip=True)
        layers.append(area.encode(on_axis(x, "low"), alt.X2("high:Q")))
    for place, look in enumerate(({"strokeWidth": 3}, {"strokeWidth": 2, "strokeDash": [2, 4]})):
        line = rows[["stress"]].iloc[place : place + 1]
        layers += [alt.Chart(line).mark_rule(color=sheet.page.ink, clip=True, **look).encode(x)] if len(line) else []
    return layers
