"""Where the pressure goes: the budget of an extruder or a nozzle as bars."""

import altair as alt

from .looks import axis_title, finished, page_of

KILO = 1e3


def pressure_budget(budget, title="Where the pressure goes", subtitle=(), page="light", width=600):
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
    look = page_of(page)
    bars = budget.assign(
        pressure=budget.pressure_drop / KILO,
        said=[f"{p / KILO:.3g} kPa, {100 * s:.0f} %" for p, s in zip(budget.pressure_drop, budget.share, strict=True)],
    )[["part", "pressure", "said", "model"]]
    order = list(bars.part)
    room = 1.45 * max(float(bars.pressure.max()), 1e-9)  # for the words beside the longest bar
    x = alt.X("pressure:Q", title=axis_title("pressure_drop", "kPa"), scale=alt.Scale(domain=[0, room], nice=False))
    y = alt.Y("part:N", title=None, sort=order).axis(labelLimit=0, labelOffset=-8, labelExpr="split(datum.label, /[:,] /)")
    rows = alt.Chart(bars).encode(x.axis(format="~r", tickCount=5), y, tooltip=["part:N", "said:N", "model:N"])
    chart = alt.layer(
        rows.mark_bar(color=look.colours[0], height=20),
        rows.mark_text(align="left", dx=6, color=look.ink).encode(text="said:N"),
    )
    words = "Pressure by parts: " + "; ".join(f"{part} {said}" for part, said in zip(bars.part, bars.said, strict=True)) + "."
    return finished(chart, look, title, list(subtitle), words, width, 64 * len(bars))
