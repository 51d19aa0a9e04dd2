"""Readings that the likeliest cause of failed checks points at: ringed and named by their row in every picture of readings."""

import altair as alt
import numpy as np

MANY = 12  # rows that are named one by one


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
    """Return the layers of rings around the suspect readings of a frame (see `with_rings`), each with its row in words."""
    suspect = frame[frame.ring != ""]
    if suspect.empty:
        return []
    chart = alt.Chart(suspect[[x.shorthand.split(":")[0], y.shorthand.split(":")[0], "ring"]])
    ring = chart.mark_point(
        shape="circle", size=420, strokeWidth=2.5, filled=False, color=sheet.page.warning, opacity=1
    )
    look = {"baseline": "bottom", "dy": -14, "fontWeight": "bold"}
    halo = chart.mark_text(**look, color=sheet.page.background, stroke=sheet.page.background, strokeWidth=5)
    texts = [one.encode(x, y, text="ring:N") for one in (halo, chart.mark_text(**look, color=sheet.page.warning))]
    return [texts[0], ring.encode(x, y), texts[1]]


def said(fit, names):
    """Return which rows are ringed and why, in words; nothing where none is suspect."""
    by_test = {}
    for (test, _), row in place_names(fit).items():
        by_test.setdefault(names[test], []).append(row)
    if not by_test:
        return ""
    return f"Ringed, suspect: {'; '.join(f'{_rows(rows)} of {name}' for name, rows in by_test.items())}."


def _rows(rows):
    rows = np.unique(rows)
    if len(rows) == 1:
        return f"row {rows[0]}"
    return f"rows {', '.join(map(str, rows[:MANY]))}" + (" and more" if len(rows) > MANY else "")
