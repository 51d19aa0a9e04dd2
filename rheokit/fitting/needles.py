"""Whether a bare needle kept the temperature that its readings stand for: while the liquid flowed, and through the rest before a row."""

import numpy as np

from ..checking import Check
from ..fibre.thermal import air_cooled_outlet, needle_time_constant
from ..nomenclature import QUANTITIES, between, written

LOST = 1.0  # K that a flow may lose in a bare needle: by its end 3 to 5 % of the viscosity of a dope; common practice, no source
ABOVE_GEL = 3.0  # K above the gel point, below which a viscosity climbs faster than Arrhenius has it (from memory)
HEAT = 3.6e6  # J/(m3 K), density times heat capacity of a dope; 3.4e6 to 3.9e6 are usual (from memory)
CURE = "Heat the needle, or push faster; purge it after every rest until what comes out is warm, and repeat these rows."


def all_checks(result):
    """Return a row where runs went through a bare needle in the air of a room."""
    bare = [test for test in result.tests if getattr(test, "needle_outer_diameter", None) is not None]
    if not bare:
        return []
    if lacking := [test.name for test in bare if "temperature" not in test.conditions]:
        comment = f"{lacking[0]}: the temperature in the barrel is not known, so that nothing tells what a bare needle lost; state it."
        return [Check("needle keeps its temperature", np.nan, LOST, False, comment)]
    gel, rows, said, most, left_open = _gel_point(result), [], [], 0.0, False
    for test in bare:
        lost = np.abs(_lost(test))
        most, cold = max(most, float(np.max(lost))), lost > LOST
        if cold.any():
            least, worst = float(np.min(lost[cold])), float(np.max(lost))
            about = QUANTITIES["temperature_difference"]
            size = written(worst, about, 2) if np.sum(cold) == 1 else between(least, worst, about, 2)
            said.append(f"{test.name} {test.rows_where(cold)}: the flow lost {size} on its way")
        rested = test.rest is not None and test.rest > 0
        if np.any(rested) and gel is None:
            left_open = True
        elif np.any(rested):
            tip = _rested(test)
            near = rested & (tip < gel + ABOVE_GEL)
            if near.any():
                ends = written(np.min(tip[near]), "K"), written(gel, "K")
                said.append(
                    f"{test.name} {test.rows_where(near)}: a rest cooled the tip to {ends[0]}, with a gel point of {ends[1]}"
                )
            cold = cold | near
        rows += [(result.tests.index(test), int(place)) for place in np.flatnonzero(cold)]
    shown = written(most, "temperature_difference", 2)
    comment = f"The flow lost {shown} at most in a bare needle, and no rest cooled its tip near the gel point."
    if rows:
        comment = f"{'; '.join(said)}. They read as a thicker liquid than that of the barrel. {CURE}"
    elif left_open:
        comment = (
            f"The flow lost {shown} at most in a bare needle. What the rests cooled its tip to is not judged: the gel point is not known; an "
            "inverted tube tells it."
        )
    return [Check("needle keeps its temperature", most, LOST, not rows, comment, tuple(rows))]


def _gel_point(result):
    """Return the gel point that the benches of a fit measure or state [K], the highest of them; None where they do not."""
    found = [(bench.stated() | bench.properties()).get("gel_temperature") for bench in result.benches]
    return max((one.value for one in found if one is not None), default=None)


def _in_barrel(test):
    return np.broadcast_to(test.conditions["temperature"], test.flow_rate.shape)


def _lost(test):
    """Return how many kelvins the flow of each row loses on its way through the needle, shape (N,); all of them where nothing flowed."""
    start, needle = _in_barrel(test), {"outer_diameter": test.needle_outer_diameter, "volumetric_heat": HEAT}
    length = float(sum(np.max(one.length) for one in test.nozzle.segments))
    flow = np.maximum(test.flow_rate, 1e-15)
    return start - air_cooled_outlet(start, test.room_temperature, length=length, flow_rate=flow, **needle)


def _rested(test):
    """Return the temperature of the tip after the rest before each row [K], shape (N,)."""
    needle = {"outer_diameter": test.needle_outer_diameter, "volumetric_heat": HEAT}
    slow = needle_time_constant(bore=float(np.min(test.nozzle.bore)), **needle)
    room = test.room_temperature
    return room + (_in_barrel(test) - room) * np.exp(-test.rest / slow)
