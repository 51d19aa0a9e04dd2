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
from ..bench.whence import read_from
from ..errors import DataError
from ..flow.nozzles import SAME, Cylinder, Nozzle
from ..inputs import trusted
from ..laws.condition_words import CONDITIONS
from ..nomenclature import QUANTITIES, Quantity
from . import apparatus
from .budget_readings import apart

MORE = 1 + 1e-4  # times a number, for its derivative
LESS = 1 - 1e-4  # times a diameter inside a nozzle: what is in front of it stays as wide
ALONG = 1e-2  # of a scale, over which the slope of a sum of squares is taken
KELVIN = 1e-2  # more of a temperature, for the same
NOT_SET = {"time", "stroke", "run_order", "run", "rest", *CONDITIONS}  # columns that are no setting of the apparatus
BARREL = ("barrel_diameter", "fill_length", "barrel_drag", "plunger_friction")
UNHELD = "(stated with ±, which the stated model error of its test is to hold)"
BORE_ALONE = "bore at the same flow"
PLANNED, PLANNED_JOB = "planned extruder", "planned job"


class Exact(NamedTuple):
    """A number that is taken as exact: what it is, its value (NaN for a column of them), and the change of the answer for 1 % more, or 1 K."""

    quantity: str
    value: float
    unit: str
    moves: float
    per: str


class Setting(NamedTuple):
    """A setting of what is planned that an answer rests on, such as a speed: what it is, its value, and the question with a little more of it.

    `moved` is asked as the question of the budget is; `step` is how much more, of the ln of the value or in kelvins.
    """

    quantity: str
    value: float
    unit: str
    moved: Callable[..., Any]
    step: float = MORE - 1


class _Number(NamedTuple):
    """A number of a record: its name, whose it is, its value, what it is, and what gives the thing with more of it, by `step` of ln or in kelvins."""

    name: str
    of: str
    value: float
    about: Quantity
    moved: Callable[[], Any]
    step: float = MORE - 1
    words: str = ""

    @property
    def key(self):
        """What is one number, wherever it stands."""
        return self.name, self.of, f"{self.value:.9g}"


def exact_of(result, pull, moves, answer, extruder=None, settings=()):
    """Return every `Exact` number that moves an answer, those that move it most first.

    `pull` says how far the coordinates of the fit move for one more of the gradient of half its sum of squares, times the slope of the
    answer, shape (p,); `moves` what one of each residual row moves, 0 where a row counts for nothing; `answer` gives the answer of the best fit for an
    extruder, where one is asked, and to another question where that is given; `settings` are each a `Setting`. A number that bench and
    extruder share is one number, and so is what was set with one apparatus, in all rows of all records.
    """
    found: dict[tuple, list] = {}
    counted = np.split(np.asarray(moves) != 0, np.cumsum(result.problem.counts))
    for place, test in enumerate(result.tests):
        for number in _of_test(result, test):
            try:
                move = _move(result, place, pull, counted[place], number)
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
            shared = of_bench.key in found
            number = (
                of_bench if shared else number._replace(words=BORE_ALONE if number.name == "bore" else number.words)
            )
            entry = found.setdefault(number.key, [number, 0.0])
            try:
                entry[1] += (answer(number.moved()) - answer(rig)) / number.step
            except DataError:  # an end that fits its neighbour to a hair
                continue
        for one in settings:
            moved = (answer(rig, one.moved) - answer(rig)) / one.step
            found[one.quantity, PLANNED, ""] = [
                _Number(one.quantity, PLANNED_JOB, one.value, Quantity("", one.unit, ""), tuple),
                moved,
            ]
    told = [_told(number, float(move)) for number, move in found.values() if np.isfinite(move) and move]
    return sorted(told, key=lambda one: -abs(one.moves))


def _told(number, move):
    name = number.words or number.name.replace("_", " ")
    words = f"{name}, {number.of}" if number.of else name
    warm = number.about.unit == "K"
    return Exact(words, number.value, number.about.unit, move if warm else move / 100, "1 K" if warm else "1 %")


def _of_test(result, test) -> Iterator[_Number]:
    """Return the numbers of a record that have no uncertainty of their own; that one was stated with ± all the same is said."""
    unheld = _stated(test, "unheld")
    for one in _without_own(result, test):
        yield one._replace(words=f"{one.words or one.name.replace('_', ' ')} {UNHELD}") if one.name in unheld else one


def _without_own(result, test) -> Iterator[_Number]:
    """Return dimensions, what was set, and the conditions of the readings."""
    held = {key.name.replace("bore_factor", "bore") for key in test.nuisances()} | _stated(test, "pooled")
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
            words, whose = _as_set(test, name), f"{test.apparatus_name}, all rows"
            yield _Number(name, whose, np.nan, quantity_of(test, name), partial(_times, test, name), words=words)
    for name in CONDITIONS:
        if name in result.law.depends_on and name in test.conditions:
            warm = name == "temperature"
            more = test.conditions[name] + KELVIN if warm else test.conditions[name] * MORE
            moved = partial(replace, test, **{name: np.broadcast_to(more, test.readings.shape)})
            yield _Number(name, "all readings", np.nan, QUANTITIES[name], moved, KELVIN if warm else MORE - 1)


