"""Drying of a printed part: how fast the air takes the water, how long that lasts, how unevenly.

Water contents are on the dry basis: water over dry mass.
"""

from .air import (
    CONVECTION,
    RADIATION,
    Evaporation,
    evaporation,
    latent_heat,
    measured_flux,
    room_fluxes,
    saturation_pressure,
    vapour_density,
    weighed_fluxes,
)
from .diffusion import crack_index, cylinder_fourier, cylinder_uptake, exchange_time, slab_average, slab_time
from .stages import (
    WITHIN,
    DryingTimes,
    drying_course,
    drying_times,
    oven_water_content,
    remaining_mass,
    time_under_cover,
)
from .wall import DryingWall

__all__ = [
    "CONVECTION",
    "RADIATION",
    "WITHIN",
    "DryingTimes",
    "DryingWall",
    "Evaporation",
    "crack_index",
    "cylinder_fourier",
    "cylinder_uptake",
    "drying_course",
    "drying_times",
    "evaporation",
    "exchange_time",
    "latent_heat",
    "measured_flux",
    "oven_water_content",
    "remaining_mass",
    "room_fluxes",
    "saturation_pressure",
    "slab_average",
    "slab_time",
    "time_under_cover",
    "vapour_density",
    "weighed_fluxes",
]
