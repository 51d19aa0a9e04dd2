"""Values so far from any bench that the unit or the row is likely wrong; common practice, no source."""

import numpy as np

from ..nomenclature import ANY, QUANTITIES, between, example, written
from ..things import nearest
from .faults import listed, shown

NEVER_ABOVE = {"slump": "height", "top_diameter": "bottom_diameter"}  # what cannot exceed what


def above(values):
    """Return the names of values that exceed what they cannot exceed."""
    both = [(small, large) for small, large in NEVER_ABOVE.items() if small in values and large in values]
    return [small for small, large in both if values[small] > values[large]]


def doubt(name, value, about=None):
    """Return why an SI value is unlikely under its name, and the remedy; nothing where it is likely or not known.

    `about` is its `Quantity` where a kind of test has one of its own; where that does not say what is likely, the nomenclature does.
    """
    if about is None or about.likely == ANY:
        about = QUANTITIES.get(name)
    if about is None or about.likely == ANY:
        return ""
    low, high = about.likely
    if low <= value <= high:
        return ""
    remedy = f'correct it, or write unusual = ["{name}"] beside it if it is really so'
    return f"is outside {between(low, high, about)}, where {name.replace('_', ' ')} usually lies; is that the unit? {remedy}"


SHARPEST, WIDEST = 1e-9, 0.5
"""Standard uncertainties over their value: nothing on a bench is known better, and beyond half a size it is no size."""


def doubt_spread(name, value, spread):
    """Return why the standard uncertainty of an SI value, if it has one, cannot be, and the remedy; nothing where it can."""
    value = abs(value)
    low, high = QUANTITIES[name].likely if name in QUANTITIES else (0.0, 0.0)
    if not spread:
        return ""
    if spread < SHARPEST * max(value, 1e-6 * high if high < 1e30 else 0.0):
        return "has an uncertainty of less than a billionth; correct it, or leave ± out if it is not known"
    if low > 0 and spread >= WIDEST * value:
        return f"has an uncertainty of {written(spread / value, '%')} of itself; less than {WIDEST:.0%} can be: is its unit right?"
    return ""


def doubt_number(name, value, spread):
    """Return why an SI value or its standard uncertainty is unlikely, and the remedy; nothing where both are likely."""
    return doubt_spread(name, value, spread) or doubt(name, value)


SHARPEST_READING, WIDEST_READING = 1e-9, 1e9  # standard uncertainties over the largest reading that can be meant


def doubt_reading(readings, spread):
    """Return why the standard uncertainty of readings cannot be meant, and the remedy; nothing where it can."""
    largest = 0.0 if readings is None else np.nanmax(np.abs(readings), initial=0.0)
    if not largest or SHARPEST_READING <= spread / largest <= WIDEST_READING:
        return ""
    told = f"{'less than a billionth of' if spread < largest else 'a billion times'} the largest reading"
    return f"is {told}; correct it, or leave it out if it is not known"


def tell_unknown(keys, known, words, place, faults):
    """Add to the faults every key that is not known, with words on what it is not and what there is."""
    for key in keys:
        if key not in known:
            hint = radius_for_diameter(key, known) or f"known are {listed(known)}{nearest(key, known)}"
            faults.add(place, f"{shown(key)} {words}; {hint}")


def radius_for_diameter(name, known):
    """Return what to write where a radius is given for a diameter or the other way round; nothing for other names."""
    if "radius" in name:
        wanted = name.replace("radius", "diameter")
        wanted = wanted if wanted in known else "bore" if "bore" in known else "diameter" if "diameter" in known else ""
        return (
            f"a radius is not read here: write {wanted} and twice the number, such as {wanted} = {example('m')}"
            if wanted
            else ""
        )
    if "diameter" in name and "radius" in known:
        return "a diameter is not read here: write radius and half of the number"
    if "diameter" in name and "bore" in known:
        return f"write bore = {example('m')}: the name of the diameter at the tip"
    return ""
