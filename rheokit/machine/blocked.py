"""What a drive makes in the barrel when the tip is blocked, in words: beside the caution of a screw that holds it, of gas and of a hand."""

import numpy as np

from ..nomenclature import number, written
from .extruder import OF_THE_RATING, UNRATED, Extruder


def when_blocked(extruder: Extruder) -> str:
    """Return in sentences what pressure the drive holds in the barrel when nothing flows, and what the barrel is rated for; "" without a drive.

    Parameters
    ----------
    extruder : Extruder
        Of single numbers.

    Notes
    -----
    The greatest force of the drive over the section of the barrel [Pa]: a balance. The plunger's gliding friction takes its share
    only while it glides forward, so the pressure is told without it and with it, and judged without.
    """
    blocked = extruder.blocked_pressure
    if blocked is None:
        return ""
    most, area, friction = (float(np.max(one)) for one in (blocked, extruder.area, extruder.plunger_friction))
    force, allowed = most * area, float(np.min(extruder.pressure_limit))
    less = max(most - friction / area, 0.0)
    by = (
        "the pressure of its regulator"
        if getattr(extruder.drive, "compressed_gas", False)
        else f"its greatest force of {written(force, 'N')} over the barrel's section of {written(area, 'm²')}; "
        f"{written(less, 'Pa')} where the gliding friction of the plunger, {written(friction, 'N')}, takes its share"
    )
    said = f"If the tip blocks, this drive makes up to {written(most, 'Pa')} in the barrel ({by}). {_rated(extruder, allowed)}"
    return (
        f"{said} That is more than it may bear: limit the drive to {written(allowed * area, 'N')}."
        if 0 < allowed < most
        else said
    )


def _rated(extruder, allowed):
    if extruder.pressure_rating is not None:
        rating = float(np.min(extruder.pressure_rating))
        return f"The barrel's rating, as stated, is {written(rating, 'Pa')}, of which {written(allowed, 'Pa')} ({number(OF_THE_RATING)} of it) may be used."
    most = f"{written(UNRATED, 'Pa')} is the most by screw or hand" if allowed else "no compressed gas may drive it"
    return f"No printed rating of the barrel is stated: without one {most}."
