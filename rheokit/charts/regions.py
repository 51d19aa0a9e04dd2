"""The printable region: light to dark how likely it is, lines of 10, 50 and 90 %, and the name of what stops it first."""

import textwrap
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import altair as alt
import numpy as np

from ..errors import DataError
from ..nomenclature import with_decimals, written
from ..part.job import FIBRE, PRINT
from ..planning.extrapolation import UNREAD
from ..regions import AXES, RegionMap
from .looks import HOVER, PLAIN, on_axis, sheet_of, shrunk, ticks, without_size
from .region_labels import Places
from .region_rows import NEAREST, edge_of, field_rows, labels_of, line_rows, share_of, text_rows, zone_words
from .region_shapes import EVERYTHING_HOLDS, LIKELY, Shapes, is_log, raster
from .subtitles import LETTER, Caveat, below_title

SHADE_ENDS = {"light": ("#fbfcfe", "#4f86c6"), "dark": ("#141518", "#3a6fb0")}  # one hue, light to dark or back
LEVELS = (0.1, 0.5, LIKELY)
ROOM = (np.log(0.8), 0.0, np.log(1.25))  # ln of a factor
REACH = np.log(2.0)  # as far as the shades of best values go
ROUND = {"strokeWidth": 6, "strokeJoin": "round"}  # about words
SOLID = [1, 0]
DASHES = {"first level": [2, 3], "second level": SOLID, "third level": [8, 3]}
DASHES |= {"border": [10, 3, 2, 3], "stopped": SOLID, "leader": SOLID}
SHADED, SHADED_JUDGED = (f"probability that every limit{judged} holds [-]" for judged in ("", " judged"))
SHADED_ROOM, ROOM_JUDGED = (f"room to the nearest limit{judged}, as a factor [-]" for judged in ("", " judged"))
TITLES = {PRINT: "Printable region", FIBRE: "Drawable region"}
BESIDE = 86  # px beside the plot, for the axis
PICK = "pick"
POINT_DIGITS = 4  # of a point that is picked, as its fields show it
GRADIENT = 260  # px, length of the key of the shades
CELLS = 28  # across and up, that answer to the pointer


class Contents(NamedTuple):
    """What changes in the picture of a map while its axes stay: rows by name of the data, subtitle and words."""

    datasets: dict
    subtitle: list
    words: str


def printable_region(
    found: RegionMap,
    point: Mapping[str, float] | None = None,
    title: str = "",
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
    cells: int = CELLS,
) -> alt.LayerChart:
    """Return the picture of a region map.

    Parameters
    ----------
    found : RegionMap
        With draws the probability is shown, else the room to the nearest limit with best values.
    point : dict of str to float, optional
        A point to mark: the values of both axes, in SI, by name.
    title : str
        By default what the job makes: a printable region, or one in which a fibre can be drawn.
    subtitle : sequence of str
        Lines below the title: say here if the readings are invented.
    page : {"light", "dark"}
    width : int
        Axes included. [px]
    cells : int
        How many fields across and up answer to the pointer: hovering says the numbers, a click picks the point (the
        selection parameter "pick" holds its x and y in the units of the axes).

    Returns
    -------
    chart : altair.LayerChart
    """
    contents = region_contents(found, point, subtitle, page, width, cells)
    sheet, names = sheet_of(page, width), tuple(found.axes)
    x, y = (_axis(name, found.axes[name], channel) for name, channel in zip(names, (alt.X, alt.Y), strict=True))
    data = {name: alt.Chart(alt.NamedData(name)) for name in contents.datasets}
    ends, probable = SHADE_ENDS[without_size(page)], found.probability is not None
    layers = [
        _image(data["picture"], x, y),
        *_lines(sheet, data["lines"], x, y),
        *sheet.texts(data["texts"], "text", x, y, halo=ROUND, fontSize=sheet.text, baseline="middle", align="center"),
        _fields(sheet, data["fields"], found, ends, x, y, probable),
        *_mark(sheet, data["point"], x, y),
    ]
    chart = sheet.finished(alt.layer(*layers), title or _title(found), contents.subtitle, contents.words)
    return chart.properties(datasets=contents.datasets)


