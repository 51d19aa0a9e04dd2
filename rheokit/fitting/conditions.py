"""One fit is of a paste in one condition: batches of other water, age or temperature are more than spread."""

import numpy as np

from ..errors import DataError
from ..nomenclature import between, number, written

WATER = 0.02, 0.01  # share of the water content, and least, by which batches may differ; common practice, no source
AGE = 1.5  # factor; common practice, no source
TEMPERATURE, DRIFT = 2.0, 5.0  # K between tests, and within the rows of one; common practice, no source


def check(tests, benches):
    """Refuse tests of different water content, age or temperature, naming what differs; what is not stated is not compared."""
    faults = [*_faults([bench for bench in benches if any(test in bench.tests for test in tests)], tests)]
    if faults:
        raise DataError(
            f"fit: the readings are not of one condition: {'; '.join(faults)}. One flow law is of one condition; fitted "
            "together, the difference would pass for spread from batch to batch. Fit them one by one."
        )


def _faults(benches, tests):
    """Say in words what differs, one thing after the other."""
    (low, dry), (high, wet) = _ends((bench.specimen.water_content, _name(bench)) for bench in benches)
    share, least = WATER
    if high - low > max(share * high, least):
        said = f"water content {number(low, 4)} ({dry}) and {number(high, 4)} ({wet}), water over dry mass"
        yield f"{said}, more than {100 * share:g} % of it apart"
    (low, young), (high, old) = _ends((bench.specimen.age, _name(bench)) for bench in benches)
    if high > AGE * low:
        yield f"age {written(low, 'h')} ({young}) and {written(high, 'h')} ({old}), more than a factor {AGE:g} apart"
    stated = {id(test): bench.specimen.temperature for bench in benches for test in bench.tests}
    own = [stated.get(id(test)) if test.temperature is None else np.median(test.temperature) for test in tests]
    (low, cold), (high, warm) = _ends(zip(own, map(_test_name, tests), strict=True))
    if high - low > TEMPERATURE:
        said = f"temperature {written(low, 'K')} ({cold}) and {written(high, 'K')} ({warm})"
        yield f"{said}, more than {TEMPERATURE:g} K apart"
    for test in tests:
        if test.temperature is not None and np.ptp(test.temperature) > DRIFT:
            seen = between(np.min(test.temperature), np.max(test.temperature), "K")
            yield f"temperature {seen} in the rows of {_test_name(test)}, more than {DRIFT:g} K apart"


def _ends(named):
    """Return (value, name) of the least and of the greatest value that is known; twice 0 where none is."""
    known = [(float(value), name) for value, name in named if value is not None] or [(0.0, "")]
    return min(known, key=lambda one: one[0]), max(known, key=lambda one: one[0])


def _name(bench):
    read = bench.specimen
    return f"batch {read.batch}" if read.batch else str(read.date or read.paste or "a bench without a name")


def _test_name(test):
    return f"{test.name}, batch {test.batch}" if test.batch else test.name
