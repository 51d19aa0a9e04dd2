"""From tests to the least sum of squares: starts, unknown error sizes, batch spread."""

from dataclasses import replace

import numpy as np

from ..bench.gathered import counts_of
from ..bench.slip_starts import slip_starts
from ..inputs import trusted
from ..laws import FlowLaw
from .between_batches import USUAL_SPREAD, spread_freedom, spread_of_batches, told_and_missing
from .misfit import LEAST_FREEDOM, Group, leverages
from .paste_factors import NEXT_BATCH, batch_key, record_freedom, spread_of_records
from .problem import Problem
from .rounding import beside_rounding, rounded
from .run_factors import spread_of_runs, stress_slopes
from .search import dead, least_squares, minimise

SETTLED = 1e-4  # relative change of an error size or batch spread at which to stop
SMALLEST = 1e-6  # error size of noise-free readings [-]
POOR = 4.0  # times as many squares as residuals, from which on a search is doubted
SHARE = 0.1  # of readings that are compared as ratios for a start [-]
SHORT, LONG = (6, 12), (2, 200)  # of the likeliest trials: how many are searched on, and the most steps of each search


def estimate(law_class, tests, fixed, start=None, near=()):
    """Return the settled `Problem`, its `Minimum` and the degrees of freedom behind an unknown error size (or None).

    `near` are laws close to the answer: the search then starts from them alone and needs no other.

    The size of an unknown error is taken from the residuals it belongs to, each group's readings less the parameters
    they pay for (leverages); the spread of batches likewise from the batch factors. Both are repeated until they settle.
    """
    sizes = tuple(first_size(test) for test in tests)
    problem = Problem(law_class, tests, fixed, sizes)
    own = (
        law_class.without_conditions().guess.__func__ is not FlowLaw.guess.__func__
    )  # a start made for these readings, and a cheap one
    if near:
        trials = [problem.coordinates(law) for law in near]
        minimum = min((minimise(problem, t, problem.scales(t), most=40) for t in trials), key=lambda m: m.chi_square)
    elif slips := slip_starts(tests):
        minimum = likeliest(
            problem, [*starts_of(problem, start), *slip_trials(problem, start, slips, 12 if own else 3)]
        )
    else:
        far = start is not None or not own
        minimum = least_squares(problem, starts_of(problem, start), cautious=(1.0, 1e3) if far else ())
    return settled(problem, minimum if near else _not_stopped(problem, minimum, start))


def _not_stopped(problem, minimum, start):
    """Return the lesser of a `Minimum` and one begun where the readings, compared as ratios, have the law.

    Where a flow was read with an error in amounts, a law that stops each row is a corner which no slope leads out of: what is read is then
    so far off in its error that one more way is worth a search. As ratios there is no such corner.
    """
    if minimum.chi_square <= POOR * len(minimum.residuals):
        return minimum
    shares = tuple(_in_shares(test) for test in problem.tests)
    if all(new is old for new, old in zip(shares, problem.tests, strict=True)):
        return minimum
    sizes = tuple(first_size(test) for test in shares)
    ratios = Problem(problem.law_class, shares, problem.fixed, sizes)
    near = least_squares(ratios, starts_of(ratios, start)).theta
    other = minimise(problem, near, problem.scales(near), most=LONG[1], trust=1e-2)
    return other if other.chi_square < minimum.chi_square * (1 - 1e-9) else minimum


def _in_shares(test):
    """Return a record with an error in amounts as one with an error in shares, if its readings are all above 0."""
    if test.uncertainty is None or np.min(test.readings) <= 0:
        return test
    with trusted():
        return replace(test, uncertainty=None, relative_uncertainty=SHARE, error="relative")


