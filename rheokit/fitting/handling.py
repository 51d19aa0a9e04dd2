"""What the bench's own data say against its readings: grains too large for a passage, more paste pushed than was filled in."""

import numpy as np

from ..bench.measured import SIDES
from ..checking import Check
from ..machine.cautions import CAUTIONS
from ..machine.extruder import OF_THE_RATING, UNRATED
from ..nomenclature import number, with_decimals, written

SMALL_IN_BORE, LARGEST_IN_BORE = 5.0, 3.0  # least bore over d90, and over the largest grain; common practice, no source
SMALL_IN_GAP = 5.0  # least gap, or thickness of a layer, over the largest grain; common practice, no source
UNRATED_WORDS = (
    " No pressure_rating of what held it is stated, by which this could be judged: write what is printed on the barrel in its apparatus in bench.toml, "
    'such as pressure_rating = "600 kPa".'
)
USUAL_FILL = (0.5, 15.0)  # fill length over barrel diameter; common practice, no source
OVERFILL = 1.10  # volume caught or pushed over that filled in, which rounding and a nominal bore explain


def all_checks(result):
    """Return the rows that can be asked."""
    return [*grains(result), *volumes(result), *fills(result)]


def caution(result):
    """Return the caution of readings at a pressure that the barrel must not bear: no failed check, for the numbers stand; or ""."""
    found = [  # with the friction as stated or as fitted, whichever leaves more
        (test, np.maximum(test.pressures({}), test.pressures(result.nuisance)))
        for test in result.tests
        if test.nozzle is not None
    ]
    over = [(np.max(pressure), test, pressure) for test, pressure in found if np.max(pressure) > _allowed(test)]
    if not over:
        return ""
    over.sort(key=lambda one: -one[0])
    told = [
        f"{test.name}{f' of batch {test.batch}' if test.batch else ''} was read at up to {written(most, 'Pa')} in the barrel "
        f"({test.rows_where(np.flatnonzero(pressure > _allowed(test)))} above {written(_allowed(test), 'Pa')}{_rated(test)}), "
        f"which asks for a barrel with a printed rating of at least {written(most / OF_THE_RATING, 'Pa')}"
        for most, test, pressure in over
    ]
    unrated = UNRATED_WORDS if any(test.pressure_rating is None for _, test, _ in over) else ""
    return f"{'; '.join(told)}.{unrated} {CAUTIONS['barrel']}"


def _rated(test):
    return "" if test.pressure_rating is None else f", half its rating of {written(test.pressure_rating, 'Pa')}"


def _allowed(test):
    return UNRATED if test.pressure_rating is None else OF_THE_RATING * test.pressure_rating


def grains(result):
    """Are grains small against bores and gaps, by the bench's own sieving?"""
    measured = [bench.properties() for bench in result.benches]
    small, largest = (
        max((found[name] for found in measured if name in found), key=lambda one: one.value, default=None)
        for name in ("grain_size", "largest_grain")
    )
    asked = [(test, *test.passage) for test in result.tests if test.passage is not None]
    if (small is None and largest is None) or not asked:
        return []
    found = []
    for test, words, width, is_bore in asked:
        wanted = [(SMALL_IN_BORE, small, "d90"), (LARGEST_IN_BORE, largest, "largest grain")] if is_bore else [
            (SMALL_IN_GAP, largest or small, "largest grain" if largest else "d90")
        ]  # fmt: skip
        for factor, grain, name in wanted:
            if grain:
                size, side = grain.value, f" {SIDES[grain.side]}" if grain.side else ""
                said = f"{words} {written(width, 'm')} is {number(width / size, 2)} times the {name} of{side} {written(size, 'm')}"
                found.append(
                    (width / size / factor, f"{test.name}: {said}, at least {with_decimals(factor)} are wanted")
                )
    found.sort(key=lambda one: one[0])
    worst, wrong = found[0][0], [told for margin, told in found if margin < 1]
    comment = f"{'; '.join(wrong[:3] or [found[0][1]])}."
    if wrong:
        comment += (
            " Grains then arch or carry the load, and the reading is theirs, not the paste's: sieve finer, or take a wider bore "
            "or a thicker layer."
        )
    return [Check("grains small against bores and gaps", worst, 1.0, not wrong, comment)]


def volumes(result):
    """Was no more paste pushed out than was filled in?

    Each row alone: flow times the time since its speed was set. Rows of several fills may stand in one record, so they are
    not added up.
    """
    timed = [test for test in result.tests if test.extruder is not None and test.time is not None]
    rows, told = [], []
    for test in timed:
        filled = float(test.extruder.area * np.max(test.extruder.fill_length))
        pushed = np.asarray(test.flow_rate * test.time)  # by the time a row was read, since its speed was set
        for row in np.flatnonzero(pushed > OVERFILL * filled):
            rows.append((result.tests.index(test), int(row)))
            said = f"{written(float(pushed[row]), 'm³')} pushed of {written(filled, 'm³')} filled in"
            told.append(f"{test.name} {test.rows_where(row)}: {said}")
    if not timed:
        return []
    comment = "Every row was read before the paste that was filled in had been pushed out."
    if rows:
        comment = (
            f"{'; '.join(told[:4])}{f'; and {len(rows) - 4} more' if len(rows) > 4 else ''}. Check fill length (mm or cm), barrel diameter, "
            "flow and times; a fill stated too short hides barrel drag in the yield stress."
        )
    return [Check("no more pushed than filled in", len(rows), 0, not rows, comment, tuple(rows))]


def fills(result):
    """Is a barrel filled to a length as usual for its diameter?

    A fill of 5 mm for 55 mm, or a barrel of 2.67 mm for 26.7 mm, is seen here; a slip by less than that is not.
    """
    found = {}
    for test in result.tests:
        extruder = test.extruder
        if extruder is not None and np.max(extruder.fill_length) > 0:
            sizes = float(np.max(extruder.fill_length)), float(extruder.barrel_diameter)
            found.setdefault(sizes, test)
    if not found:
        return []
    low, high = USUAL_FILL
    length, barrel = max(found, key=lambda sizes: abs(np.log(sizes[0] / sizes[1] / np.sqrt(low * high))))
    ratio = length / barrel
    passed = bool(low <= ratio <= high)
    comment = (
        f"{found[length, barrel].name}: fill of {written(length, 'm')} in a barrel of {written(barrel, 'm')}, "
        f"{number(ratio, 2)} diameters; {with_decimals(low)} to {with_decimals(high)} are usual."
    )
    if not passed:
        comment += (
            " Is the fill length, or the barrel diameter, off by ten? What drag the fill does not explain is read as yield "
            "stress."
        )
    return [
        Check("fill as usual for the barrel", ratio, f"{with_decimals(low)} to {with_decimals(high)}", passed, comment)
    ]
