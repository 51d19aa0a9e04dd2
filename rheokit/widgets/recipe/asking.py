"""What the panels of the recipe ask: their fields of the entries of a plan, what is said below an empty one, and how they are laid out."""

from ...nomenclature import numbers, with_unit
from ...workbook.asked import ASKED

NOT_KNOWN = "Not known"
WRAPS = """<style>
.wraps .beside-main .number-field:not(.sliding-number) .widget-label,
.wraps .beside-others .number-field .widget-label { width: auto !important; flex: 1 1 0; min-width: 0; }
.wraps .beside-main .number-field:not(.sliding-number) input,
.wraps .beside-others .number-field input { flex: 0 0 104px; width: 104px; }
.wraps .beside-others .grid-row input { padding: 0 4px; }
.wraps .beside-others .grid-head p { font-size: 12px; line-height: 1.25; overflow-wrap: anywhere; }
.rheokit-page.projector .wraps .beside-others .grid-head p { font-size: var(--text); }
</style>"""
"""Labels too long for their column go on below."""


HINTS = {  # of what other pages compute with a usual number, or for something else
    "static_ratio": "Not known; usually 1 to 2.3",
    "air_content": "Not known; spoon-mixed usually 3 to 8",
    "build_up_rate": "Not known; 0 is the safe side",
    "build_up_time": "Not known; 0 with no growth",
    "wall_width": "Not known: the height that stands is not computed",
    "bore": "Not known: bridges are not computed",
    "diffusivity": "Not known: how long it dries is not computed",
}


def asked_of(table, *keys):
    """Return what a panel asks for, by key, of the entries of a table of a plan."""
    entries = {key: ASKED[table][key] for key in keys}
    return {key: (one.label, one.example, one.low, one.high, hint_of(key, one)) for key, one in entries.items()}


def hint_of(key, entry):
    """Return what is said below the field of an entry while it is empty, and nothing counts in its place."""
    return HINTS.get(key, f"{NOT_KNOWN}: {entry.without}")


def limits_in(unit, value, low, high):
    """Return the limits of a value, all in the unit of its field, in words."""
    _, *ends = numbers(value, low, high)
    return with_unit(" to ".join(ends), unit)
