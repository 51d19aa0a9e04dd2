"""Pictures of fits and budgets: each a function of the objects it shows, without state and without physics.

Every chart is a function that returns an altair chart. In a notebook ``live(chart)`` shows it, without a network;
``static(chart)`` is the text of an SVG picture that stays. `page` is "light" or "dark", the colour of the page it stands on. Each chart carries its
numbers in words as its description.

Dropping a file with such a function into this folder is all it takes: a public function with a ``page`` and a ``width`` to
begin with is a chart, found here by its name and by the contract tests. Of a function ``drawn_name`` that returns a `Drawing`
``name`` returns the chart.
"""

from .sooner import alt  # isort: skip  # before any other import of altair

import inspect
from collections.abc import Callable
from typing import TYPE_CHECKING

from ..found import found_in
from ..limits.forces import force_limits, speeds_read
from ..part.drying import drying_course
from .as_svg import static, static_of
from .drawing import chart_of
from .looks import PAGES, live
from .misfits import RATE, READ_OVER_PREDICTED, RUN_ORDER
from .nozzle_pressure import pressure_profile
from .picture_numbers import picture_numbers
from .regions import PICK, POINT_DIGITS, place_words, zone_words
from .subtitles import as_one, invented_lines, invented_machine, subtitle_of


def _name(thing):
    if not inspect.isfunction(thing) or thing.__name__.startswith("_"):
        return None
    begun = {one.name for one in inspect.signature(thing).parameters.values() if one.default is not one.empty}
    return thing.__name__ if {"page", "width"} <= begun else None


CHARTS = found_in(__name__, "chart", _name)
_OF_DRAWINGS = map(chart_of, (CHARTS[name] for name in CHARTS if name.startswith("drawn_")))
CHARTS |= {chart.__name__: chart for chart in _OF_DRAWINGS}
"""Every chart, and every drawing of one that moves, by the name of its function."""

globals().update(CHARTS)  # also those that are called as their module is

if TYPE_CHECKING:

    def __getattr__(name: str) -> Callable[..., alt.LayerChart]:
        """Say to a type checker, which does not see what is found in the folder, that any other name is a chart."""


__all__ = [
    *CHARTS, "PAGES", "PICK", "POINT_DIGITS", "RATE", "READ_OVER_PREDICTED", "RUN_ORDER", "as_one", "drying_course", "force_limits",
    "invented_lines", "invented_machine", "live", "picture_numbers", "place_words", "pressure_profile", "speeds_read", "static", "static_of",
    "subtitle_of", "zone_words",
]  # fmt: skip
