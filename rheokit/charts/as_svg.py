"""A chart as a picture that stays: one SVG text, which needs no script and no network, on a light page."""

import json
import re
from collections.abc import Mapping
from hashlib import sha256
from html import escape
from typing import Any

import altair as alt

from ..nomenclature import decimal_mark
from .looks import PAGES
from .region_shapes import recoloured
from .regions import SHADE_ENDS


def static(chart: alt.TopLevelMixin) -> str:
    """Return a chart as the text of one SVG picture, whatever page it was drawn for on a light one.

    Parameters
    ----------
    chart : altair.LayerChart
        As a function of this room returns it.

    Returns
    -------
    svg : str
        With title and description for assistive technology. It asks for no other file.
    """
    return static_of(chart.to_dict())


def static_of(given: Mapping[str, Any], font: str = "") -> str:
    """Return the specification of a chart, as a page holds it while it is shown, as `static` returns the chart.

    `font` is the family of its letters, which `vl_convert` must know; by default what the system has without serifs.
    """
    import vl_convert

    plain = json.loads(
        json.dumps(given, default=float), parse_constant=lambda _: None
    )  # where it moved it may hold NaN
    spec = on_light_page(without_unseen(plain))
    title = spec.get("title", {})
    heading = title if isinstance(title, str) else title.get("text", "")
    heading = heading if isinstance(heading, str) else " ".join(heading)
    key = sha256(json.dumps(spec, sort_keys=True).encode()).hexdigest()[:10]
    settings: dict[str, Any] = {"config": {"font": font}} if font else {}
    if (mark := decimal_mark()) != ".":
        settings["format_locale"] = {"decimal": mark, "thousands": " ", "grouping": [3], "currency": ["", ""]}
    drawn = vl_convert.vegalite_to_svg(spec, **settings)
    start, rest = _own_names(drawn, key).split(">", 1)
    name, words = f"{key}-title", f"{key}-words"
    named = (
        f'<title id="{name}">{escape(heading)}</title><desc id="{words}">{escape(spec.get("description", ""))}</desc>'
    )
    return f'{start} role="img" aria-labelledby="{name}" aria-describedby="{words}">{named}{rest}'


def without_unseen(spec: dict) -> dict:
    """Return a specification in which what only answers to the pointer, and is not seen, has one mark for its legend; axes have ends of their own."""
    drawn: dict[str, bool] = {}
    for layer in spec.get("layer", ()):
        name, mark = layer.get("data", spec.get("data", {})).get("name"), layer.get("mark", {})
        drawn[name] = drawn.get(name, False) or not isinstance(mark, dict) or mark.get("opacity") != 0
    rows = {name: rows if drawn.get(name, True) else rows[:1] for name, rows in spec.get("datasets", {}).items()}
    return {**spec, "datasets": rows} if rows else spec


def _own_names(svg, key):
    """Return a picture whose names are its own: a page holds several, and a name twice cuts one as the other."""
    for place, name in enumerate(dict.fromkeys(re.findall(r'\bid="([^"]+)"', svg))):
        svg = re.sub(rf'(id="|url\(#|href="#){re.escape(name)}(?=["\)])', rf"\g<1>{key}-{place}", svg)
    return svg


def on_light_page(spec: dict) -> dict:
    """Return the specification of a chart with the colours of the dark page as those of the light one."""
    light, dark = PAGES["light"], PAGES["dark"]
    if spec.get("background") != dark.background:
        return spec
    text = json.dumps(spec)
    pairs = zip(
        (*dark[:-1], *dark.colours, *SHADE_ENDS["dark"]),
        (*light[:-1], *light.colours, *SHADE_ENDS["light"]),
        strict=True,
    )
    for old, new in pairs:
        text = text.replace(f'"{old}"', f'"{new}"')
    out = json.loads(text)
    for rows in out.get("datasets", {}).values():
        for row in rows:
            if "picture" in row:
                row["picture"] = recoloured(row["picture"], SHADE_ENDS["light"], light.ink, light.background)
    return out
