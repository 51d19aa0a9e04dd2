"""What the uncertainty of an answer is made of: the shares of a budget as bars."""

from collections.abc import Sequence
from textwrap import wrap

import altair as alt
import pandas as pd

from ..fitting import UncertaintyBudget, budget_words
from ..nomenclature import written
from .looks import axis, sheet_of

LINE = 44  # characters of a name beside its bar
NARROW = 24  # where there is little room
WORDS = 60  # px for the words beside a bar


def uncertainty_shares(
    uncertainty: UncertaintyBudget,
    title: str = "What the uncertainty is made of",
    subtitle: Sequence[str] = (),
    page: str = "light",
    width: int = 600,
) -> alt.LayerChart:
    """Return the inputs of an uncertainty budget as bars, each as long as its share of the variance, the largest first.

    Parameters
    ----------
    uncertainty : UncertaintyBudget
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
    found = budget_words.shares(uncertainty)
    names = ["|".join(wrap(name.replace("|", "/"), NARROW if sheet.narrow else LINE)) for name, _ in found]
    bars = pd.DataFrame(
        {
            "input": names,
            "share": [100 * share for _, share in found],
            "said": [written(share, "%", 2) for _, share in found],
        }
    )
    left = max((len(line) for name in names for line in name.split("|")), default=0) * 7.5 + 20  # px beside the bars
    room = max(sheet.room - left, 2.2 * WORDS)
    most = max(float(bars.share.max()), 1.0) * room / (room - WORDS)
    x = axis(alt.X, "share", "share of the variance [%]", [0, most], tickCount=4)
    y = alt.Y("input:N", title=None, sort=names).axis(labelLimit=0, labelOffset=-8, labelExpr="split(datum.label, '|')")
    rows = alt.Chart(bars).encode(x, y, tooltip=["input:N", "said:N"])
    text = rows.mark_text(align="left", dx=6, color=sheet.page.ink).encode(text="said:N")
    chart = alt.layer(rows.mark_bar(color=sheet.page.colours[0], height=20), text)
    said = "; ".join(f"{name} {part}" for (name, _), part in zip(found, bars.said, strict=True))
    tall = len(names) * (20 * (1 + max((name.count("|") for name in names), default=0)) + 18)
    return sheet.finished(chart, title, list(subtitle), f"Shares of the variance: {said}.", tall)
