"""What came out against what was predicted: numbers with their intervals, and how reliable probabilities were."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import altair as alt
import pandas as pd

from ..nomenclature import capital, number
from ..scoring import LEAST
from .looks import axis, on_axis, sheet_of, tip

if TYPE_CHECKING:
    from ..workbook.outcomes import Score

INVENTED = "INVENTED numbers, for demonstration"
ROOM = 0.08  # of what is shown, beside it
TO_RIGHT = 85  # %, up to which the number of outcomes stands to the right of its point
HELD, MISSED = "in its 95 % interval", "outside"
AS_PREDICTED, TIMES = "as predicted", "{} times it"


def predicted_and_observed(
    score: Score, subtitle: Sequence[str] = (), page: str = "light", width: int = 600
) -> alt.LayerChart:
    """Return what was observed of one quantity over what was predicted: a bar is an interval, and it held where it crosses the line.

    Parameters
    ----------
    score : Score
        Of a quantity that is a number.
    subtitle : sequence of str
        Lines below the title.
    page : {"light", "dark"}
    width : int
        Axes included. [px]

    Returns
    -------
    chart : altair.LayerChart
    """
    sheet, found, held = sheet_of(page, width), score.ratio, score.inside
    rows = pd.DataFrame(
        [
            (one.value, one.low, one.high, one.observed, HELD if one.is_inside else MISSED, one.number)
            for one in score.outcomes
        ],
        columns=["predicted", "low", "high", "observed", "held", "number"],
    )
    unit = score.outcomes[0].unit
    shown = rows[["predicted", "low", "high", "observed"]]
    least, most = float(shown.min().min()), float(shown.max().max())
    beside = ROOM * (most - least) or ROOM * most
    ends = max(least - beside, 0.0), most + beside
    x = axis(alt.X, "predicted", f"predicted [{unit}], with its 95 % interval", ends, tickCount=6)
    y = axis(alt.Y, "observed", f"observed [{unit}]", ends, tickCount=6)
    ink, colours = sheet.page.ink, [sheet.page.colours[0], sheet.page.warning]
    told = [HELD, MISSED]
    look = {
        "color": alt.Color("held:N", scale=alt.Scale(domain=told, range=colours), legend=sheet.legend(130, told)),
        "shape": alt.Shape(
            "held:N", scale=alt.Scale(domain=told, range=["circle", "diamond"]), legend=sheet.legend(130, told)
        ),
    }
    line = pd.DataFrame({"predicted": ends, "observed": ends})
    tips = [
        tip("number", "number", "d"),
        tip("predicted", f"predicted [{unit}]"),
        tip("observed", f"observed [{unit}]"),
    ]
    lines, dashes = [line.assign(line=AS_PREDICTED)], [[1, 0]]
    if found.is_systematic:
        times = [end * found.value for end in ends]
        lines.append(line.assign(observed=times, line=TIMES.format(number(found.value))))
        dashes.append([4, 5])
    called = [one.line[0] for one in lines]
    dash = alt.StrokeDash("line:N", scale=alt.Scale(domain=called, range=dashes), legend=sheet.legend(130, called))
    layers = [
        alt.Chart(pd.concat(lines)).mark_line(color=ink, strokeWidth=2, clip=True).encode(x, y, dash),
        alt.Chart(rows)
        .mark_rule(strokeWidth=2, clip=True)
        .encode(on_axis(x, "low"), y, alt.X2("high:Q"), look["color"]),
        alt.Chart(rows).mark_point(size=110, filled=True, opacity=1).encode(x, y, tooltip=tips, **look),
    ]
    said = f"{_counted(score)} of {score.quantity}: {held.held} of {held.of} lie in their 95 % interval."
    if found.is_systematic:
        whose = (
            ""
            if found.of_batches
            else f", as {found.of} outcomes of the batches that they are of have it and not the model"
        )
        said += f" The dashed line is {number(found.value)} times what was predicted{whose}."
    ends_of = {name: (number(rows[name].min()), number(rows[name].max())) for name in ("predicted", "observed")}
    spans = (f"{capital(name)}: {' to '.join(dict.fromkeys(ends))} {unit}." for name, ends in ends_of.items())
    words = f"{said} {' '.join(spans)}"
    return sheet.finished(
        alt.layer(*layers), f"Predicted and observed: {score.quantity}", _below(score, subtitle), words
    )


def predicted_and_true(
    score: Score, subtitle: Sequence[str] = (), page: str = "light", width: int = 600
) -> alt.LayerChart:
    """Return how often came true what was given a probability: shares of outcomes of like probability, and where right ones would put them.

    Parameters
    ----------
    score : Score
        Of what comes true or not, of `scoring.LEAST` outcomes or more; of fewer all of them are one share.
    subtitle, page, width
        As of `predicted_and_observed`.

    Returns
    -------
    chart : altair.LayerChart
    """
    sheet, found = sheet_of(page, width), score.reliability
    bins = found.bins or (found.whole,)
    names = ("predicted", "observed", "low", "high", "least", "most")
    rows = pd.DataFrame(
        [{name: 100 * getattr(one, name) for name in names} | {"count": f"{one.of}", "of": one.of} for one in bins]
    )
    x = axis(alt.X, "predicted", "predicted probability [%]", (0, 100), tickCount=5)
    y = axis(alt.Y, "observed", "share that came true [%]", (0, 100), tickCount=5)
    line = pd.DataFrame({"predicted": [0.0, 100.0], "observed": [0.0, 100.0]})
    colour, low, least = sheet.page.colours[0], on_axis(y, "low"), on_axis(y, "least")
    tips = [tip("predicted", "predicted [%]"), tip("observed", "came true [%]"), tip("of", "outcomes", "d")]
    every = alt.Chart(rows)
    layers = [
        alt.Chart(line).mark_line(color=sheet.page.ink, strokeWidth=2).encode(x, y),
        every.mark_rule(color=sheet.page.band, strokeWidth=18, opacity=0.5).encode(x, low, alt.Y2("high:Q")),
        every.mark_rule(color=colour, strokeWidth=2).encode(x, least, alt.Y2("most:Q")),
        every.mark_point(color=colour, size=110, filled=True, opacity=1).encode(x, y, tooltip=tips),
        *sheet.texts(every.transform_filter(alt.datum.predicted <= TO_RIGHT), "count", x, y, dx=20, align="left"),
        *sheet.texts(every.transform_filter(alt.datum.predicted > TO_RIGHT), "count", x, y, dx=-20, align="right"),
    ]
    shares = (
        f"predicted {number(one.predicted)} %, came true {number(one.observed)} % of {one.of}"
        for one in rows.itertuples()
    )
    where = "inside" if found.is_inside else "not all inside"
    words = (
        f"{_counted(score)} of {score.quantity}: {'; '.join(shares)}. They lie {where} the grey bars, where right probabilities would put all of "
        "them in 95 of 100 records; thin bars are the 95 % limits of each share."
    )
    thin = [] if score.count >= LEAST else [f"{_counted(score)}: too few for a reliability"]
    return sheet.finished(
        alt.layer(*layers), f"Probability and outcome: {score.quantity}", _below(score, [*subtitle, *thin]), words
    )


def _counted(score):
    return f"{score.count} outcome{'' if score.count == 1 else 's'}"


def _below(score, subtitle):
    return [*subtitle, *([INVENTED] if score.is_invented else []), *([score.thin] if score.thin else [])]
