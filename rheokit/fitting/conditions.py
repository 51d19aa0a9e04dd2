"""One fit is of a paste in one condition, or of a law that depends on what differs: water content, age, temperature.

What a law has no parameter for must be alike, since a difference would pass for spread from batch to batch. What it has one for must be
known of every test, differ, and move apart from its other conditions: else nothing tells one effect from the other, and the
refusal names the reading that would.
"""

from itertools import combinations
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..laws import LAWS
from ..laws.condition_words import CONDITIONS, in_words
from ..nomenclature import between, number, written

WATER = 0.02, 0.01  # share of the water content, and least, by which batches may differ; common practice, no source
AGE = 1.5  # factor; common practice, no source
TEMPERATURE, DRIFT = 2.0, 5.0  # K between tests, and within the rows of one; common practice, no source
APART = 0.05
"""Least over greatest singular value of the usual effects of conditions, below which they move together: two with a correlation of
0.995."""
MAKES = {
    "temperature": "rk.heated({}, reference_temperature={})",
    "water_content": "rk.watered({}, reference_water={})",
    "age": "rk.aged({}, reference_age={})",
}
MOSTLY = 0.5  # of the squares of an effect that another one has in common, from which a reading that parts them tells the most
KEPT = "water_content"  # the condition that a suggested reading keeps, where another one may be chosen


class Known(NamedTuple):
    """What is known of the conditions of one test: its name, by test and by batch, and values by condition."""

    test: str
    batch: str
    of_bench: bool
    values: dict

    def name(self, condition):
        """Return what to call it beside one of its conditions: that of its batch, or its own."""
        return self.batch if self.of_bench and condition != "temperature" else self.test

    def ends(self, condition):
        """Return the least and the greatest value of a condition; None where it is not known."""
        value = self.values.get(condition)
        return None if value is None else (float(np.min(value)), float(np.max(value)))

    def said(self, conditions):
        """Return its conditions in words."""
        return ", ".join(in_words(name, *self.ends(name)) for name in conditions)


def check(law_class, tests, benches, fixed=()):
    """Refuse tests of different water content, age or temperature, as far as the law does not depend on it, and such as tell it badly.

    What is not stated is not compared, unless the law depends on it.
    """
    known = _known(tests, benches)
    own = [condition for condition, _ in law_class.conditions]
    names = [condition.name for condition in own]
    if faults := _faults([name for name in CONDITIONS if name not in names], known):
        raise DataError(
            f"fit: the readings are not of one condition: {'; '.join(faults.values())}. One flow law is of one condition; fitted "
            "together, the difference would pass for spread from batch to batch. Fit them one by one, or with a law that depends on "
            f"it: {_remedy(law_class, faults, known)}."
        )
    if own:
        _told(law_class, [one for one in own if one.parameter_name not in fixed], names, known)


def differing(law_class, tests, benches):
    """Return the values read of each condition that differs and that the law does not depend on, in SI, by its name."""
    known, own = _known(tests, benches), {condition.name for condition, _ in law_class.conditions}
    faults = _faults([name for name in CONDITIONS if name not in own], known)
    return {name: _values(name, known) for name in faults}


def _values(name, known):
    return np.concatenate([np.ravel(one.values[name]) for one in known if name in one.values])


def _known(tests, benches):
    """Return what is `Known` of each test."""
    found, of = [], {id(test): bench for bench in benches for test in bench.tests}
    for test in tests:
        name = test.name_and_batch
        batch = _name(of[id(test)]) if id(test) in of else name
        own = any(getattr(test, one) is not None for one in CONDITIONS if one != "temperature")
        found.append(Known(name, batch, not own, test.conditions))
    return found


def _name(bench):
    read = bench.specimen
    return f"batch {read.batch}" if read.batch else str(read.date or read.paste or "a bench without a name")


def _remedy(law_class, names, known):
    """Return in words how to make a law that depends on conditions as well, at the middle of what was read."""
    base = law_class.without_conditions()
    words = f"rk.{base.__name__}" if base.name in LAWS else base.__name__
    for condition, reference in law_class.conditions:
        words = MAKES[condition.name].format(words, f"{reference:.5g}")
    for name in names:
        words = MAKES[name].format(words, f"{np.median(_values(name, known)):.5g}")
    return words


# --- what must be alike ---------------------------------------------------------------------------------------------


def _faults(names, known):
    """Return in words what differs, by the name of its condition."""
    return {name: said for name in names if (said := DIFFERS[name](known))}


def _water(known):
    (low, dry), (high, wet) = _ends("water_content", known)
    share, least = WATER
    if high - low <= max(share * high, least):
        return ""
    said = f"water content {number(low, 4)} ({dry}) and {number(high, 4)} ({wet}), water over dry mass"
    return f"{said}, more than {100 * share:g} % of it apart"


def _age(known):
    (low, young), (high, old) = _ends("age", known)
    apart = f"more than a factor {AGE:g} apart"
    return f"age {written(low, 'h')} ({young}) and {written(high, 'h')} ({old}), {apart}" if high > AGE * low else ""


def _temperature(known):
    told = [one for one in known if "temperature" in one.values]
    middles = [(float(np.median(one.values["temperature"])), one.test) for one in told] or [(0.0, "")]
    (low, cold), (high, warm) = min(middles, key=lambda one: one[0]), max(middles, key=lambda one: one[0])
    said = []
    if high - low > TEMPERATURE:
        words = f"temperature {written(low, 'K')} ({cold}) and {written(high, 'K')} ({warm})"
        said.append(f"{words}, more than {TEMPERATURE:g} K apart")
    for one in told:
        least, most = one.ends("temperature")
        if most - least > DRIFT:
            seen = between(least, most, "K")
            said.append(f"temperature {seen} in the rows of {one.test}, more than {DRIFT:g} K apart")
    return "; ".join(said)


