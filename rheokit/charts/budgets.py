"""Where the pressure goes: the budget of an extruder or a nozzle as bars."""

import re
from collections.abc import Sequence

import altair as alt
import pandas as pd

from ..nomenclature import written
from ..units import kPa
from .looks import axis, axis_title, sheet_of

WORDS = 140  # px for the words beside a bar


def pressure_budget(
    budget: pd.DataFrame,
    title: str = "Where the pressure goes",
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
) -> alt.LayerChart:
    """Return a pressure budget as bars, one a part, in flow order.

    Parameters
    ----------
    budget : DataFrame
        As ``extruder.budget(law, flow_rate)`` or ``nozzle.budget(law, flow_rate)`` returns it.
    title : str
    subtitle : sequence of str
        Lines below the title: say here if the readings are invented.
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart
    """
    sheet = sheet_of(page, width)
    parts = [_lines(part, sheet.narrow) for part in budget.part]
    bars = budget.assign(
        part=parts,
        pressure=budget.pressure_drop / kPa,
        said=[f"{written(p, 'kPa')}, {100 * s:.0f} %" for p, s in zip(budget.pressure_drop, budget.share, strict=True)],
    )[["part", "pressure", "said", "model"]]
    left = max(len(line) for part in parts for line in part.split("|")) * 7.5 + 20  # px beside the bars
    room = max(sheet.room - left, 2.2 * WORDS)
    most = max(float(bars.pressure.max()), 1e-9) * room / (room - WORDS)
    x = axis(alt.X, "pressure", axis_title("pressure_drop", "kPa"), [0, most], tickCount=4)
    y = alt.Y("part:N", title=None, sort=parts).axis(labelLimit=0, labelOffset=-8, labelExpr="split(datum.label, '|')")
    rows = alt.Chart(bars).encode(x, y, tooltip=["part:N", "said:N", "model:N"])
    text = rows.mark_text(align="left", dx=6, color=sheet.page.ink).encode(text="said:N")
    chart = alt.layer(rows.mark_bar(color=sheet.page.colours[0], height=20), text)
    said = "; ".join(f"{part} {said}" for part, said in zip(budget.part, bars.said, strict=True))
    return sheet.finished(chart, title, list(subtitle), f"Pressure by parts: {said}.", 64 * len(bars))


def _lines(part, narrow):
    """Return the name of a part with its lines parted by |: sizes are left out where there is no room for them."""
    lines = re.split("[:,] ", part)
    if narrow and len(lines) > 2:
        lines = [lines[0], lines[-1]]
    return "|".join(lines).replace("step ", "step|") if narrow else "|".join(lines)
