"""Pressure along an extruder, from the plunger face to the tip, with the parts that take it named."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd

from ..laws import FlowLaw
from ..machine.extruder import Extruder
from ..machine.profile import pressure_profile
from ..nomenclature import with_limits, written
from ..units import kPa, mm
from .drawing import Drawing, layer_of, round_up
from .labels import LINE, apart
from .looks import axis, axis_title, sheet_of, shrunk, tip

SECTION = 0.3  # of the greatest pressure: the strip below zero in which the section is drawn
BESIDE = 150  # px to the right of the tip for the names of parts
DISTANCE = "distance from the plunger face [mm]"


def drawn_nozzle_pressure(
    extruder: Extruder,
    law: FlowLaw,
    flow_rate: float,
    interval: tuple[float, float] | None = None,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
) -> Drawing:
    """Return the pressure along an extruder at one flow, above its section.

    Parameters
    ----------
    extruder : Extruder
    law : FlowLaw
    flow_rate : float
        [m3/s]
    interval : tuple of float, optional
        95 % limits of the pressure at the plunger face, drawn there. [Pa]
    subtitle : sequence of str
        Lines below the title: say here if the readings are invented.
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
        The section is as long as the axis says, and its bores are in proportion to each other.
    """
    profile = pressure_profile(extruder, law, flow_rate)
    drawn = profile.assign(distance=profile.distance / mm, pressure=profile.pressure / kPa)
    face, tip = float(drawn.pressure.iloc[0]), float(drawn.distance.iloc[-1])
    between = (interval[0] / kPa, interval[1] / kPa) if interval else (face, face)
    top = round_up(1.1 * max(end for end in (face, *between) if np.isfinite(end)))
    end = tip * width / max(width - BESIDE, 0.4 * width)
    frames = {
        "section": _section(drawn, top),
        "law": drawn[["distance", "pressure", "part"]],
        "face": pd.DataFrame({"distance": [0.004 * end], "pressure": [between[0]], "high": [min(between[1], top)]}),
        "names": _names(drawn, top, shrunk(page, sheet_of(page, width).height)),
    }
    return Drawing(frames, words(profile, flow_rate, interval), (page, width, tuple(subtitle), end, top), _picture)


def words(profile, flow_rate, interval=None):
    """Return the profile in words: the pressure at the face, and what each part takes of it."""
    face = profile.pressure.iloc[0]
    low, high = interval or (face, face)
    lost = [f"{name} {written(drop, 'kPa')}, {100 * drop / face:.0f} %" for name, drop, _, _ in _drops(profile)]
    return (
        f"Pressure along the extruder at {written(flow_rate, 'm³/s')}: {with_limits(face, low, high, 'kPa')} at the plunger "
        f"face, 0 at the tip. It is lost in {'; '.join(lost)}."
    )


def _drops(profile):
    """Return name, pressure lost, and the middle (distance, pressure) of every part."""
    found = []
    for _, rows in profile.groupby("place"):
        before, after = rows.pressure.iloc[0], rows.pressure.iloc[-1]
        half = (before + after) / 2
        middle = np.interp(-half, -rows.pressure.to_numpy(), rows.distance.to_numpy())
        found.append((rows.part.iloc[0], float(before - after), float(middle), float(half)))
    return found


def _names(drawn, top, height):
    """Return where to write the name of every part: to the right of the middle of its fall, apart from each other."""
    drops = _drops(drawn)
    gap = LINE * (1 + SECTION) * top / height
    rows = [(name, f"{name} {written(drop * kPa, 'kPa')}", distance, half) for name, drop, distance, half in drops]
    frame = pd.DataFrame(rows, columns=["part", "words", "distance", "pressure"])
    barrel = frame.part == "barrel"
    frame.loc[barrel, "pressure"] += 1.2 * gap  # above its line: to the right of it the line goes on
    frame["pressure"] = apart(frame.pressure, gap, gap / 2, top - gap / 2)
    frame.loc[barrel, "distance"] *= 0.5
    return frame


def _section(drawn, top):
    """Return the section of barrel and nozzle, below zero pressure."""
    middle, reach = -SECTION / 2 * top, 0.42 * SECTION * top
    half = reach * drawn.radius / drawn.radius.max()
    return pd.DataFrame({"distance": drawn.distance, "pressure": middle - half, "high": middle + half})


def _picture(page, width, subtitle, end, top):
    sheet = sheet_of(page, width)
    ink, blue = sheet.page.ink, sheet.page.colours[0]
    levels = [float(v) for v in np.arange(0, top, round_up(top / 5, (1, 2, 5, 10)))]
    x = axis(alt.X, "distance", DISTANCE, [0, end], tickCount=5, labelOverlap=True, labelFlush=True)
    y = axis(alt.Y, "pressure", axis_title("pressure", "kPa"), [-SECTION * top, top], values=levels)
    tips = ["part:N", tip("distance", "distance [mm]"), tip("pressure", "pressure [kPa]")]
    layers = [
        layer_of("section").mark_area(color=blue, opacity=0.55, clip=True).encode(x, y, alt.Y2("high:Q")),
        layer_of("law").mark_line(color=ink, strokeWidth=3, clip=True).encode(x, y, tooltip=tips),
        layer_of("face").mark_rule(color=blue, strokeWidth=5).encode(x, y, alt.Y2("high:Q")),
        layer_of("names").mark_text(color=ink, align="left", baseline="middle", dx=12).encode(x, y, text="words:N"),
    ]
    title = "Pressure along the extruder" if sheet.narrow else "Pressure along the extruder, from plunger face to tip"
    return sheet.finished(alt.layer(*layers), title, list(subtitle), "")
