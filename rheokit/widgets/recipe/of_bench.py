"""What the readings of a folder tell of a number that the page of its recipe asks for: said below the empty field, never put into it."""

from contextlib import suppress

from ...errors import DataError
from ...nomenclature import with_unit
from ...workbook.asked import ASKED
from ..page.typed_numbers import plain
from .desk import hint_of

TOLD = {
    ("recipe", "air_content"): "air_content",
    ("recipe", "water_in_it"): "water_content",
    ("shape", "modulus"): "modulus",
    ("shape", "modulus_water"): "water_content",
    ("drying", "shrinkage_xy"): "shrinkage_xy",
    ("drying", "shrinkage_z"): "shrinkage_z",
}
"""Names of properties of a paste by the table and key of what is asked."""


def say_of_bench(panels, workbook):
    """Say below every empty field what the bench read of it, and of what it is the value."""
    places = {(panel.table, key): field for panel in panels for key, field in panel.fields.items()}
    empty = {place: places[place] for place in TOLD if not places[place].holds}
    with suppress(DataError):  # a bench that cannot be read is told by the page of the fit
        known = _known(workbook.bench) if empty else {}
        for place, field in empty.items():
            if (name := TOLD[place]) in known:
                entry, (value, origin) = ASKED[place[0]][place[1]], known[name]
                number = with_unit(plain(entry.from_si(value), 3), entry.unit)
                field.say_while_empty(f"{hint_of(entry)}. From the bench: {number} ({origin}); type it to use it")


def _known(bench):
    """Return value [SI] and origin by name; no modulus that holds for the wall alone that leaned."""
    stated = {name: getattr(bench.specimen, name, None) for name in ("air_content", "water_content")}
    known = {name: (value, "stated of the specimen") for name, value in stated.items() if isinstance(value, float)}
    read = bench.properties()
    known |= {name: (one.value, one.origin) for name, one in read.items() if one.side == 0}
    if "lean_factor" in known:
        known.pop("modulus", None)
    return known
