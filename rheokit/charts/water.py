"""Yield stress against water content: readings, the line through them with its interval, and a batch to be corrected."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd

from ..nomenclature import PASCAL, number, with_limits
from ..paste.water import WaterLaw
from ..paste.water.correction import Correction
from .drawing import Drawing, layer_of, round_down, round_up
from .labels import AWAY, CLEAR, SIDES, sides_of
from .looks import PLAIN, axis, axis_title, on_axis, sheet_of, tip

POINTS = 41
BEYOND = 0.35  # of the range of the readings, that the line is drawn beyond it
WATER_HEIGHT = 330
BESIDE_PLOT = 4.5  # of its width, in heights of the text: axis and its title


def _band(law, at):
    """Return a DataFrame of water [-] and stress, low, high [Pa]: the line of a water law with its limits."""
    at = np.atleast_1d(np.asarray(at, float))
    return pd.DataFrame(dict(zip(("water", "stress", "low", "high"), (at, *law.line_band(at)), strict=True)))


def drawn_water_stress(
    law: WaterLaw,
    readings: pd.DataFrame,
    batch: tuple[float, float] | None = None,
    wanted: float | None = None,
    correction: Correction | None = None,
    recipe: float | None = None,
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
) -> Drawing:
    """Return the picture of a water law.

    Parameters
    ----------
    law : WaterLaw
        Fitted.
    readings : DataFrame
        Columns water [-], stress, low, high [Pa]: the readings with their 95 % limits.
    batch : tuple of float, optional
        Water content [-] and yield stress [Pa] of the batch there is.
    wanted : float, optional
        Yield stress wanted. [Pa]
    correction : Correction, optional
        What to add to the batch.
    recipe : float, optional
        Water content of the recipe, marked on the line. [-]
    subtitle : sequence of str
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart, or its `Drawing`
    """
    here, marks, arrow = _correction_rows(batch, wanted, correction)
    made = _band(law, [] if recipe is None else [recipe])
    here = [*here, *zip(made.water, made.stress, strict=True)]
    span = readings.water.max() - readings.water.min()
    left = min([readings.water.min() - BEYOND * span, *(x - 0.1 * span for x, _ in here)])
    right = max([readings.water.max() + BEYOND * span, *(x + 0.1 * span for x, _ in here)])
    step = 0.05 if span > 0.1 else 0.01
    x_ends = (max(float(np.floor(left / step) * step), 0.0), float(np.ceil(right / step) * step))
    arrow[["low", "high"]] = arrow[["low", "high"]].clip(*x_ends)  # an interval without end reaches the edge
    band = _band(law, np.linspace(*x_ends, POINTS))
    levels = [band.low.min(), band.high.max(), readings.low.min(), readings.high.max(), *(y for _, y in here)]
    y_ends = (round_down(min(levels)), round_up(max(levels)))
    inside = band.water.between(readings.water.min() - 1e-9, readings.water.max() + 1e-9)
    read = band[inside | inside.shift(1, fill_value=False) | inside.shift(-1, fill_value=False)]
    frames = {"band": band, "line": read, "beyond": band, "readings": readings, "marks": marks, "arrow": arrow}
    frames["recipe"] = made
    frames["labels"] = _labels(marks, made, band, arrow, (x_ends, y_ends), sheet_of(page, width))
    words = _words(law, readings, batch, wanted, correction, made)
    return Drawing(frames, words, (page, width, tuple(subtitle), x_ends, y_ends), _picture)


def _correction_rows(batch, wanted, correction):
    """Return points to be shown, and the rows of marks and of the way from the batch to the aim."""
    points, marks, arrow = [], [], []
    if batch:
        points.append(batch)
        marks.append((*batch, "the batch now", "now"))
    if batch and wanted and correction is not None and correction.mass:
        aim, ends = correction.water_content, (correction.water_low, correction.water_high)
        points += [(end, wanted) for end in (*ends, aim) if np.isfinite(end)]
        marks.append((aim, wanted, f"add {correction.in_grams[0]} g {correction.what}", "aim"))
        arrow.append((*batch, aim, wanted, *ends))
    shown = pd.DataFrame(marks, columns=["water", "stress", "label", "what"])
    return points, shown, pd.DataFrame(arrow, columns=["water", "stress", "to", "wanted", "low", "high"])


def _labels(marks, made, band, arrow, ends, sheet):
    """Return the names of the marks, each on the side where it lies upon the least."""
    named = pd.concat(
        [marks[["water", "stress", "label"]], made[["water", "stress"]].assign(label="the recipe")], ignore_index=True
    )
    (left, right), (low, high) = ends
    plot = sheet.width - BESIDE_PLOT * sheet.text, min(WATER_HEIGHT, sheet.height)

    def on_plot(water, stress):
        """Return places [px] from the lower left corner."""
        up = np.log(np.asarray(stress, float) / low) / np.log(high / low)
        return np.stack([(np.asarray(water, float) - left) / (right - left) * plot[0], up * plot[1]], axis=1)

    bars = [np.linspace(one.low, one.high, POINTS) for one in arrow.itertuples()]
    crowd = [on_plot(band.water, band.stress), *(on_plot(bar, np.full(POINTS, arrow.wanted[0])) for bar in bars)]
    sides = sides_of(on_plot(named.water, named.stress), list(named.label), np.concatenate(crowd), plot, sheet.text)
    return named.assign(side=sides)


def _words(law, readings, batch, wanted, correction, made):
    first, last = readings.water.min(), readings.water.max()
    said = (
        f"Yield stress against water content (water over dry mass): {len(readings)} readings from {number(first)} to {number(last)}; "
        f"the line falls from {number(law.line(first))} Pa to {number(law.line(last))} Pa, "
        f"slope {with_limits(law.slope, law.low, law.high)}."
    )
    for point in made.itertuples():
        said += f" The recipe: {with_limits(point.stress, point.low, point.high, PASCAL)} at {number(point.water, 4)}."
        said += f" {beyond}" if (beyond := law.outside(point.water)) else ""
    if batch:
        said += f" The batch now: {number(batch[1])} Pa at {number(batch[0], 4)}."
    if batch and wanted and correction is not None:
        said += f" Wanted: {number(wanted)} Pa at {number(correction.water_content, 4)}. {correction}"
    return said


def _picture(page, width, subtitle, x_ends, y_ends):
    sheet = sheet_of(page, width)
    ink, (blue, red) = sheet.page.ink, sheet.page.colours[:2]
    x = alt.X("water:Q", title="water content u [-], water over dry mass").scale(domain=x_ends, nice=False, zero=False)
    x = x.axis(labelExpr=PLAIN, tickCount=6, labelOverlap=True)
    y = axis(alt.Y, "stress", axis_title("yield_stress", "Pa"), y_ends, log=True)
    tips = [tip("water", "water content"), tip("stress", "yield stress [Pa]")]
    low, aim = (on_axis(y, field) for field in ("low", "wanted"))
    layers = [
        layer_of("band").mark_area(color=sheet.page.band, opacity=0.35, clip=True).encode(x, low, alt.Y2("high:Q")),
        layer_of("beyond").mark_line(color=ink, strokeWidth=2, strokeDash=[5, 5], clip=True).encode(x, y),
        layer_of("line").mark_line(color=ink, strokeWidth=3, clip=True).encode(x, y),
        layer_of("readings").mark_rule(color=blue, strokeWidth=2, clip=True).encode(x, low, alt.Y2("high:Q")),
        layer_of("readings").mark_point(color=blue, filled=True, size=110, opacity=1).encode(x, y, tooltip=tips),
        layer_of("arrow").mark_rule(color=red, strokeWidth=3, strokeDash=[2, 3]).encode(x, y, alt.X2("to:Q"), alt.Y2("wanted:Q")),
        layer_of("arrow").mark_rule(color=red, strokeWidth=6, opacity=0.6).encode(alt.X("low:Q"), aim, alt.X2("high:Q")),
        layer_of("marks").mark_point(color=red, filled=True, size=200, opacity=1).encode(
            x, y, alt.Shape("what:N", scale=alt.Scale(domain=["now", "aim"], range=["square", "diamond"]), legend=None)
        ),
        layer_of("recipe").mark_rule(color=ink, strokeWidth=2, clip=True).encode(x, low, alt.Y2("high:Q")),
        layer_of("recipe").mark_point(color=ink, filled=False, size=260, strokeWidth=3, opacity=1).encode(x, y),
    ]  # fmt: skip
    for side, (right, up) in SIDES.items():
        named = layer_of("labels").transform_filter(alt.datum.side == side)
        look = {"align": "left" if right > 0 else "right", "dx": AWAY * right, "dy": -(sheet.text + CLEAR) * up}
        layers += sheet.texts(
            named, "label", x, y, halo={"strokeWidth": 2}, fontSize=sheet.text, baseline="middle", **look
        )
    title = "Yield stress and water" if sheet.narrow else "Yield stress against water content, with its 95 % interval"
    return sheet.finished(alt.layer(*layers), title, list(subtitle), "", min(WATER_HEIGHT, sheet.height))
