"""Which readings of a test are bounds and no numbers, in words, with the reason; and numbers that lie far beyond a bound of the same test."""

import numpy as np

from ..nomenclature import capital, written
from .base import BenchTest, quantity_of
from .measured import SIDES

APART = 2.0  # times a bound, from which a number of the same test speaks against it; common practice, no source
OTHER_COLUMNS = ("time", "run_order", "run")  # which are no settings


def bounds_told(test: BenchTest) -> list[tuple[int, str]]:
    """Return the place of each reading that is a bound, and what it counts as, in words with the reason.

    Parameters
    ----------
    test : BenchTest

    Returns
    -------
    told : list of (int, str)
        Such as ``(1, "at most 6.5 mm, below 7.62 mm, the least that this test tells as a number; of the static yield stress")``.
    """
    unit, (low, high), (side, limit) = quantity_of(test, test.reads).unit, test.window, test.bounds
    found = []
    for row in np.flatnonzero(side):
        end, which = (low, "below {}, the least") if side[row] < 0 else (high, "above {}, the most")
        why = f"{which.format(written(end, unit))} that this test tells as a number"
        if test.censored[row]:
            why = "as typed"
        static = "; of the static yield stress" if test.static_rows[row] and test.state != "static" else ""
        found.append((int(row), f"{SIDES[int(side[row])]} {written(limit[row], unit)}, {why}{static}"))
    return found


def window_told(test: BenchTest) -> str:
    """Return in a sentence between which readings a test tells a number, a reading beyond being a bound, or that it has no window."""
    (low, high), unit = test.window, quantity_of(test, test.reads).unit
    if low <= 0 and not np.isfinite(high):
        return "No window is set for the readings of this test: none counts as a bound by its size."
    ends = ([f"from {written(low, unit)}"] if low > 0 else []) + (
        [f"to {written(high, unit)}"] if np.isfinite(high) else []
    )
    return f"The formula of this test holds for readings {' '.join(ends)}; one beyond counts as a bound."


def beyond_bounds(test: BenchTest) -> str:
    """Return in a sentence that repeats of one test lie far beyond a bound among them; "" where none does, or rows differ in a setting."""
    (side, limit), about = test.bounds, quantity_of(test, test.reads)
    if {*test.columns} - {test.reads, *OTHER_COLUMNS}:
        return ""
    numbers = side == 0
    for sign, tightest, farthest in ((-1, np.argmin, np.argmax), (1, np.argmax, np.argmin)):
        bounds = side == sign
        if not (numbers.any() and bounds.any()):
            continue
        bound = np.flatnonzero(bounds)[tightest(limit[bounds])]
        number = np.flatnonzero(numbers)[farthest(limit[numbers])]
        if -sign * np.log(limit[number] / limit[bound]) > np.log(APART):
            return (
                f"{capital(test.name)}: {test.rows_where(number)} reads {written(limit[number], about)} where {test.rows_where(bound)} says "
                f"{SIDES[sign]} {written(limit[bound], about)}: repeats of one paste should lie nearer together, so look for the reason"
            )
    return ""
