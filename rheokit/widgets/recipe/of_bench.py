"""What the readings of a folder tell of a number that is nobody's property of the paste: offered below the empty field, never put into it."""

from contextlib import suppress

from ...errors import DataError
from ...nomenclature import with_unit
from ...workbook.asked import ASKED
from ..page.typed_numbers import plain
from .asking import hint_of

OFFERED = "{hint}. From the readings: {number} ({origin}); type it if the batch is that one"


def offer(panels, workbook):
    """Offer water and yield stress of the paste that was tested for the batch that there is."""
    known = {}
    with suppress(DataError):  # readings that cannot be read are told by the page of the fit
        if (water := workbook.read.known.get("water_content")) is not None:
            known["water_in_it"] = water.value, water.origin
    with suppress(DataError):
        if (fit := workbook.fit).tells("yield_stress"):
            known["yield_stress_now"] = float(fit.law.yield_stress), "of the fitted law"
    recipe, said = panels[0], {}
    for key, (value, origin) in known.items():
        entry = ASKED[recipe.table][key]
        number = with_unit(plain(entry.from_si(value), 3), entry.unit)
        said[key] = OFFERED.format(hint=hint_of(key, entry), number=number, origin=origin)
    recipe.offered = said
