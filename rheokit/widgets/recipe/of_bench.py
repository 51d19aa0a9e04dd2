"""What the readings of a folder tell of a number that is nobody's property of the paste: offered below the empty field, never put into it."""

from contextlib import suppress

from ...errors import DataError
from ...workbook import ASKED, Assumed
from .asking import hint_of

OFFERED = "{hint}. From the readings: {number}, {origin}; type it if the batch is that one"


def offer(panels, workbook):
    """Offer water and yield stress of the paste that was tested for the batch that there is."""
    known = {}
    with suppress(DataError):  # readings that cannot be read are told by the page of the fit
        if (water := workbook.read.known.get("water_content")) is not None:
            known["water_in_it"] = water
    with suppress(DataError):
        if (fit := workbook.fit).tells("yield_stress"):
            value, limits = float(fit.law.yield_stress), fit.limits("yield_stress")
            known["yield_stress_now"] = Assumed(value, None, "of the fitted law", limits)
    recipe, said = panels[0], {}
    for key, one in known.items():
        entry = ASKED[recipe.table][key]
        said[key] = OFFERED.format(hint=hint_of(key, entry), number=one.written_as(entry), origin=one.origin)
    recipe.offered = said
