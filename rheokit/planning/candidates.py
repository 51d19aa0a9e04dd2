"""Which readings could be taken next: those that the bench at hand and a few cheap tests allow.

Each is a record as it would be read, with the reading that the fitted law gives: slower, faster or once more on an apparatus that was read,
through a land of another length, by a test of the yield stress that was not made, at another temperature, water content or age,
of a batch more, which cannot be foretold before three were read.
How long a reading takes and how it scatters where no record of its kind says so is common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from ..bench import BenchTest
from ..bench.base import quantity_of
from ..bench.run import Run
from ..fitting import FitResult
from ..flow.nozzles import Cylinder, Nozzle
from ..inputs import trusted
from ..nomenclature import written
from .candidate import (
    NEAR,
    Candidate,
    as_legible,
    cautions_of,
    foretold,
    has_rates,
    one_row,
    rates_of,
    shows_of,
    too_hard,
)
from .reading_advice import FEW_BATCHES
from .tests_not_made import curves, yield_tests

SLOWER, FASTER = 1 / 3, 3.0  # of the slowest and the fastest flow read
LONGER = 2.0  # times the land that was read
WIDER = 0.25  # of the range of a condition, that another reading lies beyond its end
HOTTEST, COLDEST = 333.15, 278.15  # K, of a bench; hotter it burns, see the cautions
BATCH_MINUTES, CONDITION_MINUTES = (
    60.0,
    20.0,
)  # to mix a batch, to bring paste and apparatus to another condition; common practice, no source
NEW_BATCH = "a batch more"
ENOUGH_BATCHES = 3  # batches read, from which one more can be foreseen: of two the spread is as good as unknown
REPEAT = "repeat"


def candidates_of(fit: FitResult, batch: str = "median") -> list[Candidate]:
    """Return the readings that could be taken next for a fit; those of a batch more where the next batch is asked about."""
    found: list[Candidate] = []
    with trusted(), np.errstate(all="ignore"):
        for template in _templates(fit):
            found += _at_other_flows(fit, template) if has_rates(fit, template) else [_again(fit, template)]
            found += [*_other_lands(fit, template), *_other_conditions(fit, template)]
        found += yield_tests(fit)
        found += _another_batch(fit)
        found += curves(fit)
    return _once_each(found)


def as_candidates(fit: FitResult, given: Iterable[Any]) -> list[Candidate]:
    """Return what a person gave as candidates: records, sequences of records taken together, or candidates."""
    found = []
    for one in given:
        tests = (one,) if isinstance(one, BenchTest) else one
        if isinstance(one, Candidate):
            found.append(one)
        elif (
            isinstance(tests, tuple | list)
            and tests
            and all(isinstance(test, BenchTest) and not test.gives for test in tests)
        ):
            minutes = sum(test.usual_minutes * len(test.readings) for test in tests)
            name = " and ".join(dict.fromkeys(test.name for test in tests))
            found.append(Candidate(name, tuple(tests), minutes, shows_of(fit, tests[0]), cautions_of(fit, tests, name)))
        else:
            raise TypeError(
                "next_reading: a candidate is a record such as rk.LoadedPlate(...), a tuple of records that are read together, or a "
                f"Candidate; {type(one).__name__} is none."
            )
    return found


# --- on what was read -------------------------------------------------------------------------------------------------------


def _templates(fit: FitResult) -> list[BenchTest]:
    """Return one record of each apparatus, of the last batch; of several runs that with the slowest reading, and of each land one."""
    last = fit.problem.batches[-1] if fit.problem.batches else None
    found: dict[tuple, BenchTest] = {}
    for test in fit.tests:
        if last is not None and test.batch != last:
            continue
        key = test.kind, test.apparatus_name
        if key not in found or _slowest(fit, test) < _slowest(fit, found[key]):
            found[key] = test
    return list(found.values())


def _slowest(fit, test):
    return float(np.min(rates_of(fit, test), initial=np.inf))


def _setting(test: BenchTest) -> str:
    """Return the column that is set where a test has rates; "" where another one than a flow is."""
    if isinstance(test, Run):
        return test.drives if test.read == "flow_rate" else "flow_rate"
    return "shear_rate" if "shear_rate" in test.columns else ""


def _at_other_flows(fit, test):
    """Return a slower and a faster reading on an apparatus, and its slowest once more."""
    name, rates = _setting(test), np.ravel(test.shear_rates(test.at_its_condition(fit.law)))
    if not name or len(rates) != len(test.readings):
        return [_again(fit, test)]
    slow, fast = int(np.nanargmin(rates)), int(np.nanargmax(rates))
    found = [_named(fit, REPEAT, foretold(fit, one_row(test, slow)), name)]
    for word, row, factor in (("slower", slow, SLOWER), ("faster", fast, FASTER)):
        other = _flowing(fit, test, row, name, factor)
        if other is not None and not too_hard(fit, foretold(fit, other)):
            found.append(_named(fit, word, foretold(fit, other), name))
    return found


def _flowing(fit, test, row, name, factor):
    """Return a row of a record at so many times its flow; None where what drives it cannot be set for that."""
    if not isinstance(test, Run) or test.read != "flow_rate":
        return one_row(test, row, **{name: np.array([getattr(test, name)[row] * factor])})
    one = one_row(test, row)
    law = one.at_its_condition(fit.problem.law(fit.minimum.theta))
    flow = test.flow_rate[row] * factor
    drive = np.ravel(one.reading_at(one.channel(fit.nuisance).pressure_drop(law, np.array([flow])), fit.nuisance))
    if not (np.isfinite(drive).all() and abs(drive[0] / getattr(test, name)[row] - 1) > NEAR):
        return None
    return replace(one, flow_rate=np.array([flow]), **{name: drive})


def _again(fit, test):
    return _named(fit, REPEAT, foretold(fit, one_row(test, 0)), "")


def _named(fit, word, test, setting):
    at = f" at {written(float(getattr(test, setting)[0]), quantity_of(test, setting))}" if setting else ""
    lead = f"{word} reading: " if word != REPEAT else "repeat: "
    name = f"{lead}{test.name}{at}"
    shows = "" if word == REPEAT else shows_of(fit, test)
    return Candidate(name, (test,), test.usual_minutes, shows, cautions_of(fit, (test,), name))


def _other_lands(fit, test):
    """Return the slowest reading through a land of twice the length, where one length of a bore was read alone."""
    if not isinstance(test, Run) or not isinstance(test.nozzle.segments[-1], Cylinder):
        return []
    land = test.nozzle.segments[-1]
    same = [
        one.nozzle.segments[-1].length
        for one in fit.tests
        if isinstance(one, Run)
        and isinstance(one.nozzle.segments[-1], Cylinder)
        and np.isclose(one.nozzle.bore, land.diameter, rtol=NEAR)
    ]
    if np.max(same) > 1.2 * np.min(same):
        return []
    length = float(land.length * LONGER)
    if too_hard(fit, foretold(fit, _through(test, _slow_row(fit, test), length))):
        length = float(land.length / LONGER)
    other = foretold(fit, _through(test, _slow_row(fit, test), length))
    shows = "a wrong loss at the entry, or slip along the wall, which one length takes for the paste"
    name = f"second land: {test.name} through {written(length, 'm')}"
    return [Candidate(name, (other,), test.usual_minutes, shows, cautions_of(fit, (other,), name))]


def _slow_row(fit, test):
    rates = np.ravel(test.shear_rates(test.at_its_condition(fit.law)))
    return int(np.nanargmin(rates)) if len(rates) == len(test.readings) else 0


def _through(test, row, length):
    """Return a row of a run as if it were read through a land of another length [m]."""
    nozzle = Nozzle(*test.nozzle.segments[:-1], replace(test.nozzle.segments[-1], length=length))
    changed = {"extruder": replace(test.extruder, nozzle=nozzle)} if test.extruder is not None else {"nozzle": nozzle}
    return replace(one_row(test, row), **changed)


def _other_conditions(fit, test):
    """Return readings at a colder and a hotter temperature, or another water content or age, of a law that depends on it."""
    found = []
    for name, (low, high) in fit.condition_ranges.items():
        known = np.ravel(test.conditions.get(name, np.nan))
        if not np.isfinite(known).all():
            continue
        row = int(np.argmax(known)) if len(known) > 1 else 0
        for end, side in ((low, -1), (high, 1)):
            value = end + side * WIDER * (high - low)
            if name == "temperature":
                value = float(np.clip(value, min(COLDEST, low), max(HOTTEST, high)))
            if value <= 0 or abs(value - end) < 1e-3 * (high - low):
                continue
            one = as_legible(one_row(test, row, **{name: np.array([value])}), _least_amount(test))
            other = foretold(fit, replace(one, of_specimen={k: v for k, v in one.of_specimen.items() if k != name}))
            words = f"other {name.replace('_', ' ')}: {test.name} at {written(value, quantity_of(other, name))}"
            shows = f"an effect of the {name.replace('_', ' ')} that is not as the law has it"
            more = BATCH_MINUTES if name == "water_content" else CONDITION_MINUTES
            found.append(
                Candidate(words, (other,), test.usual_minutes + more, shows, cautions_of(fit, (other,), words))
            )
    return found


def _least_amount(test):
    """Return the smallest standard uncertainty that a record states of its readings, in the unit read; infinite where it states none."""
    return np.inf if test.reading_errors is None else float(np.min(test.reading_errors))


# --- of a batch more --------------------------------------------------------------------------------------------------------


def _another_batch(fit):
    """Return the readings of the last batch on a batch more, all of them and its test of the yield stress alone."""
    batches = fit.problem.batches
    last = [test for test in fit.tests if not batches or test.batch == batches[-1]]
    few = len(batches) < ENOUGH_BATCHES
    alone = [] if few or len(last) == 1 else [((test,), test.kind) for test in last]
    found = []
    for tests, words in ((last, "all its tests"), *alone):
        made = tuple(foretold(fit, _of_new_batch(test)) for test in tests)
        minutes = BATCH_MINUTES + sum(test.usual_minutes * len(test.readings) for test in made)
        shows = (
            "batches that lie farther apart than those that were read"
            if batches
            else "how far a batch lies off: one alone was read"
        )
        untold = FEW_BATCHES if few else ""
        name = f"{NEW_BATCH}: {words}"
        found.append(Candidate(name, made, minutes, shows, cautions_of(fit, made, name), untold))
    return found


def _of_new_batch(test):
    gone = {name: None for name in ("time", "run_order") if getattr(test, name) is not None}
    return replace(test, **gone, batch=NEW_BATCH, origin=None, censored=np.zeros(len(test.readings), int))


def _once_each(found: list[Candidate]) -> list[Candidate]:
    """Return candidates of different names."""
    return list({one.name: one for one in found}.values())


__all__ = ["Candidate", "as_candidates", "candidates_of"]
