"""The sections of an appendix, one file each, in the order in which they are read.

A section is a module with a `TITLE` and a function ``section(study)`` that returns a `Section`, or None where it has nothing to
say of this workbook. `study` is a `Study`. What it cannot say raises `DataError` and stands in its place as "Not known: ...", so no
section can keep the others from being made. What one knows in part it says, and names what the rest needs.

What holds for all of them: text is text, and no markup; a caption stands alone (which paste, invented or not, how many readings,
which interval); numbers in a table are `cells` of the unit in their heading, or beside a column of units; a figure has its
numbers in words; nothing rests on the place of the folder, the clock or the order of a set, so that two runs give the same. No
statistics and no physics are computed here: a section asks the rooms below.

To add one, write its file, and name it in `ORDER` where it is to be read.
"""

from importlib import import_module
from types import ModuleType

ORDER = (
    "summary",
    "material",
    "apparatus",
    "protocol",
    "readings",
    "corrections",
    "model",
    "estimates",
    "residuals",
    "checks",
    "validity",
    "forces",
    "limits",
    "region",
    "part",
    "fibre",
    "uncertainty_budget",
    "next_reading",
    "independent",
    "outcomes",
    "unmeasured",
    "assumed",
    "cautions",
    "environment",
    "symbols",
    "sources",
    "statements",
)
"""Modules of this folder, first to last."""


def modules() -> list[ModuleType]:
    """Return the modules of all sections, first to last."""
    return [import_module(f"{__name__}.{name}") for name in ORDER]
