"""Pictures of fits and budgets: each a function of the objects it shows, without state and without physics.

Every function returns an altair chart. In a notebook ``live(chart)`` shows it, without a network; ``chart.save("name.svg")``
keeps it. `page` is "light" or "dark", the colour of the page it stands on. Each chart carries its numbers in words as its
description.
"""

from .budgets import pressure_budget
from .flow_curves import flow_curve
from .looks import PAGES, live, subtitle_of
from .misfits import RATE, READ_OVER_PREDICTED, RUN_ORDER, read_against_predicted, residuals

__all__ = [
    "PAGES",
    "RATE",
    "READ_OVER_PREDICTED",
    "RUN_ORDER",
    "flow_curve",
    "live",
    "pressure_budget",
    "read_against_predicted",
    "residuals",
    "subtitle_of",
]
