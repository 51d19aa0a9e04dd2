"""Pictures of the appendix: a chart as one SVG text, with its numbers in words."""

from ..charts import alt, static_of
from .document import Figure

WIDTH = 640
"""Of every picture, axes included. [px]"""


def figure(name: str, chart: alt.TopLevelMixin, caption: str) -> Figure:
    """Return a chart as a figure whose words are those that the chart carries for who does not see it."""
    spec = chart.to_dict()
    return Figure(name, caption, static_of(spec), spec.get("description", "") or caption)
