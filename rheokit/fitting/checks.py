"""The questions a fit answers about itself, so that no number is handed over without saying how far to trust it."""

import warnings

import numpy as np

from ..bench import cheap_test
from ..bench.base import quantity_of
from ..bench.bounds_told import beyond_bounds, bounds_told
from ..checking import Check
from ..flow.converging import EXTRAPOLATED
from ..framed import framed
from ..nomenclature import between, with_decimals, with_limits, written
from ..progress import step
from ..sampling import SURE, TAILS
from . import artefacts, branches, condition_checks, consequence, handling, needles
from .consequence import SMALL, beside, share
from .contradictions import kinds_agree
from .misfits import misfit, strays, trends
from .residuals import chance_words, limit, pushed

OF_THE_PASTE = (
    "batch_factor",
    "record_factor",
    "lack_of_fit_factor",
)  # what is shared and says nothing of the apparatus
HELD_AT_ZERO = (
    " Where the truth is exactly 0, an interval of the stress at slower rates than were read held it in 91 of 100 in the project's own count; "
    "that of the yield stress in 98."
)  # a power law fitted by Herschel-Bulkley, 4 to 260 1/s: 200 benches for the former, 400 for the latter


def table(result):
    """Return every check of a fit as a DataFrame: question, value, threshold, passed, comment."""
    rows = []
    with warnings.catch_warnings(action="ignore"):
        for ask in (
            converged, enough_readings, misfit, bounds, identified, plausible, use_range, trends, strays, model_errors,
            priors, kinds_agree, windows, nozzle_range,
        ):  # fmt: skip
            step(f"checks: {ask.__name__.replace('_', ' ')}")
            rows += ask(result)
        errors = result.nuisance_errors
        for test in result.tests:
            rows += test.questions(test.at_its_condition(result.law), result.nuisance, errors)
        for of in (condition_checks, artefacts, branches, handling, needles):
            rows += of.all_checks(result)
    return framed(rows, columns=Check._fields)


def converged(result):
    """Did the search end at a least sum of squares?"""
    done = result.minimum.converged
    comment = "The best fit was found: from no start did the search come nearer to the readings, and near its end no other values do."
    if not done:
        comment = "The search stopped before the best fit was found: fit a simpler law; in a script, give start= near the answer."
    return [Check("converged", str(done), "True", done, comment)]


def enough_readings(result):
    """Do the readings fix every parameter?"""
    loose, free = sorted(result.unidentified), result.degrees_of_freedom
    passed, open_ = not loose and free >= 0, max(len(loose), -free)
    free = result.problem.free_without_prior
    comment = f"{result.problem.total} readings for {free} free parameter{'' if free == 1 else 's'}."
    if not passed:
        names = ", ".join(loose) or "some parameters"
        comment += (
            f" Not identified: the readings do not tell {names}. Add readings at other rates, or take a simpler law."
        )
    return [Check("parameters identified", open_, 0, passed, comment)]


def bounds(result):
    """Does a parameter of the law rest on its bound, or one of the apparatus far from what was told of it?"""
    effects = {condition.parameter_name for condition, _ in result.problem.law_class.conditions}
    at = [name for name in result.problem.free if result.is_at_bound(name)]
    none = [one for one in at if one in effects and one not in result.not_identified and result.limits(one)[0] <= 0]
    at = [name for name in at if name not in none]
    comment = "No parameter of the law lies at the edge of what is possible."
    if none:  # that a condition does nothing is an answer
        comment = f"{', '.join(none)} at 0, which says that the condition hardly matters."
    if at:
        comment = f"{', '.join(at)} at the edge of what is possible: known from one side alone. Use the limit in the table, not the value."
    beside, farthest, most = _at_bound_beside_the_law(result)
    if beside:
        comment += f" Of apparatus and theory {'; '.join(beside)}: known from one side alone."
    passed = not at and farthest <= most
    return [Check("no parameter at a bound", len(at) + len(beside), 0, passed, comment, seen=farthest > SURE)]


