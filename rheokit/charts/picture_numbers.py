"""The numbers that a picture draws, read from its specification: a table with units in its heads."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

DRAWN_AS = {
    "point": "points",
    "area": "band",
    "rule": "line",
    "trail": "line",
    "rect": "field",
    "square": "points",
    "circle": "points",
}
NOT_NUMBERS = {"text", "image", "geoshape"}
CHANNELS = ("x", "x2", "y", "y2", "color", "shape", "tooltip")


class PictureNumbers(NamedTuple):
    """What a picture draws.

    Attributes
    ----------
    heads : list of str
        Of the columns; where a column has a unit, it stands at the end in brackets.
    rows : list of list
        Numbers and texts, None where a mark has no such column. The first says as what they are drawn.
    """

    heads: list[str]
    rows: list[list]


class _Layer(NamedTuple):
    mark: str
    rows: list
    columns: dict  # head as its channel has it, by field


def picture_numbers(spec: Mapping[str, Any]) -> PictureNumbers:
    """Return the numbers of a chart's specification (``chart.to_dict()``), each once, layer by layer."""
    titles: dict[str, str] = {}
    layers = list(_layers(spec, spec.get("datasets", {}), {}, {}, titles))
    heads: dict[str, str] = {}
    for layer in layers:
        for field, (channel, title) in layer.columns.items():
            heads.setdefault(field, title or titles.get(channel, ""))
    heads = {field: _head(field, title, heads) for field, title in heads.items()}
    shown = list(dict.fromkeys(heads.values()))
    rows, seen = [], set()
    for layer in layers:
        drawn = DRAWN_AS.get(layer.mark, layer.mark)
        for one in layer.rows:
            cells = {heads[field]: one.get(field) for field in layer.columns if one.get(field) not in (None, "")}
            key = (drawn, *sorted((head, str(cell)) for head, cell in cells.items()))
            if cells and key not in seen:
                seen.add(key)
                rows.append([drawn, *(cells.get(head) for head in shown)])
    used = [place for place in range(len(shown) + 1) if any(row[place] is not None for row in rows)]
    named = ["drawn as", *shown]
    return PictureNumbers([named[place] for place in used], [[row[place] for place in used] for row in rows])


def _layers(part, datasets, data, encoding, titles) -> Iterator[_Layer]:
    """Return the layers of marks that stand for numbers, and note the title of every axis."""
    data, encoding = part.get("data", data), {**encoding, **part.get("encoding", {})}
    for one in ("layer", "hconcat", "vconcat", "concat"):
        for inner in part.get(one, ()):
            yield from _layers(inner, datasets, data, encoding, titles)
    if "mark" not in part:
        return
    for channel in ("x", "y"):
        if title := _title(encoding.get(channel, {})):
            titles.setdefault(channel, title)
    mark = part["mark"] if isinstance(part["mark"], str) else part["mark"]["type"]
    rows = data.get("values", datasets.get(data.get("name"), ())) if data else ()
    hatching = mark == "rule" and {"x2", "y2"} <= set(
        encoding
    )  # slanted lines, which say that something is extrapolated
    if mark not in NOT_NUMBERS and not hatching and isinstance(rows, list):
        yield _Layer(mark, rows, _columns(encoding))


def _columns(encoding):
    found: dict[str, tuple] = {}
    for channel in CHANNELS:
        given = encoding.get(channel, ())
        for one in given if isinstance(given, list) else [given]:
            if "field" in one:
                found.setdefault(one["field"], (channel[0] if channel[0] in "xy" else "", _title(one)))
    return found


def _title(one):
    title = one.get("title") or ""
    return " ".join(title) if isinstance(title, list) else title


def _head(field, title, titles):
    """Return the head of a field: the title of its axis, with its own words where others stand on that axis too."""
    words = field.replace("_", " ")
    if not title:
        return words
    if sum(one == title for one in titles.values()) == 1 or words in title:
        return title
    quantity, _, unit = title.rpartition(" [")
    return f"{quantity}, {words} [{unit}" if quantity else f"{title}, {words}"
