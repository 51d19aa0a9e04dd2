"""What the groups of machine and part are called, and how their choices read; no widget."""

from ...part.printing import LONG, RING, STRAIGHT
from ...workbook.asked import AIR, HAND, SCREW

NOZZLE, BARREL, DRIVE, PART, WALLS, ERRORS, FLOW = (
    "Nozzle", "Barrel", "Drive", "Line and speed", "Walls and time", "Errors of hand and machine", "Flow",
)  # fmt: skip
OF_DRIVE = {SCREW: ("torque", "lead", "efficiency"), AIR: ("pressure",), HAND: ("force",)}
PRINTED = "printed"
LENGTH, HALF_ANGLE = "length", "half angle"
MILLIMETRES, SHARE = "mm", "share of the bore"
SHAPES = (STRAIGHT, LONG, RING)
NOT_KNOWN, NOT_SAID = "not known", "not said"
WHENCE = {
    NOT_SAID: "",
    "measured": "measured",
    "read off its label": "table",
    "assumed": "assumed",
    "invented": "invented",
}
"""Where numbers come from, as the page says it, and the word for it of `origins`."""
WHENCE_OF = {
    "machine": "where the numbers of the machine come from",
    "job": "where the numbers of the part come from",
    "recipe": "where the numbers of recipe, shape and drying come from",
}
EXAMPLE = """
[machine]
origin = "invented: the example of this page"
barrel_diameter = "26.7 mm"
fill_length = "60 mm"
plunger_friction = "8 N"
break_loose_friction = "12 N"
pressure_rating = "1000 kPa"
[nozzle]
bore = "1.6 mm"
inlet_diameter = "4 mm"
taper_length = "10 mm"
land_length = "8 mm"
[drive]
kind = "screw"
torque = "0.3 N·m"
lead = "2 mm"
efficiency = 0.25
[job]
kind = "print"
origin = "invented: the example of this page"
[print]
print_speed = "15 mm/s"
layer_height = "1 mm"
line_width = "2 mm"
"""
"""INVENTED: the machine and the part of a page that was given no workbook."""
