"""The printable region: two things varied, every limit asked at every point, and the probability that all hold."""

from .axes import AXES, Axis, movable, speed_of
from .bands import bands, joined
from .maps import RegionMap, region_map, value_of_axis
from .warned_once import warned_once

__all__ = [
    "AXES",
    "Axis",
    "RegionMap",
    "bands",
    "joined",
    "movable",
    "region_map",
    "speed_of",
    "value_of_axis",
    "warned_once",
]
