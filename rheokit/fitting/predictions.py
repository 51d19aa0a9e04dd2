"""Intervals of anything that can be computed from a fitted law, and whether the readings cover what it asks for."""

import inspect
import warnings
from typing import NamedTuple

import numpy as np

from ..errors import DataError
from ..flow.segments import apparent_rate
from ..inputs import judged_number, trusted
from ..laws.condition_words import beyond
from ..nomenclature import number, written
from ..sampling import moves, next_spread
from ..things import a
from . import profile, region
from .identified import FAR
from .text import median_batch
from .tracing import TracedLaw

NO_NUMBER = "the quantity gave no finite number, so there is none to bound: check what it computes"
MEDIAN, NEXT = "median", "next"  # batches that an interval can be asked for
AT_WALL = 1e-6  # share by which a rate that was searched for may miss that of the wall it belongs to


class Interval(NamedTuple):
    """A value with its limits, and whether it asks for rates the readings do not cover."""

    value: float
    low: float
    high: float
    extrapolated: bool
    comment: str = ""

    def __repr__(self):
        numbers = ", ".join(
            f"{name}={np.array2string(np.asarray(value), precision=4, separator=', ', formatter={'float': '{:.4g}'.format})}"
            for name, value in zip(("value", "low", "high"), self, strict=False)
        )
        return f"Interval({numbers}, extrapolated={self.extrapolated}, comment={self.comment!r})"


def best_law(result):
    """Return the law of the least sum of squares as plain numbers, which warns of nothing that is left open."""
    return result.problem.law(result.minimum.theta)


def interval(result, quantity, level, extruder=None, batch=MEDIAN, like=None):
    """Return the profile `Interval` of a quantity of law and extruder, elementwise where it is an array; of laws like another, if any."""
    level = judged_number("FitResult.interval", "level", level, "confidence_level")
    asked = of_batch(result, batch)
    rig = None if extruder is None else result.known(extruder)
    closed_over = _closed_over(quantity) if rig is None else ""
    if like is not None:
        quantity = seen_like(quantity, a("FlowLaw", "FitResult.interval", "like", like))
    traced = TracedLaw(best_law(result))
    arbitrary = len(result.alike) > 1 and np.any(rests_on_open(result, quantity, extruder))
    with warnings.catch_warnings():
        if arbitrary:  # what the law of best fit would warn of is as arbitrary as its value
            warnings.simplefilter("ignore")
        value = _called(quantity, rig, traced, result.nuisance)
        warnings.simplefilter("ignore")
        covered, words = _asked(result, traced, None if rig is None else rig.at(result.nuisance))
        evaluate = stacked(asked, quantity, rig, value)
        alike = evaluate(asked.alike)
        open_ones, nothing = moves(alike), ~np.isfinite(alike).any(axis=0)  # the latter for any law
        low, high = _limits(asked, evaluate, value, asked.misfit(level), open_ones)
        open_ones |= np.isinf(high) & (np.isinf(low) | (low <= 0)) & (value != 0)
        low, high = np.where(nothing, np.nan, low), np.where(nothing, np.nan, high)
        open_ones &= ~nothing
    if nothing.any():
        words = f"{NO_NUMBER}; {words}"
    if open_ones.any():
        value, words = np.where(open_ones, np.nan, value), f"{result.needed}; {words}"
    about_rig = rig.words(result.nuisance, result.limits) if rig is not None else closed_over
    words = "; ".join(filter(None, [words, about_rig, batch_words(result, batch)]))
    return Interval(*(side if side.ndim else float(side) for side in (value, low, high)), not covered, words)


def seen_like(quantity, like):
    """Return a quantity that sees laws at the condition of another and as stiff."""
    return lambda law, *rig: quantity(like.of(law), *rig)


