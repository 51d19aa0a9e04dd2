"""A part that grows: its height against what its foot carries and its wall bears; and the part as drawn and when dry."""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from ..errors import DataError
from ..nomenclature import cells, number, with_limits, with_unit, written
from ..units import minute, mm
from .drawing import Drawing, layer_of, round_up
from .labels import LINE, apart
from .looks import axis, axis_title, on_axis, sheet_of, shrunk

STACK_HEIGHT, DRAWING_HEIGHT = 400, 300
AXIS, BESIDE = 65, 158  # px left of the plot, and right of the curves for their names
CARRIED, LEANS = "foot carries", "wall leans"
FAR = 3.0  # times the height wanted: a limit beyond it is named, not drawn


def drawn_stack_height(
    rise_speed: float,
    wanted_height: float,
    carried: pd.DataFrame,
    leans: tuple[float, float, float],
    fails: tuple[float, str] | None = None,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
    foot_yields: tuple[float, float, float] | None = None,
) -> Drawing:
    """Return the height of a growing part against time, with what stops it.

    Parameters
    ----------
    rise_speed : float
        [m/s]
    wanted_height : float
        [m]
    carried : DataFrame
        Columns time [s], height, low, high [m]: the height that the foot carries at its age, with 95 % limits, from 0 to the
        time in which the part is printed.
    leans : tuple of float
        Height at which the wall leans, with its 95 % limits. [m]
    fails : tuple, optional
        Height [m] at which the part fails first, and what happens there in words.
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]
    foot_yields : tuple of float, optional
        Height at which the foot yields while the part grows, with its 95 % limits; without it what the foot carries when the part
        is done is said. [m]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
    """
    end = wanted_height / rise_speed / minute
    high = FAR * wanted_height / mm
    bears = carried.height.iloc[-1] / mm
    top = round_up(1.1 * max(wanted_height / mm, *(min(height, high) for height in (leans[0] / mm, bears))))
    heights = (carried[["height", "low", "high"]] / mm).clip(upper=2 * top)
    foot = pd.DataFrame({"time": carried.time / minute}).join(heights)
    printed = pd.DataFrame({"time": [0.0, end], "height": [0.0, wanted_height / mm]})
    plot = max(shrunk(page, width) - AXIS, 1)
    right = end * plot / max(plot - BESIDE, 0.3 * plot)
    lean = pd.DataFrame([(0.0, end, *(v / mm for v in leans))], columns=["time", "end", "height", "low", "high"])
    frames = {
        "carried band": foot, "carried": foot, "leans": lean.clip(upper=2 * top), "printed": printed,
        "names": _names(end, top, shrunk(page, sheet_of(page, width).lower(STACK_HEIGHT) - 60), wanted_height / mm, bears, leans, foot_yields),
        "fails": pd.DataFrame([(fails[0] / rise_speed / minute, fails[0] / mm)] if fails else [], columns=["time", "height"]),
    }  # fmt: skip
    words = _words(rise_speed, wanted_height, carried, leans, fails, foot_yields)
    return Drawing(frames, words, (page, width, tuple(subtitle), right, top), _picture)


def _names(end, top, tall, wanted, carried, leans, foot_yields):
    """Return the names of the three lines at their ends, apart from each other, each number as its limits leave it."""
    foot = f"{CARRIED} {written(carried * mm, 'mm')}" if foot_yields is None else f"foot yields {_short(foot_yields)}"
    rows = [
        (f"wanted {written(wanted * mm, 'mm')}", wanted),
        (foot, carried),
        (f"{LEANS} {_short(leans)}", leans[0] / mm),
    ]
    gap = LINE * top / tall
    places = apart([min(value, top) for _, value in rows], gap, gap, top - gap / 2)
    return pd.DataFrame({"time": end, "height": places, "label": [words for words, _ in rows]})


def _short(known):
    """Return the value of a height with limits in so many digits as they leave it, without them."""
    value, _, unit = cells(*known, "mm")
    return with_unit(value, unit)


def _words(rise_speed, wanted_height, carried, leans, fails, foot_yields):
    last = with_limits(*carried.iloc[-1][["height", "low", "high"]], "mm")
    foot = f"carries {last} when it is done" if foot_yields is None else f"yields at {with_limits(*foot_yields, 'mm')}"
    said = (
        f"Height against time, rising {written(rise_speed, 'mm/min')} to {written(wanted_height, 'm')}: the foot {foot}; the wall "
        f"leans at {with_limits(*leans, 'mm')}."
    )
    return f"{said} {fails[1]}." if fails else f"{said} It stands, by best values."


