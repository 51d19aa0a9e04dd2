"""Which yield stresses a bench test reads on its usual apparatus, and the law of which its readings are expected."""

from functools import cache

import numpy as np

from ..bench import BenchTest
from ..bench.usual import usual_readings, usual_record
from ..laws.herschel_bulkley import HerschelBulkley

CONSISTENCY, FLOW_INDEX = 0.3, 0.4
"""Of the law that readings are expected of: consistency over yield stress [s^n], flow index [-]. Common practice, no source."""
NARROW = 1e-3  # of ln yield stress, to which the end of a window is looked for


def law_of(yield_stress: float) -> HerschelBulkley:
    """Return a law as pastes of a yield stress [Pa] have it."""
    return HerschelBulkley(yield_stress=yield_stress, consistency=CONSISTENCY * yield_stress, flow_index=FLOW_INDEX)


@cache
def legible(kind: type[BenchTest], low: float, high: float) -> tuple[float, float]:
    """Return the part of a range of yield stresses [Pa] whose usual readings lie in the window; the range from high to low where none does."""

    def inside(yield_stress):
        record = usual_record(kind, found := usual_readings(kind, law_of(yield_stress)))
        return bool(np.all((found >= record.window[0]) & (found <= record.window[1])))

    def last(known, other):
        """Return where between a yield stress inside and another the window ends."""
        if inside(other):
            return other
        while abs(np.log(other / known)) > NARROW:
            middle = float(np.sqrt(known * other))
            known, other = (middle, other) if inside(middle) else (known, middle)
        return known

    known = next((one for one in (low, high, float(np.sqrt(low * high))) if inside(one)), None)
    return (high, low) if known is None else (last(known, low), last(known, high))
