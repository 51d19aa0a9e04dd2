"""Pictures of the appendix: a chart as one SVG text, with its numbers in words."""

from functools import cache
from textwrap import wrap
from typing import Any

from ..charts import alt, static_of
from ..charts.subtitles import LETTER
from .document import Figure
from .letters import FAMILY, FONTS, width

ALIKE = "Verdana, sans-serif"
"""Letters about as wide, for who has not those of the PDF."""
SUBTITLE = 13
"""Of the letters below a title, where a chart says nothing. [px]"""
BESIDE, LEAST = 20, 20
"""Room beside a line [px], and letters of the shortest one."""
WIDTH = 640
"""Of every picture, axes included. [px]"""


def figure(name: str, chart: alt.TopLevelMixin, caption: str) -> Figure:
    """Return a chart as a figure whose words are those that the chart carries for who does not see it."""
    spec = within(chart.to_dict(validate=False))  # tests validate; it takes a tenth of a second a picture
    _know_our_font()
    svg = static_of(spec, FAMILY).replace(f'font-family="{FAMILY}"', f'font-family="{FAMILY}, {ALIKE}"')
    return Figure(name, caption, svg, spec.get("description", "") or caption)


def within(spec: dict[str, Any]) -> dict[str, Any]:
    """Return the specification of a chart whose lines below its title are as short as the letters of the PDF, which are wide, need it."""
    title = spec.get("title", {})
    if not isinstance(title, dict) or not title.get("subtitle"):
        return spec
    look = spec.get("config", {}).get("title", {})
    size, bold = look.get("subtitleFontSize", SUBTITLE), look.get("subtitleFontWeight") == "bold"
    given, wide = title["subtitle"], spec.get("width")
    room = wide if isinstance(wide, int | float) else WIDTH
    whole = _whole([given] if isinstance(given, str) else given, int(room / LETTER))
    lines = [part for line in whole for part in _lines(line, size, bold, room - BESIDE)]
    return {**spec, "title": {**title, "subtitle": lines}}


def _whole(lines, full):
    """Return lines in which what a chart broke, at so many letters since the next word had no room, is one again."""
    whole, before = [], ""
    for line in lines:
        room = full - len(before)
        if before and not before.endswith(".") and 0 <= room < 1 + len(line.partition(" ")[0]):
            whole[-1] += f" {line}"
        else:
            whole.append(line)
        before = line
    return whole


def _lines(text, size, bold, room):
    """Return a line in as many as it takes."""
    letters = len(text)
    while letters > LEAST and any(width(one, size, bold) > room for one in wrap(text, letters)):
        letters -= 1
    return wrap(text, max(letters, 1)) or [text]


@cache
def _know_our_font():
    """Let pictures be laid out with the letters that they are set in, the same on every machine."""
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