def _picture(page, width, subtitle, right, top):
    sheet = sheet_of(page, width)
    ink, (blue, red) = sheet.page.ink, sheet.page.colours[:2]
    x = axis(alt.X, "time", "time since the first layer [min]", [0, right], tickCount=5)
    y = axis(alt.Y, "height", axis_title("height", "mm"), [0, top], tickCount=6)
    foot, lean, low = layer_of("carried"), layer_of("leans"), on_axis(y, "low")
    band = layer_of("carried band").mark_area(color=sheet.page.band, opacity=0.3, clip=True)
    look = {"filled": True, "size": 420, "color": ink, "opacity": 1, "clip": True}
    names = layer_of("names").mark_text(color=ink, align="left", baseline="middle", dx=8)
    layers = [
        band.encode(x, low, alt.Y2("high:Q")),
        lean.mark_rect(color=red, opacity=0.25, clip=True).encode(x, low, alt.Y2("high:Q"), alt.X2("end:Q")),
        foot.mark_line(color=ink, strokeWidth=3, strokeDash=[10, 5], clip=True).encode(x, y),
        lean.mark_rule(color=red, strokeWidth=3, strokeDash=[3, 3], clip=True).encode(x, y, alt.X2("end:Q")),
        layer_of("printed").mark_line(color=blue, strokeWidth=4, clip=True).encode(x, y),
        layer_of("fails").mark_point(shape="cross", angle=45, **look).encode(x, y),
        names.encode(x, y, text="label:N"),
    ]
    head = "Will it stand?" if sheet.narrow else "Will it stand? Height against what foot and wall bear"
    return sheet.finished(alt.layer(*layers), head, list(subtitle), "", sheet.lower(STACK_HEIGHT))


def drawn_drawn_and_dry(
    dry_size: tuple[float, float, float], scales: tuple[float, float, float], page: str = "light", width: int = 600
) -> Drawing:
    """Return the outline of a part as it is drawn and printed, and what it is when dry.

    Parameters
    ----------
    dry_size : tuple of float
        Length and height wanted when dry. [m]
    scales : tuple of float
        Factor on each of the two in the drawing. [-]
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
        Both axes to about the same scale.
    """
    if not all(v > 0 for v in (*dry_size, *scales)):
        raise DataError(f"drawn_and_dry: sizes {dry_size} m and scales {scales} must all be above 0.")
    dry = [v / mm for v in dry_size]
    wet = [v * scale for v, scale in zip(dry, scales, strict=True)]
    per_pixel = round_up(max(wet[0] / (0.8 * (width - 80)), wet[1] / (0.8 * (DRAWING_HEIGHT - 60))))
    ends = ((width - 80) * per_pixel, (DRAWING_HEIGHT - 60) * per_pixel)
    rows = []
    for label, (across, up), dash in (("as drawn", wet, "drawn"), ("dry", dry, "dry")):
        left = (ends[0] - across) / 2
        size = f"{label} {number(across)} × {number(up)} mm"
        box = {"across": left, "to": left + across, "up": 0.0, "top": up}
        rows.append({**box, "label": size, "middle": ends[0] / 2, "what": dash})
    rows[0]["said"] = rows[0]["top"] + 14 * per_pixel
    rows[1]["said"] = rows[1]["top"] / 2
    frame = pd.DataFrame(rows)
    words = f"The part, length by height: {rows[0]['label']}, {rows[1]['label']}."
    return Drawing({"drawn": frame[:1], "dry": frame[1:], "names": frame}, words, (page, width, *ends), _outline)


def _outline(page, width, across, up):
    sheet = sheet_of(page, width)
    ink, blue = sheet.page.ink, sheet.page.colours[0]
    x = axis(alt.X, "across", "length [mm]", [0, across], tickCount=6, grid=False)
    y = axis(alt.Y, "up", "height [mm]", [0, up], tickCount=5, grid=False)
    dry = layer_of("dry").mark_rect(color=blue, opacity=0.35)
    wet = layer_of("drawn").mark_rect(filled=False, stroke=ink, strokeWidth=2.5, strokeDash=[8, 5])
    names = layer_of("names").mark_text(color=ink)
    layers = [
        *(box.encode(x, y, alt.X2("to:Q"), alt.Y2("top:Q")) for box in (dry, wet)),
        names.encode(alt.X("middle:Q"), on_axis(y, "said"), text="label:N"),
    ]
    return sheet.finished(alt.layer(*layers), "As drawn and when dry", [], "", DRAWING_HEIGHT)
