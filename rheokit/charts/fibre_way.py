"""The way of a fibre from the needle to the drum: how warm it is, how thick, and how far it has set."""

import math
from collections.abc import Sequence
from itertools import accumulate

import altair as alt
import numpy as np
import pandas as pd

from ..errors import DataError
from ..nomenclature import number, with_limits, written
from ..planning.fibre_way import AIR, BATH, NEEDLE, FibreWay
from ..units import ZERO_CELSIUS, mm
from .drawing import Drawing, layer_of, round_up
from .looks import NARROW, axis, axis_title, on_axis, sheet_of, shrunk

WAY_HEIGHT = 250
SHARES = {NEEDLE: 0.8, AIR: 1.0, BATH: 1.2}  # of the width, each stretch to its own scale
ALONG = "position along the way [mm], each stretch to its own scale"
ROUND = 10.0  # °C, of the ends of the axis
EXTRAPOLATED = "EXTRAPOLATED: outside the readings"
KEPT_FREE = "\u200b"  # the line of it, so that the picture stays where it is; blanks would be left out
MOST_SET = 2.0  # of the axis of setting: what is more is set


def drawn_fibre_temperature(
    way: FibreWay, subtitle: Sequence[str] = (), page: str = "light", width: int = 600
) -> Drawing:
    """Return how warm the fibre is along its way, with the gel point.

    Parameters
    ----------
    way : FibreWay
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
    """
    frames, marked = _frames(way, "temperature", 1.0, ZERO_CELSIUS, shrunk(page, width))
    gel = None if way.gel_temperature is None else float(way.gel_temperature) - ZERO_CELSIUS
    shown = [*frames["line"].low, *frames["line"].high, *([] if gel is None else [gel])]
    low, high = min(shown), max(shown)
    ends = ROUND * math.floor(low / ROUND), ROUND * math.ceil(high / ROUND)
    level = [] if gel is None else [(gel, f"gel point {written(way.gel_temperature, 'K')}")]
    frames["level"] = pd.DataFrame(level, columns=["value", "label"])
    words = f"Temperature of the fibre: {_places(marked, 'K')}."
    words += f" The gel point is {written(way.gel_temperature, 'K')}." if gel is not None else ""
    title = axis_title("temperature", "°C")
    return _drawing(way, frames, words, (page, width, subtitle, "Temperature along the way", title, *ends))


def drawn_fibre_diameter(way: FibreWay, subtitle: Sequence[str] = (), page: str = "light", width: int = 600) -> Drawing:
    """Return how thick the fibre is along its way.

    Parameters
    ----------
    way : FibreWay
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
    """
    frames, marked = _frames(way, "diameter", mm, 0.0, shrunk(page, width))
    ends = 0.0, round_up(1.1 * frames["line"].high.max())
    known = way.dry_diameter
    dry = [] if known is None else [(known.value / mm, f"dry {written(known.value, 'm')}")]
    frames["level"] = pd.DataFrame(dry, columns=["value", "label"])
    words = f"Diameter of the fibre: {_places(marked, 'm')}."
    words += f" It dries to {with_limits(*known, 'm')}." if dry else ""
    words += (
        ""
        if way.taut
        else " It falls faster than it is wound: how it thins is not known, and it is drawn here as if it thinned evenly."
    )
    title = axis_title("thread_diameter", "mm", "diameter")
    return _drawing(way, frames, words, (page, width, subtitle, "Diameter along the way", title, *ends))


def drawn_fibre_setting(way: FibreWay, subtitle: Sequence[str] = (), page: str = "light", width: int = 600) -> Drawing:
    """Return how far the fibre has set along its way.

    Parameters
    ----------
    way : FibreWay
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
        The band is that of the limit "set before winding" too: what moves the air and the bath.
    """
    frames, marked = _frames(way, "setting", 1.0, 0.0, shrunk(page, width))
    frames["level"] = pd.DataFrame([(1.0, "1: set")], columns=["value", "label"])
    words = f"Setting of the fibre, 1 where it is set: {_places(marked, '-')}. {_set_words(way.set_after)}"
    title = axis_title("setting")
    return _drawing(way, frames, words, (page, width, subtitle, "Setting along the way", title, 0.0, MOST_SET))


def _drawing(way, frames, words, look):
    """Return a picture that says below its title, and first in its words, that it is extrapolated, where it is."""
    page, width, subtitle, *axes = look
    subtitle = [EXTRAPOLATED, *subtitle] if way.outside else [*subtitle, KEPT_FREE]
    if way.outside:
        words = f"{EXTRAPOLATED} ({'; '.join(way.outside)}). {words}"
    return Drawing(frames, words, (page, width, tuple(subtitle), *axes), _picture)


