"""What is recorded: its words, and its unit in the file and on the page."""

from types import MappingProxyType

from ...planning import predicted as of
from ..entry import Entry

NUMBERS = MappingProxyType({
    of.FORCE: Entry("force on the plunger while it runs", "N", 0.001, 1e5, 60.0),
    of.START: Entry("greatest force on the plunger when it starts after its rest", "N", 0.001, 1e5, 60.0),
    of.WIDTH: Entry("width of a fresh line", "mm", 0.001, 1000.0, 2.0),
    of.HEIGHT: Entry("height at which the part leans or its foot yields", "mm", 0.01, 10000.0, 20.0),
    of.DRY_LENGTH: Entry("length of the dry part, drawn by the factor of notebook 4", "mm", 0.01, 10000.0, 40.0),
    of.DRY_HEIGHT: Entry("height of the dry part, drawn by the factor of notebook 4", "mm", 0.01, 10000.0, 20.0),
    of.WET_THREAD: Entry("diameter of the thread as it is wound", "mm", 1e-4, 100.0, 0.3),
    of.DRY_THREAD: Entry("diameter of the dry thread", "mm", 1e-4, 100.0, 0.2),
})  # fmt: skip
"""Quantities that are a number, each with its unit, and bounds of what can be observed in that unit."""

CLAIMS = MappingProxyType({
    of.PRINTED: "it prints within every limit that was judged",
    of.DRAWN: "it is drawn within every limit that was judged",
})  # fmt: skip
"""What comes true, or does not."""

QUANTITIES = (*NUMBERS, *CLAIMS)


def unit_of(quantity: str) -> str:
    """Return the unit of a quantity in the file, "-" of a probability."""
    return NUMBERS[quantity].unit if quantity in NUMBERS else "-"


def words_of(quantity: str) -> str:
    """Return what a quantity is, in words."""
    return NUMBERS[quantity].words if quantity in NUMBERS else CLAIMS[quantity]
