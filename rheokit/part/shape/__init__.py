"""What becomes of a fresh line, wall and bridge under their own weight.

Every function takes floats or arrays that broadcast and returns the same. Yield stresses are static ones in simple
shear, after the actual rest; a uniaxial state yields at √3 of it (von Mises).
"""

from .bridge import SPAN_STIFFNESS, greatest_span, stiff_span, strong_span
from .leaning import (
    GREENHILL,
    INCOMPRESSIBLE_WIDE,
    SHELL,
    effective_modulus,
    ring_buckling_height,
    wall_buckling_height,
)
from .line import line_holding_stress, line_section, line_width, sag_stress, speed_ratio, width_of_flow
from .skin import KOZENY_CARMAN, drainage_speed, skin_time
from .stack import greatest_rise_speed, plastic_height

__all__ = [
    "GREENHILL",
    "INCOMPRESSIBLE_WIDE",
    "KOZENY_CARMAN",
    "SHELL",
    "SPAN_STIFFNESS",
    "drainage_speed",
    "effective_modulus",
    "greatest_rise_speed",
    "greatest_span",
    "line_holding_stress",
    "line_section",
    "line_width",
    "plastic_height",
    "ring_buckling_height",
    "sag_stress",
    "skin_time",
    "speed_ratio",
    "stiff_span",
    "strong_span",
    "wall_buckling_height",
    "width_of_flow",
]