def _set_words(known):
    """Return where it has set, with the limits of that."""
    if math.isinf(known.value):
        return "It has not set at the drum."
    if math.isinf(known.high):
        by = f"95 % from {written(known.low, 'm')} to not at the drum yet"
        return f"It is set {written(known.value, 'm')} after the nozzle ({by})."
    return f"It is set {with_limits(*known, 'm')} after the nozzle."


def _frames(way, what, scale, zero, width):
    """Return the frames of a picture, and the rows of its table that are told in words, by where they are."""
    known = way.table.dropna(subset=[what])
    if known.empty:
        raise DataError(f"fibre_{what}: not known along the way: {way.unknown.get(what, 'nothing is known of it')}.")
    shares = {name: SHARES[name] for name in way.stretches}
    edges = [edge / sum(shares.values()) for edge in accumulate(shares.values(), initial=0.0)]
    place = np.full(len(way.table), np.nan)
    ticks = []
    for name, begin, end in zip(shares, edges, edges[1:], strict=False):
        rows = way.table.stretch.to_numpy() == name
        at = way.table.position.to_numpy()[rows]
        place[rows] = begin + (end - begin) * (at - at[0]) / (at[-1] - at[0])
        long = "" if width < NARROW else f" {written(at[-1] - at[0], 'm')}"  # which the positions say as well
        ticks.append((begin, at[0], f"{name}{long}", (begin + end) / 2))
    ticks.append((1.0, way.table.position.iloc[-1], "", 1.0))
    columns = {"value": what, "low": f"{what}_low", "high": f"{what}_high"}
    line = pd.DataFrame({to: (way.table[of] - zero) / scale for to, of in columns.items()}).assign(place=place)
    frames = {
        "band": line.dropna(),
        "line": line.dropna(),
        "ticks": pd.DataFrame([(at, number(position / mm)) for at, position, *_ in ticks], columns=["place", "label"]),
        "names": pd.DataFrame([(middle, name) for *_, name, middle in ticks if name], columns=["place", "label"]),
    }
    marked = {"in the barrel": known.iloc[0]} if what == "temperature" else {}
    for name, where in (
        (NEEDLE, "at the exit of the nozzle"),
        (AIR, "at the end of the gap"),
        (BATH, "at the end of the bath"),
    ):
        rows = known[known.stretch == name]
        if len(rows) and not (what == "setting" and name == NEEDLE):
            marked[where] = rows.iloc[-1]
    return frames, {where: [row[column] for column in columns.values()] for where, row in marked.items()}


def _places(marked, unit):
    return ", ".join(f"{with_limits(*values, unit)} {where}" for where, values in marked.items())


def _picture(page, width, subtitle, head, title, low, high):
    sheet = sheet_of(page, width)
    ink, (blue, red) = sheet.page.ink, sheet.page.colours[:2]
    x = axis(
        alt.X,
        "place",
        ALONG if not sheet.narrow else "position [mm], not to scale",
        [0, 1],
        labels=False,
        ticks=False,
        grid=False,
        titlePadding=11 + sheet.text,
    )
    y = axis(alt.Y, "value", title, [low, high], tickCount=5)
    look = {"fontSize": sheet.text, "baseline": "middle"}
    level, names, ticks = layer_of("level"), layer_of("names"), layer_of("ticks")
    band = layer_of("band").mark_area(color=sheet.page.band, opacity=0.35, clip=True)
    top, bottom, left = alt.YValue(sheet.text - 1), alt.YValue("height"), alt.XValue(6)
    layers = [
        band.encode(x, on_axis(y, "low"), alt.Y2("high:Q")),
        ticks.mark_rule(color=ink, strokeWidth=1, strokeDash=[3, 4]).encode(x),
        level.mark_rule(color=red, strokeWidth=2.5, strokeDash=[8, 5], clip=True).encode(y),
        layer_of("line").mark_line(color=blue, strokeWidth=3.5, clip=True).encode(x, y, order="place:Q"),
        *sheet.texts(level, "label", left, y, align="left", dy=3 - sheet.text, **look),
        *sheet.texts(names, "label", x, top, **look),
        ticks.mark_text(color=ink, dy=sheet.text, **look).encode(x, bottom, text="label:N"),
    ]
    return sheet.finished(alt.layer(*layers), head, list(subtitle), "", WAY_HEIGHT)
