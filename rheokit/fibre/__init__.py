"""Heated gels and fibres drawn of them: heat in barrel and needle, setting, drawing, air and bath.

Everything broadcasts: paste, settings and place may be arrays, joint draws of shape (count, 1, 1). Temperatures are in K.
What rests on the air or the bath alone is tabulated once a draw, so that a map costs little more than its places.
"""

from .air import settled_temperature
from .airgap import cooling_time, setting_length, setting_progress, thread_heat_transfer, thread_time_constant
from .bath import bath_length, bath_progress, bath_temperature_left
from .draw import draw_ratio, drum_speed, dry_diameter, dry_section, exit_speed, wet_diameter, winding_speed
from .draw_stability import growth_rate, neutral_draw_ratio
from .evenness import breakup_length, unevenness_gain
from .setting import pause_limit, time_to_set
from .taut import drop_mass, taut_length
from .tension import DrawnLaw, capillary_number, critical_draw_ratio, draw_tension, drawn_law
from .thermal import (
    air_cooled_outlet,
    graetz_length,
    needle_time_constant,
    outlet_temperature,
    soak_time,
    temperature_left,
    time_to_cool,
)

__all__ = [
    "DrawnLaw", "air_cooled_outlet", "bath_length", "bath_progress", "bath_temperature_left", "breakup_length",
    "capillary_number", "cooling_time", "critical_draw_ratio", "draw_ratio", "draw_tension", "drawn_law", "drop_mass",
    "drum_speed", "dry_diameter", "dry_section", "exit_speed", "graetz_length", "growth_rate", "needle_time_constant",
    "neutral_draw_ratio", "outlet_temperature", "pause_limit", "setting_length", "setting_progress", "settled_temperature",
    "soak_time", "taut_length", "temperature_left", "thread_heat_transfer", "thread_time_constant", "time_to_cool",
    "time_to_set", "unevenness_gain", "wet_diameter", "winding_speed",
]  # fmt: skip
