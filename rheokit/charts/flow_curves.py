"""Flow curve: readings, law, its 95 % band, what the readings cover and where the law will be used."""

import altair as alt
import numpy as np
import pandas as pd

from ..errors import DataError
from ..fitting import FitResult
from ..fitting.curve_errors import curve_errors
from ..nomenclature import alike, common_unit, number, with_limits
from ..nomenclature.phrases import sentence
from .drawing import stretches
from .looks import axis, axis_title, names_of, sheet_of, tip
from .subtitles import subtitle_of
from .suspects import rings, said, with_rings
from .yield_stresses import alone_words

POINTS = 121
WITHOUT_RATES = (0.1, 100.0)  # 1/s, drawn where no test has read a rate
LONGEST = 10.0  # times below its point that a bar reaches at most: zero has no logarithm
DASHES = [
    [2, 3],
    [6, 3, 2, 3],
    [10, 3],
    [3, 6],
    [1, 5],
    [10, 3, 2, 3],
    [14, 6],
    [6, 3, 2, 3, 2, 3],
    [6, 8],
    [14, 3, 1, 3],
    [2, 8],
]
"""Lines of other laws, more than there are laws beside one (a test says so)."""


def flow_curve(
    fit: FitResult, *others: FitResult, band: bool = True, page: str = "light", width: int = 600, checked: bool = True
) -> alt.LayerChart:
    """Return the flow curve of a fit, shear stress against shear rate, on logarithmic axes.

    Parameters
    ----------
    fit : FitResult
        Its readings stand as points, corrected with its law, each with a bar of one standard uncertainty either way; those of a yield
        stress alone have no shear rate and stand in a picture of their own, `yield_stresses`.
    *others : FitResult
        Other laws fitted to the same tests, drawn as thin dotted lines.
    band : bool
        Whether to draw the 95 % band of the law, by joint draws.
    page : {"light", "dark"}
    width : int
        Axes included. [px]
    checked : bool
        Whether to compute the checks, to stamp the picture where they failed; it says so where not.

    Returns
    -------
    chart : altair.LayerChart
    """
    for other in (fit, *others):
        if not isinstance(other, FitResult):
            raise DataError(f"flow_curve: {other!r} is not the result of a fit; give what rk.fit returned.")
    sheet, names = sheet_of(page, width), names_of(fit.tests)
    points = _readings(fit, names)
    rates = _rates(fit, points)
    curve = _curve(fit, rates)
    drawn = with_rings(fit, points, checked)
    span = _span([*drawn.shear_stress, *curve.shear_stress, *(_level(fit) or ())])
    look, ends = {"log": True, "labelOverlap": True}, (rates[0], rates[-1])
    x = axis(alt.X, "shear_rate", axis_title("shear_rate"), ends, labelFlush=False, **look)
    y = axis(alt.Y, "shear_stress", axis_title("shear_stress"), span, **look)
    layers = [*_use(sheet, fit, x), *_band(sheet, fit, x, curve, band), *_laws(sheet, others, x, y, rates, curve)]
    layers += [*_known_level(sheet, fit, x, y, rates), *_rates_read(sheet, fit, x)]
    if len(drawn):
        layers += _bars(sheet, drawn, x, y)
        tips = ["test:N", tip("shear_rate", "shear rate [1/s]"), tip("shear_stress", "shear stress [Pa]")]
        drawn["solid"] = True
        layers += [*sheet.marks(drawn, names, x=x, y=y, tooltip=tips), *rings(sheet, drawn, x, y)]
    title, below = (
        f"Flow curve: {_law_name(fit)}",
        [*_taken_to(fit), *subtitle_of(fit, checked), *(said(fit, names, drawn) if checked else [])],
    )
    return sheet.finished(alt.layer(*layers), title, below, words(fit, *others, checked=checked, band=band))


def words(fit, *others, checked=True, band=True):
    """Return the flow curve in words: the law's stresses with the limits of its table, what the readings cover, what is not drawn."""
    rates = np.array(sorted({1.0, 10.0, 100.0, *(fit.use_range or ())}))
    stress = fit.stress(rates)
    limits = fit.stresses[["low", "high"]].to_numpy().T if band and checked else (stress, stress)
    unit = common_unit("shear_stress", *stress[np.isfinite(stress)])
    limited = limits[0] < limits[1]  # else none, or not yet: the picture is drawn before they are found
    told = [
        with_limits(*found, unit) if known else plain
        for *found, known, plain in zip(stress, *limits, limited, alike("Pa", *stress), strict=True)
    ]
    known = [f"{s} at {number(r)} 1/s" for r, s, one in zip(rates, told, stress, strict=True) if np.isfinite(one)]
    at = f" at {fit.reference}, the readings taken there by the law" if fit.reference else ""
    lines = [f"Flow curve, {_law_name(fit)}{at}{': ' if known else ''}{', '.join(known)}."]
    names = names_of(fit.tests)
    lines[:0] = [fit.stamp, *said(fit, names, _readings(fit, names))] if checked and fit.stamp else []
    open_ones = [number(r) for r, s in zip(rates, stress, strict=True) if not np.isfinite(s)]
    if open_ones:
        lines.append(f"At {', '.join(open_ones)} 1/s {fit.left_open}. No line is drawn there.")
    if _level(fit) is not None:
        lines.append(f"The level is the yield stress, {with_limits(*_level(fit), 'Pa')}.")
    if np.isfinite(stress).any() and fit.rate_range:
        lines.append(f"{sentence(fit.covered_at_reference)} Dashed where it is extrapolated.")
    elif np.isfinite(stress).any():
        lines.append("No test has read a rate: the whole line is extrapolated.")
    if alone := alone_words(fit):
        lines.append(f"Yield stresses as each test reads them alone: {'; '.join(alone)}.")
    bounds = sum(int(np.count_nonzero(test.bounds[0])) for test in fit.tests)
    if bounds:
        lines.append(
            f"{bounds} reading{'s count' if bounds > 1 else ' counts'} as a bound and {'have' if bounds > 1 else 'has'} no point here."
        )
    if others:
        lines.append(f"Dotted for comparison: {', '.join(_law_name(other) for other in others)}.")
    return " ".join(lines)