def _at_bound_beside_the_law(result):
    """Return in words which parameters of apparatus and theory rest on their bound, how far from what was told of them at most, and what chance allows [-]."""
    at = [key for key in result.problem.nuisances if result.is_at_bound(key)]
    known, deviates, _, most = _pushed(result)
    off = dict(zip(known, deviates, strict=True))
    said = []
    for key in at:
        words = f"{key} lies at the edge, {written(result.nuisance[key], result.problem.nuisances[key].unit)}"
        if key in off:
            how = "far from" if abs(off[key]) > most else "within"
            words += f", {how} what was told of it ({chance_words(off[key], most)})"
        said.append(words)
    return said, float(max((abs(off.get(key, 0.0)) for key in at), default=0.0)), float(most)


def identified(result):
    """Is the yield stress known well enough to use, and if not, which cheap test would settle it?"""
    if "yield_stress" not in result.problem.free:
        return []
    low, high = result.limits("yield_stress")  # of the table's rows this one alone is asked
    value = np.nan if "yield_stress" in result.not_identified else float(result.law.yield_stress)
    ratio = high / low if low > 0 else np.inf
    passed = bool(ratio < 3)
    said = (
        f"not known, 95 % from {between(low, high, 'Pa')}" if np.isnan(value) else with_limits(value, low, high, "Pa")
    )
    comment = f"Yield stress {said}."
    if not passed:
        guess = value if value > 1 else (high / 3 if np.isfinite(high) else 100.0)
        cure = cheap_test(guess, {test.kind for test in result.tests})
        cure = "more batches: most of it is the spread between them" if _mostly_batches(result, ratio) else cure
        comment += f" Not identified by these readings; settle it with {cure}."
    if low <= 0 and result.rate_range is not None:
        comment += HELD_AT_ZERO
    return [Check("yield stress identified", ratio, 3, passed, comment)]


def _mostly_batches(result, ratio):
    """Return whether a few batches that differ make up most of the interval of the median one, in ln of its ends' ratio."""
    if result.batch_spread is None:
        return False
    from scipy.special import stdtrit

    spread, told = result.batch_spread
    share = 2 * stdtrit(result.batch_freedom, TAILS[1]) * spread / np.sqrt(told + 1)
    return bool(share > 0.5 * np.log(ratio))


def plausible(result):
    """Are the values those of a paste or gel?"""
    faults, unknown = [], []
    for name, low, high in (("flow_index", 0.1, 1.2), ("yield_stress", 1.0, 50e3)):
        if name in result.not_identified:
            unknown.append(name)
        elif name in result.problem.free:
            value = float(result.law.values[name])
            if not low <= value <= high and not result.is_at_bound(name):
                faults.append(f"{name} = {written(value, name)} (usual: {between(low, high, name)})")
    comment = "Yield stress and flow index, as far as the readings fix them, lie where those of pastes and gels lie."
    if faults:
        comment = "; ".join(faults) + ". Check units and the law."
    if unknown:
        comment += f" Not judged, since the readings do not fix it: {', '.join(unknown)}."
    return [Check("plausible for a paste", len(faults), 0, not faults, comment)]


def use_range(result):
    """Do the readings cover the rates at which the law will be used?"""
    if result.use_range is None:
        return []
    passed, words = result.covers(*result.use_range)
    comment = f"Use {words}." + ("" if passed else " Predictions there are extrapolated: read at those rates too.")
    low, high = result.use_range
    return [Check("use range covered", between(low, high, "1/s"), "rates read", passed, comment)]


def model_errors(result):
    """Has every test's own theory an error, stated or usual, so that none is taken as exact?"""
    bare = [test.name for test in result.tests if test.theory and test.model_error == 0]
    comment = "The intervals hold that no test's own theory is exact: each has an error, stated or usual."
    if bare:
        sizes = {test.name: test.default_model_error for test in result.tests}
        comment = "; ".join(f"{name} has model_error 0 (usual: {with_decimals(sizes[name])})" for name in bare)
        comment += ". Its theory is then taken as exact and the intervals are too narrow: state how far it may be off, model_error."
    return [Check("no theory taken as exact", len(bare), 0, not bare, comment)]


