"""Pictures of the appendix: a chart as one SVG text, with its numbers in words."""

from functools import cache

from ..charts import alt, static_of
from .document import Figure
from .letters import FAMILY, FONTS

ALIKE = "Verdana, sans-serif"
"""Letters about as wide, for who has not those of the PDF."""
WIDTH = 640
"""Of every picture, axes included. [px]"""


def figure(name: str, chart: alt.TopLevelMixin, caption: str) -> Figure:
    """Return a chart as a figure whose words are those that the chart carries for who does not see it."""
    spec = chart.to_dict(validate=False)  # which tests do, and takes a tenth of a second a picture
    _know_our_font()
    svg = static_of(spec, FAMILY).replace(f'font-family="{FAMILY}"', f'font-family="{FAMILY}, {ALIKE}"')
    return Figure(name, caption, svg, spec.get("description", "") or caption)


@cache
def _know_our_font():
    """Let pictures be laid out with the letters that they are set in, the same on every machine."""
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