def _taken_to(fit):
    """Return the line that says where readings of several conditions are drawn."""
    return [f"at {fit.reference}, readings taken there by the law"] if fit.reference else []


def _law_name(fit):
    return fit.problem.law_class.name or fit.problem.law_class.__name__


def drawn_readings(fit: FitResult) -> int:
    """Return how many readings the flow curve draws: those with a rate."""
    return len(_readings(fit, names_of(fit.tests)))


def _readings(fit, names):
    """Return the points of the curve, without those that have no logarithm; a yield stress alone has no rate (`yield_stresses`)."""
    points = []
    for place, (name, test, errors) in enumerate(zip(names, fit.tests, curve_errors(fit), strict=True)):
        points_read = test.curve_points(test.at_its_condition(fit.law), fit.nuisance)
        read = zip(*map(np.atleast_1d, test.at_reference(fit.law, *points_read)), *errors, strict=True)
        points += [[name, r, s, place, k, dr, ds] for k, (r, s, dr, ds) in enumerate(read) if r > 0 and s > 0]
    return pd.DataFrame(
        points, columns=["test", "shear_rate", "shear_stress", "place", "reading_place", "rate_error", "stress_error"]
    )


def errors_drawn(fit: FitResult) -> tuple[float, float] | None:
    """Return the least and the greatest bar of the flow curve, one standard uncertainty of a reading as a share of its stress [-]; None without any."""
    points = _readings(fit, names_of(fit.tests))
    shares = (points.stress_error / points.shear_stress).abs()
    shares = shares[shares > 0]
    return (float(shares.min()), float(shares.max())) if len(shares) else None


def _bars(sheet, drawn, x, y):
    """Return the layer of the bars of readings, one standard uncertainty either way; along the rate where the flow was read."""
    rate, stress = drawn.rate_error, drawn.stress_error
    ends = pd.DataFrame(
        {
            "shear_rate": np.maximum(drawn.shear_rate - rate, drawn.shear_rate / LONGEST),
            "rate_to": drawn.shear_rate + rate,
            "shear_stress": np.maximum(drawn.shear_stress - stress, drawn.shear_stress / LONGEST),
            "stress_to": drawn.shear_stress + stress,
        }
    )[(rate != 0) | (stress != 0)]
    if ends.empty:
        return []
    bars = alt.Chart(ends).mark_rule(color=sheet.page.ink, strokeWidth=1.5, clip=True)
    return [bars.encode(x, y, alt.X2("rate_to:Q"), alt.Y2("stress_to:Q"))]


def _rates_read(sheet, fit, x):
    """Return the layer of a bar at the foot of the picture along the rates that were read, where the law takes them."""
    ends = fit.reference_rate_range
    if ends is None or ends[0] >= ends[1]:
        return []
    bar = alt.Chart(pd.DataFrame({"shear_rate": [ends[0]], "fastest_read": [ends[1]]}))
    return [
        bar.mark_rule(color=sheet.page.ink, strokeWidth=5, clip=True).encode(
            x, alt.X2("fastest_read:Q"), y=alt.value(sheet.height - 3)
        )
    ]


def _span(stresses):
    """Return the least and greatest stress to draw, with room for words."""
    seen = np.array([s for s in stresses if np.isfinite(s) and s > 0])
    return [float(seen.min() / 1.4), float(seen.max() * 1.6)] if len(seen) else [1.0, 10.0]


def _rates(fit, points):
    """Return the rates of the line: a decade beyond everything read, and all of the use range."""
    seen = [*points.shear_rate, *(fit.use_range or ()), *(fit.reference_rate_range or ())] or list(WITHOUT_RATES)
    wide = 10.0 if len(seen) > 2 or fit.rate_range else 1.0
    edges = {min(seen) / wide, max(seen) * wide / 2}
    inner = [*(fit.use_range or ()), *(fit.reference_rate_range or ())]
    return np.array(sorted({*np.geomspace(min(edges), max(edges), POINTS), *inner}))


