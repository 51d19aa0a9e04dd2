"""What the groups of machine and part are called, and how their choices read; no widget."""

from ...part.printing import LONG, RING, STRAIGHT
from ...workbook.asked import AIR, HAND, SCREW

NOZZLE, BARREL, DRIVE, PART, WALLS, ERRORS = (
    "Nozzle", "Barrel", "Drive", "Line and speed", "Walls and time", "Errors of hand and machine",
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
WHENCE_OF = {"machine": "where the numbers of the machine come from", "job": "where the numbers of the part come from"}
