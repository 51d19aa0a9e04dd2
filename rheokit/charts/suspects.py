"""Readings that the likeliest cause of failed checks points at: ringed and named by their row in every picture of readings."""

from itertools import combinations

import altair as alt
import numpy as np
import pandas as pd

from .looks import TEXT
from .subtitles import Caveat

AXIS = 75  # px beside the plot
MANY = 12  # rows that are named one by one
CROWD = 8  # ringed readings of one picture above which their names would cover them: the line below the title has their rows
LETTER, LINE = 9.0, 22.0  # px, width of a letter and height of a line of a label


def place_names(fit):
    """Return the row of every suspect reading as its file counts it, by (place of the test, place of the reading)."""
    if not fit.suspect_rows:
        return {}
    found = fit.residuals
    rows = {place: group.row.to_numpy() for place, group in found.groupby("test")}
    return {(test, reading): int(rows[test][reading]) for test, reading in fit.suspect_rows}


def with_rings(fit, frame, checked=True):
    """Return a frame with columns place (of the test) and reading (in it) and, of suspect readings, the words of their ring."""
    rows = place_names(fit) if checked else {}
    keys = zip(frame.place, frame.reading_place, strict=True)
    return frame.assign(ring=[f"row {rows[key]}" if key in rows else "" for key in keys])


def rings(sheet, frame, x, y):
    """Return the layers of rings around the suspect readings of a frame (see `with_rings`), each cluster with its rows in words where there are few."""
    across, up = (channel.shorthand.split(":")[0] for channel in (x, y))
    named = labels(
        frame, _pixels(frame[across], x, sheet.room - AXIS), _pixels(frame[up], y, sheet.height * TEXT / sheet.text)
    )
    if named.empty:
        return []
    kept = [across, up, "ring"]
    ring = alt.Chart(frame.loc[frame.ring != "", kept]).mark_point(
        shape="circle", size=420, strokeWidth=2.5, filled=False, color=sheet.page.warning, opacity=1
    )
    if int((frame.ring != "").sum()) > CROWD:
        return [ring.encode(x, y)]
    look = {"baseline": "bottom", "dy": -14, "fontWeight": "bold"}
    halo, text = sheet.texts(alt.Chart(named[kept]), "ring", x, y, sheet.page.warning, **look)
    return [halo, ring.encode(x, y), text]


def labels(frame, across, up):
    """Return one row a cluster of suspect readings, its highest, with the rows of all in `ring`: no label covers another.

    Parameters
    ----------
    frame : DataFrame
        See `with_rings`.
    across, up : ndarray
        Where each reading stands. [px]
    """
    groups = [[k] for k in np.flatnonzero(frame.ring != "")]
    rows = frame.ring.str.removeprefix("row ")

    def words(group):
        return _rows([int(rows.iloc[k]) for k in group])

    def overlap(one, other):
        (a, b), reach = (max(group, key=lambda k: up[k]) for group in (one, other)), len(words(one)) + len(words(other))
        return abs(across[a] - across[b]) < LETTER * (reach / 2 + 1) and abs(up[a] - up[b]) < LINE

    while pair := next((p for p in combinations(groups, 2) if overlap(*p)), None):
        groups = [group for group in groups if group not in pair] + [pair[0] + pair[1]]
    highest = frame.iloc[[max(group, key=lambda k: up[k]) for group in groups]]
    return highest.assign(ring=[words(group) for group in groups])


def _pixels(values, channel, length):
    """Return about where the values of a channel stand [px]."""
    if not pd.api.types.is_numeric_dtype(values):
        return 44.0 * values.rank(method="dense").to_numpy()
    scale = channel.to_dict().get("scale", {})
    ends = np.array(scale.get("domain", [values.min(), values.max()]), float)
    values = values.to_numpy(float)
    if scale.get("type") == "log":
        values, ends = np.log(values), np.log(ends)
    return length * (values - ends[0]) / max(ends[1] - ends[0], 1e-12)


def said(fit, names, drawn):
    """Return the caveat that says which rows of a drawn frame are ringed (see `with_rings`) and why, as a list of at most one."""
    here, by_test = set(zip(drawn.place, drawn.reading_place, strict=True)), {}
    for (test, reading), row in place_names(fit).items():
        if (test, reading) in here:
            by_test.setdefault(names[test], []).append(row)
    ringed = "; ".join(f"{_rows(rows)} of {name}" for name, rows in by_test.items())
    return [Caveat(f"Ringed, suspect: {ringed}.")] if ringed else []


def _rows(rows):
    """Return rows in words, three and more in sequence by their ends: "rows 3 to 6, 9"."""
    rows = np.unique(rows)
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    said = [part for run in runs for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))]
    more = " and more" if len(said) > MANY else ""
    return f"row{'s' if len(rows) > 1 else ''} {', '.join(said[:MANY])}{more}"
