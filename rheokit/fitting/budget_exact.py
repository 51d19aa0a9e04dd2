"""What the numbers that a fit takes as exact would move: dimensions and settings without an uncertainty of their own.

A budget can hold only what somebody stated or assumed to be uncertain. What stands as one number, such as the mass of a cone or the speed of
a screw, brings nothing to it; so it is told how far the answer would move if such a number were 1 % more (a temperature 1 K), all readings
staying as they are and all parameters fitted anew, to first order.
"""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from ..bench.base import quantity_of
from ..errors import DataError
from ..flow.nozzles import Cylinder, Nozzle
from ..inputs import trusted
from ..laws.condition_words import CONDITIONS
from ..nomenclature import QUANTITIES, Quantity
from . import apparatus

MORE = 1 + 1e-4  # times a number, for its derivative
KELVIN = 1e-2  # more of a temperature, for the same
NOT_SET = {"time", "stroke", "run_order", "run", "rest", *CONDITIONS}  # columns that are no setting of the apparatus
BARREL = ("barrel_diameter", "fill_length", "barrel_drag", "plunger_friction")
PLANNED = "planned extruder"


class Exact(NamedTuple):
    """A number that is taken as exact: what it is, its value (NaN for a column of them), and the change of the answer for 1 % more, or 1 K."""

    quantity: str
    value: float
    unit: str
    moves: float
    per: str


class _Number(NamedTuple):
    """A number of a record: its name, whose it is, its value, what it is, and what gives the thing with more of it, by `step` of ln or in kelvins."""

    name: str
    of: str
    value: float
    about: Quantity
    moved: Callable[[], Any]
    step: float = MORE - 1

    @property
    def key(self):
        """What is one number, wherever it stands."""
        return self.name, self.of, f"{self.value:.9g}"


def exact_of(result, own, answer, extruder=None):
    """Return every `Exact` number that moves an answer, those that move it most first.

    `own` holds for each test what one standard uncertainty of each of its readings moves; `answer` gives the answer of the best fit for an
    extruder, where one is asked. A number that bench and extruder share is one number.
    """
    found: dict[tuple, list] = {}
    for place, test in enumerate(result.tests):
        for number in _of_test(result, test):
            try:
                move = _move(result, place, own[place], number)
            except DataError:  # one of a few that are known, such as the angle of a cone
                continue
            found.setdefault(number.key, [number, 0.0])[1] += move
    if extruder is not None:
        known, whose = result.known(extruder), apparatus.bench_of(result, extruder)
        rig, typed = known.at(result.nuisance), {one.name: one.value for one in _of_rig(extruder, PLANNED)}
        for number in _of_rig(rig, PLANNED):
            if number.name in known.keys or (number.name == "bore" and apparatus.BORE in known.keys):
                continue
            number = number._replace(value=typed[number.name])
            of_bench = number._replace(of=whose)
            number = of_bench if of_bench.key in found else number
            entry = found.setdefault(number.key, [number, 0.0])
            entry[1] += (answer(number.moved()) - answer(rig)) / number.step
    told = [_told(number, float(move)) for number, move in found.values() if np.isfinite(move) and move]
    return sorted(told, key=lambda one: -abs(one.moves))


def _told(number, move):
    name = "length of the land" if number.name == "length" else number.name.replace("_", " ")
    words = f"{name}, {number.of}" if number.of else name
    warm = number.name == "temperature"
    return Exact(words, number.value, number.about.unit, move if warm else move / 100, "1 K" if warm else "1 %")


def _of_test(result, test) -> Iterator[_Number]:
    """Return the numbers of a record that have no uncertainty of their own: dimensions, what was set, the temperature of the readings."""
    held = {key.name.replace("bore_factor", "bore") for key in test.nuisances()} | _pooled(test)
    for name, value in ((one.name, getattr(test, one.name)) for one in fields(test) if "dimension" in one.metadata):
        if (
            not isinstance(value, float | int)
            or not value
            or name in held
            or name.endswith(("_uncertainty", "_temperature"))
        ):
            continue
        of = "" if name == "density" else test.apparatus_name
        yield _Number(name, of, float(value), quantity_of(test, name), partial(_times, test, name))
    inside = _of_rig(test.extruder, test.apparatus_name) if test.extruder is not None else ()
    if not inside and isinstance(getattr(test, "nozzle", None), Nozzle):
        inside = _of_nozzle(test.nozzle, test.apparatus_name)
    field = "nozzle" if test.extruder is None else "extruder"
    for one in inside:
        if one.name not in held:
            yield one._replace(moved=partial(_with, test, field, one.moved))
    for name in test.columns:
        if name != test.reads and name not in NOT_SET and np.any(getattr(test, name)):
            yield _Number(name, f"{test.name}, all rows", np.nan, quantity_of(test, name), partial(_times, test, name))
    if "temperature" in result.law.depends_on and "temperature" in test.conditions:
        warmer = np.broadcast_to(test.conditions["temperature"] + KELVIN, test.readings.shape)
        yield _Number(
            "temperature",
            "all readings",
            np.nan,
            QUANTITIES["temperature"],
            partial(replace, test, temperature=warmer),
            KELVIN,
        )


def _pooled(test):
    """Return the names of dimensions of a record that were stated with ± and count in the factor of its theory."""
    own = test.origin
    while hasattr(own, "origin"):  # of readings that were gathered
        own = own.origin
    return {"length" if name == "land_length" else name for name in getattr(own, "pooled", ())}


def _of_rig(rig, of):
    """Return the numbers of an extruder on which its pressure or force rests."""
    known = [(name, getattr(rig, name)) for name in BARREL]
    found = [
        _Number(name, of, float(value), QUANTITIES[name], partial(_times, rig, name))
        for name, value in known
        if np.ndim(value) == 0 and value
    ]
    return found + [one._replace(moved=partial(_with, rig, "nozzle", one.moved)) for one in _of_nozzle(rig.nozzle, of)]


def _of_nozzle(nozzle, of):
    """Return bore and length of the land of a nozzle."""
    found, land = [], nozzle.segments[-1]
    if np.ndim(nozzle.bore) == 0:
        found.append(
            _Number("bore", of, float(nozzle.bore), QUANTITIES["bore"], partial(nozzle.with_bore, nozzle.bore * MORE))
        )
    if isinstance(land, Cylinder) and np.ndim(land.length) == 0:
        found.append(_Number("length", of, float(land.length), QUANTITIES["length"], partial(_longer, nozzle)))
    return found


def _times(thing, name):
    return replace(thing, **{name: getattr(thing, name) * MORE})


def _with(thing, name, moved):
    return replace(thing, **{name: moved()})


def _longer(nozzle):
    *before, land = nozzle.segments
    return Nozzle(*before, replace(land, length=land.length * MORE))


@trusted()
def _move(result, place, own, number):
    """Return the derivative of the answer by the ln of a number of one test, or by kelvins: the fit follows its residuals."""
    problem, test, other = result.problem, result.tests[place], number.moved()
    values = result.nuisance | {
        new: result.nuisance[old] for new, old in zip(other.nuisances(), test.nuisances(), strict=True)
    }
    seen = problem.of_batch(problem.law(result.minimum.theta), test, values)
    before, after = (np.ravel(one.residuals(seen, values, problem.sizes[place])) for one in (test, other))
    return -float(own @ (after - before)) / number.step