def _as_set(test, name):
    """Return in words a column that was set, and what it was typed as where that was another."""
    ways = getattr(getattr(read_from(test), "typed", None), "ways", {})
    typed = " and ".join(one.replace("_", " ") for one in ways[name].inputs) if name in ways else ""
    return f"{name.replace('_', ' ')}{f' by its {typed}' if typed else ''}"


def _stated(test, which):
    """Return the names of dimensions of a record that were stated with ±: those "pooled" in the factor of its theory, or "unheld"."""
    last = len(test.nozzle.segments) if isinstance(getattr(test, "nozzle", None), Nozzle) else 0
    lands = "land_length", f"nozzle {last} length"
    return {"length" if name in lands else name for name in getattr(read_from(test), which, ())}


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
    """Return the numbers of a nozzle: bore, length of the land, the diameters in front of it and the lengths of its other segments."""
    found, last = [], len(nozzle.segments)
    if np.ndim(nozzle.bore) == 0:
        found.append(
            _Number("bore", of, float(nozzle.bore), QUANTITIES["bore"], partial(nozzle.with_bore, nozzle.bore * MORE))
        )
    for place, segment in enumerate(nozzle.segments, 1):
        if np.ndim(segment.length) == 0:
            land = place == last and isinstance(segment, Cylinder)
            name, words = (
                ("length", "length of the land") if land else (f"nozzle {place} length", _of(nozzle, place, "length"))
            )
            longer = partial(_longer, nozzle, place - 1)
            found.append(_Number(name, of, float(segment.length), QUANTITIES["length"], longer, words=words))
    seen = [nozzle.bore]
    for place, segment in enumerate(nozzle.segments, 1):
        for end in ("inlet_diameter", "outlet_diameter"):
            value = getattr(segment, end)
            if np.ndim(value) or any(np.isclose(value, other, rtol=SAME, atol=0.0).any() for other in seen):
                continue
            seen.append(value)
            name = f"nozzle {place} {'diameter' if isinstance(segment, Cylinder) else end}"
            words = _of(nozzle, place, end.partition("_")[0])
            less = partial(_narrower, nozzle, value)
            found.append(_Number(name, of, float(value), QUANTITIES["bore"], less, LESS - 1, words))
    return found


def _of(nozzle, place, what):
    """Return in words what of a segment in front of the land a number is; where there are several of its kind, of which."""
    segment = nozzle.segments[place - 1]
    alone = sum(isinstance(one, type(segment)) for one in nozzle.segments[:-1]) == 1
    what = "diameter" if isinstance(segment, Cylinder) and what == "inlet" else what
    kind = "tube before the land" if isinstance(segment, Cylinder) else segment.called
    return f"{what} of the {kind}" if alone else f"{what} of segment {place}, a {kind}"


def _times(thing, name):
    return replace(thing, **{name: getattr(thing, name) * MORE})


def _with(thing, name, moved):
    return replace(thing, **{name: moved()})


def _longer(nozzle, place):
    return Nozzle(
        *(replace(one, length=one.length * MORE) if k == place else one for k, one in enumerate(nozzle.segments))
    )


def _narrower(nozzle, diameter):
    """Return a nozzle whose ends of one diameter [m], wherever they meet, are all narrower."""

    def new(end):
        return end * LESS if np.allclose(end, diameter, rtol=SAME, atol=0.0) else end

    return Nozzle(*(one.with_ends(new(one.inlet_diameter), new(one.outlet_diameter)) for one in nozzle.segments))


@trusted()
def _move(result, place, pull, counted, number):
    """Return the derivative of the answer by the ln of a number of one test, or by kelvins: the fit goes where its gradient is 0 again."""
    problem, test, other = result.problem, result.tests[place], number.moved()

    def along(one, step):
        """Return half the sum of squares of a record, the fit a step along the pull."""
        theta = result.minimum.theta + step * pull
        known = problem.nuisance_values(theta)
        values = known | {new: known[old] for new, old in zip(one.nuisances(), test.nuisances(), strict=True)}
        residuals = np.ravel(
            one.residuals(problem.of_batch(problem.law(theta), test, values), values, problem.sizes[place])
        )
        turned, _ = apart(problem, place, residuals)
        return float(np.sum(np.square(turned[counted]))) / 2

    scales = problem.scales(result.minimum.theta)
    step = ALONG / max(float(np.max(np.abs(pull) / scales)), 1e-300)
    before, after = ((along(one, step) - along(one, -step)) / (2 * step) for one in (test, other))
    return -(after - before) / number.step
