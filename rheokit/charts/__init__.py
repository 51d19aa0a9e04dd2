"""Pictures of fits and budgets: each a function of the objects it shows, without state and without physics.

Every chart is a function that returns an altair chart. In a notebook ``live(chart)`` shows it, without a network;
``chart.save("name.svg")`` keeps it. `page` is "light" or "dark", the colour of the page it stands on. Each chart carries its
numbers in words as its description.

Dropping a file with such a function into this folder is all it takes: a public function with a ``page`` and a ``width`` to
begin with is a chart, found here by its name and by the contract tests. Of a function ``drawn_name`` that returns a `Drawing`
``name`` returns the chart.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from typing import TYPE_CHECKING

import altair as alt

from ..limits.forces import force_limits, speeds_read
from ..part.drying import drying_course
from .drawing import chart_of
from .looks import INVENTED_MACHINE, PAGES, invented_lines, live, subtitle_of
from .misfits import RATE, READ_OVER_PREDICTED, RUN_ORDER
from .nozzle_pressure import pressure_profile
from .regions import PICK, place_words, zone_words


def _discover():
    found = {}
    for module in pkgutil.iter_modules(__path__):
        name = f"{__name__}.{module.name}"
        for thing in vars(importlib.import_module(name)).values():
            if inspect.isfunction(thing) and thing.__module__ == name and not thing.__name__.startswith("_"):
                parameters = inspect.signature(thing).parameters.values()
                if {"page", "width"} <= {one.name for one in parameters if one.default is not one.empty}:
                    found[thing.__name__] = thing
                    if thing.__name__.startswith("drawn_"):
                        found[thing.__name__.removeprefix("drawn_")] = chart_of(thing)
    return dict(sorted(found.items()))


CHARTS = _discover()
"""Every chart, and every drawing of one that moves, by the name of its function."""

globals().update(CHARTS)  # also those that are called as their module is

if TYPE_CHECKING:

    def __getattr__(name: str) -> Callable[..., alt.LayerChart]:
        """Say to a type checker, which does not see what is found in the folder, that any other name is a chart."""


__all__ = [
    *CHARTS, "INVENTED_MACHINE", "PAGES", "PICK", "RATE", "READ_OVER_PREDICTED", "RUN_ORDER", "drying_course", "force_limits",
    "invented_lines", "live", "place_words", "pressure_profile", "speeds_read", "subtitle_of", "zone_words",
]  # fmt: skip
