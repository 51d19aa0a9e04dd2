"""What to do next: the window of one axis, the widest margin, what better measurements would change, what stands, the first tests."""

from .chances import ALL, BATCH, LAW, LIKELY, chance, in_a_word, in_words, what_if
from .feels import FEELS, LIQUIDS
from .fibre_way import FibreWay, fibre_way
from .first_tests import first_tests
from .margins import widest_margin
from .next_reading import next_reading
from .ranked_readings import NextReading
from .standing import Standing, leaned
from .stock import NozzleAdvice, nozzle_advice
from .winding import Winding
from .windows import Window, window

__all__ = [
    "ALL",
    "BATCH",
    "FEELS",
    "LAW",
    "LIKELY",
    "LIQUIDS",
    "FibreWay",
    "NextReading",
    "NozzleAdvice",
    "Standing",
    "Winding",
    "Window",
    "chance",
    "fibre_way",
    "first_tests",
    "in_a_word",
    "in_words",
    "leaned",
    "next_reading",
    "nozzle_advice",
    "what_if",
    "widest_margin",
    "window",
]
