"""The rows of data of a region map: its labels, lines, words and the fields that answer to the pointer."""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ..limits import LIMITS
from ..limits.base import room_of
from ..nomenclature import number
from ..regions import AXES, RegionMap
from .region_labels import LINE, Label, Places, broken
from .region_shapes import EVERYTHING_HOLDS, Shapes, is_log, shares_of

WIDTHS = {"border": 1.2, "stopped": 4.5, "leader": 1.2}  # px; levels 2.2
NEAREST = "least room", "next"  # of all limits: what is said below the pointer is read at a glance
SMALL = 0.01  # share of the picture below which a zone is not named beside it, unless it is stopped for safety


def zone_words(name: str) -> str:
    """Return what stops a print in words, as they stand in its zone."""
    if name not in LIMITS:
        return name
    limit = LIMITS[name]
    return f"stopped: {limit.label}" if limit.hard else f"{name}: {limit.label}"


def edge_of(found: RegionMap, shares: ArrayLike) -> np.ndarray:
    """Return shares of the picture, shape (k, 2), in the units of the axes."""
    out = []
    for (name, values), share in zip(found.axes.items(), np.transpose(np.asarray(shares, float)), strict=True):
        low, high = AXES[name].at_edge(values[0]), AXES[name].at_edge(values[-1])
        out.append(low * (high / low) ** share if is_log(name, values) else low + (high - low) * share)
    return np.transpose(out)


def share_of(found: RegionMap, point: Mapping[str, float]) -> tuple[float, ...]:
    """Return a point in SI, by name of the axes, as shares of the picture."""
    return tuple(float(shares_of(name, values, point[name])) for name, values in found.axes.items())


def labels_of(shapes: Shapes, levels: list, places: Places) -> list[Label]:
    """Return the labels of zones, lines and hatch: what is stopped for safety first, then the largest zone."""
    out, later = [], []
    for name, zone in sorted(shapes.zones.items(), key=lambda pair: (pair[0] not in shapes.hard, -pair[1].sum())):
        if name == EVERYTHING_HOLDS:
            holds = "every limit judged holds" if shapes.found.unjudged else "every limit holds"
            short = holds if shapes.found.unjudged else "likely"
            texts = [f"likely: {holds}", short] if shapes.probable else [holds, "holds"]
        else:
            texts = [zone_words(name), *([] if name in LIMITS and LIMITS[name].hard else [name])]
        label = places.inside(zone, [lines for text in texts for lines in broken(text)])
        if label is None and name in shapes.hard:
            label = places.beside(zone, broken(texts[-1]))
        out.append(label)
        told = name == EVERYTHING_HOLDS and shapes.probable  # by the key of the shades and the line of 90 %
        if label is None and zone.mean() > SMALL and not told:
            later.append((zone, broken(texts[-1])))
    for level, lines in levels:
        text = f"{100 * level:.0f} %" if shapes.probable else f"× {number(room_of(level))}"
        longest = sorted(lines, key=len, reverse=True)[:3]
        out += [places.on_line(line, text) for k, line in enumerate(longest) if len(line) > (20 if k else 4)]
    if shapes.extrapolated.any():
        hatched = shapes.extrapolated, [["extrapolated"]]
        out.append(places.inside(*hatched) or places.beside(*hatched))
    out += [places.beside(zone, candidates) for zone, candidates in later]
    return [label for label in out if label is not None]


def line_rows(found: RegionMap, lines: Sequence[tuple[str, np.ndarray]]) -> list[dict]:
    """Return the points of lines, each with its kind and width."""
    rows = []
    for place, (kind, line) in enumerate(lines):
        for step, (x, y) in enumerate(edge_of(found, line).tolist()):
            at = {"x": float(f"{x:.5g}"), "y": float(f"{y:.5g}")}
            rows.append({**at, "line": place, "step": step, "kind": kind, "wide": WIDTHS.get(kind, 2.2)})
    return rows


def text_rows(found: RegionMap, labels: Sequence[Label], plot: tuple[float, float]) -> list[dict]:
    """Return the lines of text of labels, each where it stands; `plot` is the size of the picture [px]."""
    rows = []
    for lines, (across, up), _ in labels:
        for place, line in enumerate(lines):
            x, y = edge_of(found, [[across, up + ((len(lines) - 1) / 2 - place) * LINE / plot[1]]])[0].tolist()
            rows.append({"x": x, "y": y, "text": line})
    return rows


def field_rows(found: RegionMap, cells: int) -> list[dict]:
    """Return fields that say their numbers to the pointer, and carry the key of the shades."""
    spread = (np.linspace(0, count - 1, min(cells, count)) for count in found.shape[::-1])
    places = [np.unique(np.round(one).astype(int)) for one in spread]
    grid, shape = np.ix_(places[1], places[0]), (len(places[1]), len(places[0]))
    columns: dict[str, list] = {}
    for short, (name, values), place in zip("xy", found.axes.items(), places, strict=True):
        edge = AXES[name].at_edge(values[place])
        spaced = np.log(edge) if is_log(name, values) else edge
        ends = np.concatenate([spaced[:1], (spaced[1:] + spaced[:-1]) / 2, spaced[-1:]])
        ends = np.exp(ends) if is_log(name, values) else ends
        for key, row in ((short, edge), (f"{short}_low", ends[:-1]), (f"{short}_high", ends[1:])):
            spread_out = np.broadcast_to(row[:, None] if short == "y" else row, shape).ravel()
            columns[key] = [float(f"{v:.5g}") for v in spread_out]
    probable = found.probability is not None
    columns["shade"] = np.round((found.probability if probable else found.margin)[grid].ravel(), 3).tolist()
    first = (found.most_likely_first if probable else found.limited_by)[grid].ravel()
    columns["first"] = [name or "nothing" for name in first]
    margins = [np.broadcast_to(found.margins[limit.name], found.shape)[grid].ravel() for limit in found.limits]
    nearest = np.argsort(margins, axis=0, kind="stable")[: len(NEAREST)].tolist()
    for rank, which in enumerate(nearest):
        columns[f"room_{rank}"] = [_room(found.limits[k], margins[k][field]) for field, k in enumerate(which)]
    return pd.DataFrame(columns).to_dict("records")


def _room(limit, margin):
    """Return the margin of a limit as it is read beside the pointer: its name, and how often the value fits, or a difference."""
    beyond = "" if margin >= 0 else ", not read" if limit.advice else ", broken"
    return f"{limit.name}, {limit.times(float(margin), 2)}{beyond}"