def settled(problem, minimum):
    """Return a problem, its `Minimum` and the degrees of freedom behind an unknown error size (or None), repeated until sizes and spreads settle."""
    freedom = None
    for _ in range(12):
        sizes, freedom = _error_sizes(problem, minimum)
        scattered = beside_rounding(problem, minimum)
        spread, run_spread = spread_of_batches(problem, minimum), spread_of_runs(problem, minimum.theta)
        change = [
            abs(new / old - 1)
            for new, old in zip((*sizes, spread), (*problem.sizes, problem.batch_spread), strict=True)
        ]
        records = spread_of_records(problem, minimum)
        change += [
            abs((new.relative_uncertainty or 0.0) - (old.relative_uncertainty or 0.0))
            for new, old in zip(scattered, problem.tests, strict=True)
            if new is not old
        ]
        if max(*change, abs(run_spread - problem.run_spread), abs(records - problem.record_spread)) < SETTLED:
            break
        alone = (
            not problem.nuisances
            and not records
            and not problem.runs
            and len({_group(test) for test in problem.tests}) == 1
        )
        alone &= not any(test.rounding_alone for test in problem.tests)
        run_slopes = _run_slopes(problem, minimum)
        more = {"run_spread": run_spread, "run_slopes": run_slopes, "record_spread": records}
        before, problem = problem, Problem(problem.law_class, scattered, problem.fixed, sizes, spread, **more)
        if bool(records) != bool(before.record_spread):
            values = before.nuisance_values(minimum.theta)
            minimum = minimum._replace(theta=problem.coordinates(before.law(minimum.theta), values))
        if alone:  # a common factor on all residuals moves nothing
            residuals, jacobian = problem.jacobian(problem.residuals, minimum.theta, problem.scales(minimum.theta))
            minimum = minimum._replace(residuals=residuals, jacobian=jacobian, chi_square=float(residuals @ residuals))
            continue
        minimum = minimise(problem, minimum.theta, problem.scales(minimum.theta), most=100)
    return problem, minimum, freedom


def _run_slopes(problem, minimum):
    """Return how the residuals move with ln stress, in an error size of 1; nothing where no record has several runs."""
    return (
        tuple(stress_slopes(problem, minimum.theta) * np.repeat(problem.sizes, problem.counts)) if problem.runs else ()
    )


def _group(test):
    """Return what shares one unknown error size: all relative ones, each absolute kind; None where it is known."""
    return None if test.error_is_known else ("relative" if test.error == "relative" else test.kind)


def first_size(test):
    """Return the error size of a test to begin with, relative or in the unit read; 1 where it is known."""
    if test.error_is_known:
        return 1.0
    return 0.05 if test.error == "relative" else 0.05 * float(np.sqrt(np.mean(np.square(test.readings)))) or 1.0


def _error_sizes(problem, minimum):
    """Return the error size of every test, and the degrees of freedom behind those that are estimated (None if none)."""
    found = unknown_groups(problem, minimum)
    if not found:
        return problem.sizes, None
    sizes, freedom = list(problem.sizes), 0.0
    for members, group in found:
        freedom += max(group.freedom, 0.0)
        for place in members:
            sizes[place] = max(sizes[place] * group.size, smallest_size(problem.tests[place]))
    return tuple(sizes), round(freedom, 9)  # a count, but for what leverages leave of it


def smallest_size(test):
    """Return the least error size that is believed of a test, relative or in the unit read."""
    return SMALLEST * (1.0 if test.error == "relative" else np.max(np.abs(test.readings)) or 1.0)


def unknown_groups(problem, minimum):
    """Return, for every unknown error size, the places of its tests and its `Group` of residuals."""
    names = [_group(test) for test in problem.tests]
    if all(name is None for name in names):
        return []
    share, first = leverages(minimum), np.concatenate([[0], np.cumsum(problem.counts)])
    out = []
    for name in sorted({name for name in names if name is not None}):
        members = [place for place, other in enumerate(names) if other == name]
        rows = np.concatenate([np.arange(first[place], first[place + 1]) for place in members])
        squares, freedom = inside(problem, members)
        left = float(len(rows) - share[rows].sum())
        group = Group(rows, float(np.sum(minimum.residuals[rows] ** 2)), left + freedom, inside=(squares, freedom))
        out.append((members, group))
    return out


def inside(problem, places):
    """Return what readings scatter about the means that stand for them: squares in standard uncertainties, and freedom."""
    squares = freedom = 0.0
    for place in places:
        test = problem.tests[place]
        behind = counts_of(test)
        if behind is None:
            continue
        size = problem.sizes[place]
        if test.error_is_known:
            known = test.relative_uncertainty if test.in_logarithms else test.reading_errors
            size = float(np.sqrt(np.average(np.square(np.broadcast_to(known, behind.shape)), weights=behind)))
        elif test.error == "relative" and not test.in_logarithms:
            size = size * float(np.sqrt(np.average(np.square(test.readings), weights=behind)))
        squares += test.origin.squares / size**2
        freedom += test.origin.freedom
    return squares, freedom