def _closed_over(quantity):
    """Return in words that extruders inside a quantity of the law are taken as typed; refuse one that asks for more."""
    try:
        takes = [p for p in inspect.signature(quantity).parameters.values() if p.default is p.empty and p.kind < 2]
    except (TypeError, ValueError):  # what was not written in Python shows none
        return ""
    if len(takes) > 1:
        raise DataError(
            f"interval: the quantity takes {' and '.join(p.name for p in takes)}, and no extruder was given; add extruder=, "
            "the one that it is asked of."
        )
    try:
        inside = inspect.getclosurevars(quantity)
    except (TypeError, ValueError):
        return ""
    rigs = [one for one in [*inside.nonlocals.values(), *inside.globals.values()] if type(one).__name__ == "Extruder"]
    if not rigs:
        return ""
    frictions = ", ".join(written(np.max(rig.plunger_friction), "N") for rig in rigs)
    return f"friction of {frictions} taken as exact, and drag and bore with it: hand the extruder over, extruder="


def of_batch(result, batch):
    """Return the result that answers for the median batch, or for the next one; refuse any other word."""
    if batch not in (MEDIAN, NEXT):
        raise DataError(
            f"interval: batch = {batch!r} is not known; give {MEDIAN!r}, or {NEXT!r} for a batch not yet made."
        )
    return result.with_next_batch if batch == NEXT else result


def batch_words(result, batch):
    """Return in words which batch is meant; nothing where one batch alone was read and it is that one."""
    if batch == MEDIAN:
        return median_batch(result)
    if result.problem.batches:
        return f"next batch: spread of {result.between_batches}"
    spread = result.problem.batch_spread
    return (
        f"next batch: one batch alone was read, so that a spread of {number(spread, 2)} from batch to batch is assumed, "
        f"of the batch read and of the next alike: {number(next_spread(spread, one_read=True), 2)} between the two"
    )


def _asked(result, traced, rig=None):
    """Return whether the readings cover what a quantity asked the law for, at its condition, and in words what that was."""
    covered, words = _asked_of_rates(result, traced, rig)
    said = [beyond(asked, result.condition_ranges) for asked in traced.conditions_asked or [result.law.condition]]
    said = [one.removesuffix(": extrapolated.") for one in filter(None, said)]
    said = dict.fromkeys([*said, *filter(None, (result.passed_over(*one) for one in traced.passed_over))])
    return covered and not said, "; ".join([*said, words])


def _asked_of_rates(result, traced, rig):
    if traced.range:
        here = (
            bool(result.law.depends_on) and not traced.conditions_asked
        )  # nothing takes its rates from its reference elsewhere
        return result.covers(*(traced.range if rig is None else _of_walls(traced, rig)), at_reference=here)
    if traced.rest:
        return result.yield_measured, "asks for the yield stress alone"
    if traced.parameters_asked:
        return True, f"asks for {', '.join(sorted(traced.parameters_asked))} alone, no stress at any rate"
    return True, "asks nothing of the law: it is the same whatever the readings say"


def _of_walls(traced, rig):
    """Return the range of the rates asked for [1/s], without those slower than the widest wall that counts in an extruder."""
    law, fastest = traced.law, traced.range[1]
    flow = law.apparent_shear_rate(law.shear_stress(fastest)) / apparent_rate(1.0, rig.nozzle.bore)  # in the bore
    slowest = float(rig.channel.wall_rates(law, float(flow))[0]) * (1 - AT_WALL)
    return min(rate for rate in traced.rates if rate >= slowest), fastest


def rests_on_open(result, quantity, extruder=None):
    """Return, elementwise, whether a quantity differs between laws that the readings cannot tell apart."""
    rig = None if extruder is None else result.known(extruder)
    with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
        value = _called(quantity, rig, best_law(result), result.nuisance)
        if len(result.alike) < 2:
            return np.zeros(value.shape, bool)
        return moves(stacked(result, quantity, rig, value)(result.alike))