def _curve(fit, rates):
    stress = fit.stress(rates)
    covered = np.array([fit.covers(r, r, at_reference=True)[0] for r in rates])
    return pd.DataFrame({"shear_rate": rates, "shear_stress": stress, "covered": covered})


def _level(fit):
    """Return the yield stress with its limits [Pa] where it is all that the readings tell of the curve, else None."""
    if not fit.not_identified or "yield_stress" not in fit.problem.free or "yield_stress" in fit.not_identified:
        return None
    row = fit.table.loc["yield_stress"]
    return (row.value, row.low, row.high) if row.value > 0 and np.isfinite(row.high) else None


def _known_level(sheet, fit, x, y, rates):
    """Return the layers of what is known where the flow is not identified: the yield stress as a level with its band."""
    if (level := _level(fit)) is None:
        return []
    ends = pd.DataFrame(dict(zip(("shear_stress", "low", "high"), level, strict=True)), index=[0, 1])
    ends["shear_rate"] = rates[[0, -1]]
    line = alt.Chart(ends).mark_line(color=sheet.page.ink, strokeWidth=2, strokeDash=[2, 4], clip=True)
    known = [np.sqrt(rates[0] * rates[-1])]
    return [_area(sheet, ends, x), line.encode(x, y), *_at_foot(sheet, known, "flow: not identified", x, rates)]


def _area(sheet, limits, x):
    """Return the layer of a band between the columns low and high."""
    area = alt.Chart(limits).mark_area(color=sheet.page.band, opacity=0.28, clip=True)
    return area.encode(x, alt.Y("low:Q"), alt.Y2("high:Q"))


def _band(sheet, fit, x, curve, wanted):
    if not wanted:
        return []
    low, high = fit.band(lambda law: law.shear_stress(curve.shear_rate.to_numpy()))
    limits = curve.assign(low=low, high=high)
    limits = limits[np.isfinite(limits.low) & np.isfinite(limits.high) & (limits.low > 0)]
    return [] if limits.empty else [_area(sheet, limits, x)]


def _laws(sheet, others, x, y, rates, curve):
    layers = []
    if others:
        names = [_law_name(other) for other in others]
        lines = zip(names, (other.stress(rates) for other in others), strict=True)
        frames = [pd.DataFrame({"shear_rate": rates, "shear_stress": s, "law": name}) for name, s in lines]
        scale = alt.Scale(domain=names, range=DASHES[: len(names)])
        dash = alt.StrokeDash("law:N", sort=names, legend=sheet.legend(300, names), scale=scale)
        thin = alt.Chart(pd.concat(frames)).mark_line(color=sheet.page.ink, strokeWidth=1.6, clip=True)
        layers.append(thin.encode(x, y, dash))
    curve = curve[np.isfinite(curve.shear_stress)]
    if curve.empty:
        return layers
    pieces = pd.concat(rows.assign(piece=k, covered=covered) for k, (rows, covered) in enumerate(stretches(curve)))
    for covered, dash in ((True, [1, 0]), (False, [7, 6])):
        part = pieces[pieces.covered == covered]
        if len(part):
            line = alt.Chart(part).mark_line(color=sheet.page.ink, strokeWidth=3, strokeDash=dash, clip=True)
            layers.append(line.encode(x, y, detail="piece:N"))
    beyond = [part.shear_rate.iloc[len(part) // 2] for _, part in pieces[~pieces.covered].groupby("piece")]
    return [*layers, *_at_foot(sheet, beyond, "extrapolated", x, rates)]


def _at_foot(sheet, at, word, x, rates):
    """Return the layers of a word at the foot of the picture, at some rates: within it, also where it is narrow."""
    frame = pd.DataFrame({"shear_rate": at, "word": word})
    left, right = frame.shear_rate < rates[len(rates) // 4], frame.shear_rate > rates[3 * len(rates) // 4]
    layers = []
    for chosen, align, across in (
        (left, "left", alt.XValue(6)), (right, "right", alt.XValue("width")), (~left & ~right, "center", x)
    ):  # fmt: skip
        if len(rows := frame[chosen]):
            look = {"baseline": "bottom", "fontStyle": "italic", "align": align, "dx": -6 if align == "right" else 0}
            text = alt.Chart(rows).mark_text(color=sheet.page.ink, **look)
            layers.append(text.encode(across, y=alt.value(sheet.height - 6), text="word:N"))
    return layers


def _use(sheet, fit, x):
    if not fit.use_range:
        return []
    slow, fast = fit.use_range
    box = pd.DataFrame({"shear_rate": [slow], "fast": [fast], "word": ["range of use"]})
    shade = alt.Chart(box).mark_rect(color=sheet.page.colours[1], opacity=0.14).encode(x, alt.X2("fast:Q"))
    label = alt.Chart(box.assign(shear_rate=np.sqrt(slow * fast))).mark_text(baseline="top", color=sheet.page.ink)
    return [shade, label.encode(x, y=alt.value(6), text="word:N")]
