"""Water left in a drying part against time."""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from ..nomenclature import number
from ..part.drying import WITHIN, DryingTimes, drying_course, remaining_mass
from ..units import hour
from .drawing import Drawing, layer_of, round_up
from .looks import axis, on_axis, sheet_of

DRYING_HEIGHT = 360
LEVEL = ["time", "water", "label"]


def drawn_drying_water(
    times: DryingTimes,
    *,
    start_water: float,
    critical_water: float,
    final_water: float,
    equilibrium_water: float,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
) -> Drawing:
    """Return the picture of a part that dries.

    Parameters
    ----------
    times : DryingTimes
    start_water, critical_water, final_water, equilibrium_water : float
        As for `drying_course`. [-]
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
        The band is the factor of 2 within which such times hold.
    """
    course = drying_course(
        times, start_water=start_water, critical_water=critical_water, final_water=final_water,
        equilibrium_water=equilibrium_water,
    )  # fmt: skip
    hours = course.time / hour
    line = pd.DataFrame({"time": hours, "water": course.water, "soon": hours / WITHIN, "late": hours * WITHIN})
    total, turn = float(times.total) / hour, float(times.constant_rate) / hour
    right, top = round_up(max(1.05 * WITHIN * total, 0.1)), round_up(1.08 * start_water)
    levels = [(equilibrium_water, f"the air leaves {number(equilibrium_water)}")]  # its words above, near the axis
    turned = []  # below, beside those of a mark on it
    marks = [(total, final_water, f"dry after {number(total, 2)} h")]
    if critical_water < start_water:
        turned.append((critical_water, f"shrinkage ends at {number(critical_water)}"))
        if critical_water > final_water:
            weighs = 100 * remaining_mass(critical_water, start_water)
            marks.insert(0, (turn, critical_water, f"weighs {number(weighs, 2)} % of wet, {number(turn, 2)} h"))
    frames = {
        "band": line,
        "line": line,
        "levels": pd.DataFrame([(right, *level) for level in levels], columns=LEVEL),
        "turned": pd.DataFrame([(right, *level) for level in turned], columns=LEVEL),
        "marks": pd.DataFrame(marks, columns=LEVEL),
    }
    words = (
        f"Water over dry mass while drying uncovered: from {number(start_water)} at a constant rate for {_within(turn)}, in which it shrinks, "
        f"to {number(100 * remaining_mass(min(max(critical_water, final_water), start_water), start_water), 2)} % of its wet mass; "
        f"at {number(final_water)} after {_within(total)} in all. The air leaves {number(equilibrium_water)}. Under a cover it takes longer."
    )
    return Drawing(frames, words, (page, width, tuple(subtitle), right, top), _picture)


def _within(hours):
    return f"{number(hours, 2)} h ({number(hours / WITHIN, 2)} to {number(hours * WITHIN, 2)} h)"


def _picture(page, width, subtitle, right, top):
    sheet = sheet_of(page, width)
    ink, (blue, red) = sheet.page.ink, sheet.page.colours[:2]
    x = axis(alt.X, "time", "time [h]", [0, right], tickCount=6, labelOverlap=True)
    y = axis(alt.Y, "water", "water content u [-], dry basis", [0, top], tickCount=6)
    look = {"fontSize": sheet.text, "baseline": "middle"}
    levels, turned, marks = map(layer_of, ("levels", "turned", "marks"))
    band = layer_of("band").mark_area(color=sheet.page.band, opacity=0.35, orient="horizontal", clip=True)
    layers = [
        band.encode(on_axis(x, "soon"), y, alt.X2("late:Q")),
        *(level.mark_rule(color=ink, strokeWidth=1.5, strokeDash=[6, 4]).encode(y) for level in (levels, turned)),
        layer_of("line").mark_line(color=blue, strokeWidth=3.5, clip=True).encode(x, y, order="time:Q"),
        marks.mark_point(color=red, filled=True, size=140, opacity=1, clip=True).encode(x, y),
        *sheet.texts(levels, "label", x, y, align="right", dx=-6, dy=4 - sheet.text, **look),
        *sheet.texts(turned, "label", x, y, align="right", dx=-6, dy=sheet.text - 2, **look),
        *sheet.texts(marks, "label", x, y, align="left", dx=12, dy=2 - sheet.text, **look),
    ]
    title = "Drying" if sheet.narrow else "Water in the part while it dries uncovered, times within a factor of 2"
    return sheet.finished(alt.layer(*layers), title, list(subtitle), "", sheet.lower(DRYING_HEIGHT))
