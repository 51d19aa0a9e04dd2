"""What starts the flow, in words: it needs no job."""

from ...nomenclature import with_limits
from .words import limits_of


def start_words(extruder, paste, drawn=None):
    """Return in words what starts the flow, which needs no job; with 95 % limits where both are `drawn` as well."""
    force, pressure = (quantity((extruder, paste)) for quantity in (_force, _pressure))
    least = "at least " if getattr(force, "reason", "") else ""
    if not pressure > 0:
        known = f"{least}{_limited(force, _force, drawn, 'N')} on the plunger" if force > 0 else "which is not known"
        return f"The law has no yield stress: to start it nothing but the friction of the plunger must be overcome, {known}."
    pushed = f"To start it takes {least}{_limited(force, _force, drawn, 'N')} on the plunger"
    return f"{pushed}, {_limited(pressure, _pressure, drawn, 'Pa')} in the paste."


def _limited(value, quantity, drawn, unit):
    value = float(value)
    return with_limits(value, *(limits_of(quantity, drawn) or (value, value)), unit)


def _force(known):
    extruder, paste = known
    return extruder.start_force(paste.law, paste.static_ratio * paste.law.yield_stress)


def _pressure(known):
    extruder, paste = known
    return extruder.start_pressure(paste.law, paste.static_ratio * paste.law.yield_stress)