def error_groups(problem, minimum):
    """Return every `Group` of residuals whose size was estimated: unknown errors, and the spread of a few batches."""
    groups = [group for _, group in unknown_groups(problem, minimum)]
    for rows in rounded(problem, minimum):
        if scatter := problem.tests[rows.members[0]].relative_uncertainty:
            groups.append(rows.group(scatter))
    if spread_freedom(problem):  # the spread of batches is known no better than their number and what is usual allow
        held = [key for key, prior in problem.nuisances.items() if np.isfinite(prior.spread)]
        factors = [*map(batch_key, problem.batches), *([NEXT_BATCH] if problem.next_batch else [])]
        rows = sum(problem.counts) + np.array([held.index(key) for key in factors])
        squares = float(np.sum(minimum.residuals[rows] ** 2))
        told, missing = told_and_missing(problem, minimum)
        usual, freedom = (missing * (USUAL_SPREAD / problem.batch_spread) ** 2, missing), told + missing
        groups.append(Group(rows, squares, freedom, of_batches=True, inside=usual))
    if problem.record_spread > 0 and (differences := record_freedom(problem)):
        held = [key for key, prior in problem.nuisances.items() if np.isfinite(prior.spread)]
        rows = sum(problem.counts) + np.array([held.index(key) for key in problem.record_keys.values()])
        squares = float(np.sum(minimum.residuals[rows] ** 2))
        groups.append(Group(rows, squares, float(differences), of_batches=True))
    return tuple(groups)


def informative(problem, minimum):
    """Return the Jacobian without the rows whose unknown error size nothing is left to estimate from."""
    silent = [group.rows for group in error_groups(problem, minimum) if group.freedom <= LEAST_FREEDOM]
    return np.delete(minimum.jacobian, np.concatenate(silent), axis=0) if silent else minimum.jacobian


def likeliest(problem, trials, short=SHORT, long=LONG):
    """Return the least `Minimum` reached from many trials: all are judged, a few searched on, the best of those finished.

    Trials at which something that readings share does nothing stay so, no slope leading away: the best at which all of it does something goes on too.
    """
    with np.errstate(all="ignore"):
        squares = np.sum(np.square(problem.residuals(np.clip(trials, *problem.box))), axis=1)
        found = [trials[place] for place in np.argsort(np.where(np.isfinite(squares), squares, np.inf), kind="stable")]
        reached = _searched(problem, found[: short[0]], short[1])
        first = [*reached[: long[0]], *[one for one in reached[long[0] :] if not dead(problem, one).any()][:1]]
        return _searched(problem, [one.theta for one in first], long[1])[0]


def _searched(problem, starts, most):
    """Return the `Minimum` reached from each start in so many steps at the most, the least first."""
    found = [minimise(problem, start, problem.scales(start), most=most, trust=1e-2) for start in starts]
    return sorted(found, key=lambda minimum: minimum.chi_square)


def slip_trials(problem, start, slips, most, known=None):
    """Return coordinate vectors for trial slip laws, each with the law that its rough curve without slip suggests; what readings share else as `known`."""
    trials = []
    for rank in range(min(max(map(len, slips)), most)):
        chosen = [starts[min(rank, len(starts) - 1)] for starts in slips]
        slipping = {id(run) for one in chosen for run in one.runs}
        curves = [problem.at_reference(t, *t.rough_curve()) for t in problem.tests if id(t) not in slipping]
        curves += [(one.shear_rate, one.shear_stress) for one in chosen]
        rates, stresses = (np.concatenate(parts) for parts in zip(*curves, strict=True))
        trials += starts_of(
            problem,
            start,
            (rates, stresses),
            {**(known or {}), **{k: v for one in chosen for k, v in one.nuisance.items()}},
        )
    return trials


def starts_of(problem, start=None, curve=None, nuisance=None):
    """Return coordinate vectors to start from: the user's, or the law's guess for a curve and a contrasting one."""
    law_class = problem.law_class
    rates, stresses = problem.curve if curve is None else curve
    if not len(rates):
        rates, stresses = np.array([0.1, 10.0]), problem.typical_stress * np.array([1.0, 1.5])
    given = dict(start or {}) if start is None or isinstance(start, dict) else start.values
    nuisance = (nuisance or {}) | {name: given.pop(name) for name in problem.nuisances if name in given}
    if given:
        missing = set(law_class.parameters()) - set(given) - set(problem.fixed)
        with trusted():
            guess = law_class.guess(rates, stresses).values | problem.start_effects if missing else {}
        first = law_class(**(guess | given | problem.fixed))
        return [problem.coordinates(first, nuisance)]
    with trusted():
        guess = replace(law_class.guess(rates, stresses), **problem.start_effects)
    laws = [guess]
    if "yield_stress" in problem.free:
        alone = [(t, t.yield_stresses() / (1.3 if t.state == "static" else 1.0)) for t in problem.tests]
        implied = np.concatenate([problem.at_reference(t, stresses, stresses)[1] for t, stresses in alone])
        least = float(np.min(stresses))
        other = 0.05 * least if guess.yield_stress > 0.5 * least else 0.9 * least
        with trusted():
            laws.append(replace(guess, yield_stress=float(np.median(implied)) if len(implied) else other))
    return [problem.coordinates(law, nuisance) for law in laws]