def _limits(result, evaluate, value, misfit, open_ones):
    """Return lower and upper limits of every element of a quantity; of open ones their extremes over all laws alike."""
    problem, best = result.problem, result.minimum
    low, high = np.array(value), np.array(value)
    if result.unidentified:  # the region has no end to spread laws over
        for at in np.ndindex(value.shape):
            scalar = lambda stack, at=at: evaluate(stack)[(slice(None), *at)]  # noqa: E731
            if not open_ones[at]:
                (low[at], _), (high[at], _) = profile.limits(problem, misfit, best, scalar)
            else:
                low[at], high[at] = _open_limits(result, scalar, abs(float(value[at])), misfit)
        return low, high
    theta = region.inside(misfit, result.cloud, best.chi_square, np.random.Generator(np.random.PCG64(0)))
    theta = np.concatenate([best.theta[None], theta, result.on_walls(misfit.level)])
    seen = np.asarray(evaluate(theta), float)
    for at in np.ndindex(value.shape):
        scalar = lambda stack, at=at: evaluate(stack)[(slice(None), *at)]  # noqa: E731
        column = seen[(slice(None), *at)]
        finite = np.isfinite(column)
        width = float(np.ptp(column[finite])) if finite.any() else 0.0
        for side, out in ((-1, low), (1, high)):
            start = theta[np.argmax(np.where(finite, side * column, -np.inf))]
            found = region.extreme(problem, misfit, best, scalar, side, start, width)
            open_end = found.why == "open" or profile.at_a_wall(
                problem, misfit, best, scalar, side, found.theta, found.value
            )
            out[at] = side * np.inf if open_end else found.value
    return low, high


def _open_limits(result, scalar, size, misfit):
    """Return the limits of a quantity that laws alike give different values: the furthest climbs from them and the best."""
    problem, best, theta = result.problem, result.minimum, result.alike
    seen, found = scalar(theta), []
    for side in (-1, 1):
        outermost = theta[np.argmax(np.where(np.isfinite(seen), side * seen, -np.inf))]
        value = side * np.max(side * seen)  # NaN stays NaN
        if size / FAR < abs(value) < FAR * size:
            for start in (outermost, best.theta):  # either may end on a lesser top
                climbed = region.extreme(problem, misfit, best, scalar, side, start, abs(value))
                value = side * (np.inf if climbed.why == "open" else max(side * value, side * climbed.value))
        beyond = not abs(value) < FAR * size
        found.append(side * np.inf if beyond else 0.0 if abs(value) < size / FAR else value)
    if found[0] == -np.inf and np.nanmin(seen) >= 0:
        found[0] = 0.0  # a stress or a force, which no law makes negative
    return found


def stacked(result, quantity, rig, value):
    """Return the quantity as a function of a stack of coordinates; one law at a time where it does not broadcast."""
    problem = result.problem

    def of(theta, lift):
        with trusted():
            law = problem.law_class(**_lifted(problem.asked_values(theta), lift))
        return _called(quantity, rig, law, _lifted(problem.nuisance_values(theta), lift))

    def at_once(stack):
        return np.broadcast_to(of(stack, (..., *(None,) * value.ndim)), (len(stack), *value.shape))

    def one_by_one(stack):
        return np.array([of(row, ()) for row in stack])

    theta, scales = result.minimum.theta, problem.scales(result.minimum.theta)
    try:  # different rows and two heights, so that a quantity that reduces over its law is found out
        for height in (2, 5):
            stack = np.clip(theta + 1e-3 * scales * np.arange(height)[:, None], *problem.box)
            if not np.allclose(at_once(stack), one_by_one(stack), rtol=1e-9, atol=0.0):
                return one_by_one
    except (TypeError, ValueError):
        return one_by_one
    return at_once


def _called(quantity, rig, law, nuisance):
    """Return a quantity of a law, and of an extruder `Known` at values of nuisance parameters where one is given."""
    return np.asarray(quantity(law) if rig is None else quantity(law, rig.at(nuisance)), float)


def _lifted(values, lift):
    """Return values by name with further axes, single ones as plain numbers."""
    return {name: np.asarray(value)[lift] for name, value in values.items()}