def region_contents(
    found: RegionMap,
    point: Mapping[str, float] | None = None,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
    cells: int = CELLS,
) -> Contents:
    """Return the `Contents` of the picture of a map; parameters as for `printable_region`."""
    if not isinstance(found, RegionMap):
        raise DataError(f"printable_region: {found!r} is no region map; give what rk.region_map returned.")
    if min(found.shape) < 2:
        raise DataError("printable_region: a map to draw needs two values at least of each axis.")
    sheet, shapes = sheet_of(page, width), Shapes(found)
    plot = max(sheet.room - BESIDE, 100), shrunk(page, sheet.height)
    low, high = (0.0, 1.0) if shapes.probable else (-REACH, REACH)
    pixels = Shapes(found, (sheet.height, min(max(width - BESIDE, 100), 700)))
    picture = raster(pixels, low, high, SHADE_ENDS[without_size(page)], sheet.page.ink, sheet.page.background)
    levels = [(level, shapes.contours(level)) for level in (LEVELS if shapes.probable else ROOM)]
    lines = [(kind, line) for kind, (_, found_lines) in zip(DASHES, levels, strict=False) for line in found_lines]
    lines += [("border", line) for line in shapes.borders()] + [("stopped", line) for line in shapes.outlines()]
    places = Places(plot, [line for _, line in lines])
    marked = []
    if point:
        places.take(share_of(found, point), 44, 44)
        marked = [{short: float(AXES[name].at_edge(point[name])) for short, name in zip("xy", found.axes, strict=True)}]
    labels = labels_of(shapes, levels, places)
    lines += [("leader", label.leader) for label in labels if label.leader is not None]
    corner = edge_of(found, [[0.0, 1.0]])[0]
    datasets = {
        "picture": [{"x": corner[0], "y": corner[1], "picture": picture}],
        "lines": line_rows(found, lines),
        "texts": text_rows(found, labels, plot),
        "fields": field_rows(found, cells),
        "point": marked,
    }
    caveats = list(map(Caveat, found.case.caveats))
    return Contents(
        datasets, below_title([*caveats, *subtitle], sheet.room), " ".join([*caveats, words(shapes, point)])
    )


def place_words(point: Mapping[str, float], digits: int | None = None) -> str:
    """Return a point of a map, values of axes in SI by name, in words; `digits` as of `written`."""
    return ", ".join(f"{AXES[name].label} {written(value, AXES[name].unit, digits)}" for name, value in point.items())


def words(shapes, point=None):
    """Return a map in words: how much of it will do, what stops it where, what is stopped for safety or extrapolated."""
    found, zones = shapes.found, shapes.zones
    axes = " and ".join(
        f"{place_words({name: values[0]})} to {written(values[-1], AXES[name].unit)}"
        for name, values in found.axes.items()
    )
    inside = zones[EVERYTHING_HOLDS].mean() if EVERYTHING_HOLDS in zones else 0.0
    how = f"in {100 * LIKELY:.0f} of 100 cases" if shapes.probable else "with best values"
    lines = [f"{_title(found)} over {axes}: every limit judged holds {how} on {_percent(inside)} of the map."]
    best = np.unravel_index(int(np.argmax(found.probability if shapes.probable else found.margin)), found.shape)
    where = place_words({name: values[k] for (name, values), k in zip(found.axes.items(), best[::-1], strict=True)})
    most = (
        f"the probability is greatest, {with_decimals(found.probability[best], 2)},"
        if shapes.probable
        else "the room is widest"
    )
    lines.append(f"Of what was looked at, {most} with {where}.")
    order = sorted(((zone.mean(), name) for name, zone in zones.items() if name), reverse=True)
    if order:
        said = "; ".join(f"{zone_words(name)} ({_percent(share)} of the map)" for share, name in order)
        lines.append(f"Elsewhere this comes first: {said}.")
    if shapes.extrapolated.any():
        missed = " and ".join(
            what for name, what in UNREAD.items() if name in found.margins and np.any(found.margins[name] < 0)
        )
        lines.append(
            f"Hatched, {_percent(shapes.extrapolated.mean())} of the map: the {missed} were not read, the law is extrapolated."
        )
    if point:
        lines.append(f"Marked: {place_words(point, POINT_DIGITS)}.")
    return " ".join(filter(None, [*lines, found.unjudged]))


