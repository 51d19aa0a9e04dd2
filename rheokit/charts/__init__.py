"""Pictures of fits and budgets: each a function of the objects it shows, without state and without physics.

Every function returns an altair chart. In a notebook ``live(chart)`` shows it, without a network; ``chart.save("name.svg")``
keeps it. `page` is "light" or "dark", the colour of the page it stands on. Each chart carries its numbers in words as its
description.
"""

from .budgets import pressure_budget
from .drying import drawn_drying_water, drying_course, drying_water
from .flow_curves import flow_curve
from .force_speed import drawn_force_speed, force_limits, force_speed, speeds_read
from .looks import INVENTED_MACHINE, PAGES, invented_lines, live, subtitle_of
from .misfits import RATE, READ_OVER_PREDICTED, RUN_ORDER, read_against_predicted, residuals
from .nozzle_pressure import drawn_nozzle_pressure, nozzle_pressure, pressure_profile
from .regions import PICK, printable_region, region_contents, zone_words
from .stack import drawn_and_dry, drawn_drawn_and_dry, drawn_stack_height, stack_height
from .water import drawn_water_stress, water_stress

__all__ = [
    "INVENTED_MACHINE",
    "PAGES",
    "PICK",
    "RATE",
    "READ_OVER_PREDICTED",
    "RUN_ORDER",
    "drawn_and_dry",
    "drawn_drawn_and_dry",
    "drawn_drying_water",
    "drawn_force_speed",
    "drawn_nozzle_pressure",
    "drawn_stack_height",
    "drawn_water_stress",
    "drying_course",
    "drying_water",
    "flow_curve",
    "force_limits",
    "force_speed",
    "invented_lines",
    "live",
    "nozzle_pressure",
    "pressure_budget",
    "pressure_profile",
    "printable_region",
    "read_against_predicted",
    "region_contents",
    "residuals",
    "speeds_read",
    "stack_height",
    "subtitle_of",
    "water_stress",
    "zone_words",
]