DIFFERS = {"temperature": _temperature, "water_content": _water, "age": _age}


def _ends(condition, known):
    """Return (value, name) of the least and of the greatest value that is known; twice 0 where none is."""
    told = [one for one in known if condition in one.values]
    if not told:
        return (0.0, ""), (0.0, "")
    low, high = min(told, key=lambda one: one.ends(condition)[0]), max(told, key=lambda one: one.ends(condition)[1])
    return (low.ends(condition)[0], low.name(condition)), (high.ends(condition)[1], high.name(condition))


# --- what a law depends on ------------------------------------------------------------------------------------------


def _told(law_class, free, names, known):
    """Refuse readings of which a condition of the law is not known, does not differ, or moves together with another one."""
    for name in names:
        words = name.replace("_", " ")
        if lacking := [one.test for one in known if name not in one.values]:
            raise DataError(
                f"fit: the {law_class.name} law depends on the {words}, which is not known of {_some(lacking)}; state it of the specimen, or "
                f"as the column {words} of the record."
            )
        if name == "age" and (young := [one.test for one in known if one.ends(name)[0] <= 0]):
            raise DataError(
                f"fit: the age of {_some(young)} is 0; a power of the age needs ages above 0, counted from mixing."
            )
    for condition in free:
        (low, _), (high, _) = _ends(condition.name, known)
        if high <= low * (1 + 1e-9):
            words, parameter = condition.name.replace("_", " "), condition.parameter_name
            raise DataError(
                f"fit: every reading is at {in_words(condition.name, low, low)}, so that nothing tells the {parameter.replace('_', ' ')}; read "
                f"at another {words} too, or state it: fixed={{{parameter!r}: ...}}."
            )
    points = _points([condition.name for condition in free], known)
    for count in range(2, len(free) + 1):
        for some in combinations(range(len(free)), count):
            chosen = [free[place] for place in some]
            if _move_together(law_class, chosen, points):
                raise DataError(_confounded(chosen, points, known))


def _points(names, known):
    """Return the conditions of all readings, an array a name."""
    each = [np.broadcast_arrays(*(np.atleast_1d(one.values[name]) for name in names)) for one in known] if names else []
    return {name: np.concatenate([columns[place] for columns in each]) for place, name in enumerate(names)}


def _move_together(law_class, chosen, points):
    """Say whether the effects of conditions cannot be told apart: a sum of their logarithms with some factors hardly moves."""
    references = {condition.name: reference for condition, reference in law_class.conditions}
    columns = np.column_stack([_effects(one, points, references[one.name]) for one in chosen])
    sizes = np.linalg.svd(columns, compute_uv=False)
    return bool(len(sizes) < len(chosen) or sizes[-1] < APART * sizes[0])


def _effects(condition, points, reference):
    """Return the usual effect of a condition at each point that was read, about their mean, of length 1."""
    stress, rate = condition.factors(points[condition.name], reference, condition.parameter.size)
    places = np.unique(np.column_stack(list(points.values())), axis=0, return_index=True)[1]
    column = np.broadcast_to(np.log(stress) + np.log(rate), points[condition.name].shape)[places]
    return (column - column.mean()) / max(np.linalg.norm(column - column.mean()), 1e-300)


def parting_reading(law_class, condition, free, tests):
    """Return in words the reading that parts a condition from the one that it mostly moves with; "" where it moves with none."""
    others = [
        (one, at) for one, at in law_class.conditions if one.name != condition.name and one.parameter_name in free
    ]
    points = _points([condition.name, *(one.name for one, _ in others)], _known(tests, []))
    own = _effects(condition, points, {one.name: at for one, at in law_class.conditions}[condition.name])
    together = [(float(own @ _effects(one, points, at)) ** 2, one) for one, at in others]
    most, other = max(together, key=lambda pair: pair[0], default=(0.0, None))
    if most < MOSTLY:
        return ""
    reading = _parting([condition, other], points)
    return f"a batch at {reading}, which parts it from the {other.name.replace('_', ' ')}"


def _kept(names):
    return KEPT if KEPT in names else names[0]


def _parting(chosen, points):
    """Return in words the reading that would part conditions that move together."""
    names = [one.name for one in chosen]
    kept = _kept(names)
    moved = next(name for name in names if name != kept)
    at = int(np.argmax(points[kept]))
    there, other = points[kept][at], points[moved][np.argmax(np.abs(points[moved] - points[moved][at]))]
    return f"{in_words(kept, there, there)} tested at {in_words(moved, other, other)}"


def _confounded(chosen, points, known):
    """Return in words that conditions move together, and which reading would part them."""
    names, reading = [one.name for one in chosen], _parting(chosen, points)
    told = "; ".join(dict.fromkeys(f"{one.name(_kept(names))} {one.said(names)}" for one in known))
    effects = " and ".join(one.parameter_name.replace("_", " ") for one in chosen)
    return (
        f"fit: {' and '.join(name.replace('_', ' ') for name in names)} move together ({told}), so that nothing tells {effects} apart. "
        f"A batch at {reading} would part them; or state one of the two, such as fixed={{{chosen[-1].parameter_name!r}: ...}}."
    )


def _some(names):
    names = list(dict.fromkeys(names))
    return " and ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