def _title(found):
    return TITLES[found.case.job.kind]


def _percent(share):
    return f"{100 * share:.0f} %" if share >= 0.01 or share == 0 else "less than 1 %"


def _axis(name, values, channel):
    about = AXES[name]
    low, high = (float(about.at_edge(v)) for v in (values[0], values[-1]))
    log = is_log(name, values)
    kind = {"type": "log"} if log else {"zero": False}
    marked = {"values": ticks(low, high)} if log else {"tickCount": 6}
    channel = channel(f"{'x' if channel is alt.X else 'y'}:Q", title=f"{about.label} [{about.unit}]")
    channel = channel.scale(domain=[low, high], nice=False, **kind)
    return channel.axis(labelExpr=PLAIN, grid=False, labelOverlap=True, **marked)


def _image(data, x, y):
    whole = {"width": alt.expr("width"), "height": alt.expr("height")}
    return data.mark_image(aspect=False, align="left", baseline="top", **whole).encode(x, y, url="picture:N")


def _lines(sheet, data, x, y):
    page = sheet.page
    dash = alt.StrokeDash("kind:N", scale=alt.Scale(domain=list(DASHES), range=list(DASHES.values())), legend=None)
    width = alt.StrokeWidth("wide:Q", scale=None)
    shown = {"detail": "line:N", "order": "step:Q"}
    halo = data.mark_line(clip=True, color=page.background, strokeWidth=4, opacity=0.6).encode(x, y, **shown)
    return [halo, data.mark_line(clip=True, color=page.ink).encode(x, y, dash, width, **shown)]


def _fields(sheet, data, found, ends, x, y, probable):
    likely, room = (SHADED_JUDGED, ROOM_JUDGED) if found.unjudged else (SHADED, SHADED_ROOM)
    shown = [alt.Tooltip(channel["shorthand"], title=channel["title"], format=HOVER) for channel in (x, y)]
    shown.append(alt.Tooltip("shade:Q", title=likely if probable else "ln of that room [-]", format=".2f"))
    shown.append(alt.Tooltip("first:N", title="stops it first" if probable else "nearest limit"))
    shown += [alt.Tooltip(f"room_{k}:N", title=rank) for k, rank in enumerate(NEAREST)]
    title = likely if probable else room
    at_left = sheet.room > BESIDE + GRADIENT + LETTER * len(title)
    if not at_left:
        lines = textwrap.wrap(title, max(int((sheet.room - BESIDE) / LETTER), 20))
        title = lines if len(lines) > 1 else title
    factors = {"labelExpr": "'× ' + format(exp(datum.value), '.2~f')", "values": [-REACH, *ROOM, REACH]}
    look = {"orient": "bottom", "gradientLength": GRADIENT, "titleLimit": 0, "tickCount": 5, "offset": 8}
    look |= {"titleOrient": "left", "titlePadding": 8} if at_left else {}
    key = alt.Legend(title=title, **look, **({} if probable else factors))
    scale = alt.Scale(domain=[0, 1] if probable else [-REACH, REACH], range=list(ends), clamp=True)
    low = on_axis(x, "x_low"), on_axis(y, "y_low")
    pick = alt.selection_point(name=PICK, fields=["x", "y"], on="click", clear=False)
    colour = alt.Color("shade:Q", scale=scale, legend=key)
    fields = data.mark_rect(opacity=0).encode(*low, alt.X2("x_high:Q"), alt.Y2("y_high:Q"), colour, tooltip=shown)
    return fields.add_params(pick)


def _mark(sheet, data, x, y):
    looks = (
        {"size": 420, "filled": True, "color": sheet.page.background},
        {"size": 260, "filled": False, "color": sheet.page.ink, "strokeWidth": 3},
        {"size": 60, "filled": True, "color": sheet.page.ink},
    )
    return [data.mark_point(shape="circle", opacity=1, **look).encode(x, y) for look in looks]