def priors(result):
    """Did the readings push a nuisance parameter far from what was known of it, or all of them together?"""
    if not result.problem.nuisances:
        return []
    known, deviates, together, most = _pushed(result)
    far = np.abs(deviates) > most if np.any(np.abs(deviates) > most) else np.abs(deviates) > 1
    told = "; ".join(
        f"{key} comes out as {written(result.nuisance[key], prior.unit)}, and {written(prior.middle, prior.unit)} was told "
        f"({chance_words(deviate, most)})"
        for key, deviate in zip(np.array(known)[far], deviates[far], strict=True)
        for prior in [result.problem.nuisances[key]]
    )
    worst = float(max(np.max(np.abs(deviates), initial=0.0), together))
    passed = bool(worst <= most)
    comment = f"Nothing known of the apparatus is contradicted.{_farthest(result, known, deviates, together, most)}"
    if not passed:
        also = f"All of them together: {chance_words(together, most)}. " if together > most else ""
        comment = f"The readings do not fit what was told of the apparatus. {told}. {also}Check dimensions, friction and units."
    return [Check("apparatus as described", worst, most, passed, comment)]


def _farthest(result, known, deviates, together, most):
    """Return what was told lies farthest off, or that all of it together does, and how that is counted, in sentences."""
    if not len(known):
        return ""
    place = int(np.argmax(np.abs(deviates)))
    key, deviate = known[place], float(deviates[place])
    if together > abs(deviate):
        what = f" Farthest off is all that was told together ({chance_words(together, most)})"
    else:
        prior = result.problem.nuisances[key]
        what = (
            f" Farthest off is {str(key).replace('_', ' ')}: {written(result.nuisance[key], prior.unit)}, where {written(prior.middle, prior.unit)} was told "
            f"({chance_words(deviate, most)})"
        )
    return f"{what}. Counted is how far the fit moves it over how far it would where nothing is wrong, which is less than its uncertainty."


def _pushed(result):
    """Return what is known beforehand of apparatus and theories, how far the readings push each and all of it, and what chance seldom passes."""
    held = [key for key, prior in result.problem.nuisances.items() if np.isfinite(prior.spread)]
    places = np.array([k for k, key in enumerate(held) if key.name not in OF_THE_PASTE], int)
    known = [held[place] for place in places]
    deviates, together = pushed(result, sum(result.problem.counts) + places, [result.is_at_bound(key) for key in known])
    return known, deviates, together, limit(len(known) + 1)


def windows(result):
    """Which readings lie outside the window of their test, and so count as bounds?"""
    outside = []
    for test in result.tests:
        unit = quantity_of(test, test.reads).unit
        for row, told in bounds_told(test):
            reading = f"{test.name} {test.rows_where(row)} ({written(test.readings[row], unit)})"
            outside.append(f"{reading} counts as {told}")
    comment = "; ".join(outside) + "." if outside else "Every reading lies in the window of its test."
    comment = " ".join([comment, *(f"{apart}." for test in result.tests if (apart := beyond_bounds(test)))])
    return [Check("readings in their windows", len(outside), "said", True, comment)]


def nozzle_range(result):
    """Is the converging-flow formula used inside the range it was fitted for, or else the share of it small beside what is known?"""
    runs = [test for test in result.tests if test.nozzle is not None]
    if not runs:
        return []
    found = [run.out_of_range(run.at_its_condition(result.law)) for run in runs]
    most = max(found, key=lambda shares: sum(shares.values()))
    if not most:
        comment = "Every contraction lies in the range of the converging-flow formula."
        return [Check("converging flow in range", 0.0, SMALL, True, comment)]
    taken = sum(most.values())
    moved, allowed = EXTRAPOLATED * taken, float(consequence.allowed(result)[0].min())
    passed = moved < allowed
    comment = (
        f"{'; '.join(sorted(set().union(*found)))}. It takes {share(taken)} of the pressure at most and is good to {share(EXTRAPOLATED)} "
        f"there, which is {share(moved)} of the stress {consequence.where(result)}: {beside(moved, allowed)}."
    )
    if not passed:
        comment += " Measure the end loss: two lengths of one bore."
    return [Check("converging flow in range", moved, allowed, passed, comment, seen=True)]
