"""Fits of several laws to the same readings, ranked: which the readings support, and which not and why."""

import warnings
from dataclasses import replace
from itertools import permutations
from typing import NamedTuple

import numpy as np

from ..framed import framed
from ..inputs import trusted
from ..origins import NOT_TO_BE_USED
from . import consequence
from .advice import WEAK, advice
from .estimate import smallest_size, unknown_groups
from .problem import Problem
from .search import Minimum, minimise
from .stamp import forbids

CLEAR = 10.0
"""Difference of AICc from which there is no support for a law (Burnham and Anderson 2002, from memory)."""
NO_NEARER = 0.1
"""Of the misfit: a law that comes nearer than another by less has found nothing with what it has more."""
BEST = "describes the readings best"
NOT_DESCRIBED = "does not describe these readings"
FAR = "far less likely"
"""Than the best, of a law that leaves so little of the stress that nobody could say that it does not describe the readings."""
TOO_MANY, TOO_FEW = "too many parameters", "too few readings to compare laws"


def ranked(fits):
    """Return what `compare` does of fits of several laws to the same readings."""
    found = _likeliest(fits)
    with warnings.catch_warnings(action="ignore"):
        likeliest, open_ones = list(found.values()), _open_ones(fits, found)
    best = min(likeliest, key=lambda one: one.misfit)
    by_name, rows, nearer = {_name(one.problem): one for one in fits}, [], {}
    for one in likeliest:
        problem, name, aicc = one.problem, _name(one.problem), one.aicc
        if problem.law_class in open_ones:
            nearer[name], aicc = aicc, np.nan
        squares, rms = one.squares(best.problem.sizes), consequence.rms(by_name[name])
        rows.append([name, problem.free_without_prior, squares, rms, one.misfit, aicc])
    frame = framed(rows, columns=["law", "parameters", "residual_sum", "rms", "misfit", "AICc"]).set_index("law")
    frame = frame.sort_values("AICc", kind="stable")
    frame["difference"] = frame.AICc - frame.AICc.min()
    frame["weight"] = np.exp(-frame.difference / 2) / np.exp(-frame.difference / 2).sum()
    with warnings.catch_warnings(action="ignore"):
        forbidden = bool(frame.AICc.notna().iloc[0]) and forbids(by_name[frame.index[0]])
    no_more = _no_more(likeliest, open_ones, by_name)
    frame["verdict"] = _verdicts(frame, best.problem.total, forbidden, no_more)
    judged = frame.AICc.notna() & ~frame.verdict.str.contains(TOO_MANY)
    out = _contradicted(likeliest, best.problem.sizes)
    rejected = {
        by_name[name]: frame.difference[name] for name in frame.index[judged & (frame.verdict == NOT_DESCRIBED)]
    }
    supported = {by_name[name]: frame.difference[name] for name in frame.index[judged] if name not in out}
    supported = {one: above for one, above in supported.items() if one not in rejected}
    against = [by_name[name] for name in frame.index[judged] if name in out]
    nearer = [by_name[name] for name, aicc in nearer.items() if aicc < frame.AICc.min() - CLEAR and name not in no_more]
    with warnings.catch_warnings(action="ignore"):
        frame.attrs["law"], frame.attrs["advice"] = advice(supported, nearer, rejected, against)
    return frame


def not_ruled_out(fits):
    """Return those of fits of several laws to the same readings that `ranked` does not call far less likely than the best, or no law of these readings.

    Without asking which parameters the readings leave open, which takes long: a law that leaves one is judged as if they told it.
    """
    found = _likeliest(fits)
    judged = [one for one in found.values() if np.isfinite(one.aicc)]
    if not judged:
        least = min(one.misfit for one in found.values())
        return [one for one in fits if found[one.problem.law_class].misfit <= least + CLEAR]
    best = min(judged, key=lambda one: one.aicc)
    near = {
        law_class
        for law_class, one in found.items()
        if one.misfit <= best.misfit + WEAK or one.aicc - best.aicc <= CLEAR
    }
    return [one for one in fits if one.problem.law_class in near]


def _name(problem):
    return problem.law_class.name or problem.law_class.__name__


def _no_more(likeliest, open_ones, by_name):
    """Return the name of the law that each law is no more than: it holds it, goes no nearer, and a parameter is open or at its bound."""
    found = {}
    for outer in likeliest:
        outer_class, one = outer.problem.law_class, by_name[_name(outer.problem)]
        few = outer.problem.total <= outer.count + 1  # which is said of it then
        if few or (outer_class not in open_ones and not any(map(one.is_at_bound, one.problem.free))):
            continue
        for inner in likeliest:
            inner_class = inner.problem.law_class
            held = inner_class is not outer_class and inner_class not in open_ones and _holds(outer_class, inner)
            if held and inner.misfit <= outer.misfit + NO_NEARER:
                found[_name(outer.problem)] = _name(inner.problem)
    return found


def _contradicted(likeliest, sizes):
    """Return the names of laws that tests of the yield stress speak against: however little they leave at rates, they are not the paste's."""
    against = {_name(one.problem): one.squares(sizes, at_rates=False) for one in likeliest}
    return {name for name, squares in against.items() if squares > min(against.values()) + CLEAR}


def _holds(law_class, inner):
    """Return the values at which a law is another one as it was fitted; None where it never is."""
    with trusted():
        return law_class.holding(inner.problem.law(inner.minimum.theta))


def _open_ones(fits, found):
    """Return the laws of which the readings set no limit to one of the parameters.

    Limits, which take long, are asked in the order of the misfit, as far as a law might be taken: near the best that has them all.
    """
    open_ones, most = set(), np.inf
    for one in sorted(fits, key=lambda one: found[one.problem.law_class].misfit):
        law_class, free = one.problem.law_class, set(one.problem.free)
        near = found[law_class].misfit <= most + CLEAR
        if not free.isdisjoint(one.unidentified) or (near and not free.isdisjoint(one.not_identified)):
            open_ones.add(law_class)
        else:
            most = min(most, found[law_class].misfit)
    return open_ones


class _Likeliest(NamedTuple):
    """One law where it is likeliest: the places of the tests of each error size of its own, and its misfit."""

    problem: Problem
    minimum: Minimum
    own: tuple
    misfit: float

    @property
    def count(self):
        """Number of parameters that no prior holds, error sizes of its own among them."""
        return self.problem.free_without_prior + len(self.own)

    @property
    def aicc(self):
        """Akaike's criterion for few readings; NaN where they are too few for it."""
        k, left = self.count, self.problem.total - self.count - 1
        return self.misfit + 2 * k + 2 * k * (k + 1) / left if left > 0 else np.nan

    def squares(self, sizes, at_rates=True):
        """Return the sum of squares in other error sizes; without those at rates, of tests of the yield stress and of priors alone."""
        problem, count = self.problem, sum(self.problem.counts)
        scale = np.divide(problem.sizes, sizes)
        if not at_rates:
            with trusted():
                law = problem.law(self.minimum.theta)
                scale = scale * [not len(test.shear_rates(law)) for test in problem.tests]
        squares = np.square(self.minimum.residuals)
        return float(np.sum(squares[:count] * np.repeat(scale, problem.counts) ** 2) + np.sum(squares[count:]))


def _likeliest(fits):
    """Return every law of some fits where it is likeliest, by its class: with its own error sizes where the readings tell them."""
    law_classes = [one.problem.law_class for one in fits]
    with warnings.catch_warnings(action="ignore"):
        largest = max(fits, key=lambda one: one.problem.free_without_prior)
        least = largest.problem.free_without_prior + 1  # readings that tell an error size beside the parameters
        groups = unknown_groups(largest.problem, largest.minimum)
        own = tuple(tuple(members) for members, group in groups if len(group.rows) > least)
        found = {}
        for one in fits:
            sizes = list(largest.problem.sizes)
            for place in (place for members in own for place in members):
                sizes[place] = one.problem.sizes[place]
            spreads = {
                name: getattr(largest.problem, name)
                for name in ("batch_spread", "run_spread", "run_slopes", "record_spread")
            }
            tests = largest.problem.tests  # with the scatter beside rounding that the law of most parameters leaves
            problem = replace(one.problem, tests=tests, sizes=tuple(sizes), **spreads)
            apart = bool(problem.record_spread) != bool(one.problem.record_spread)
            theta = problem.coordinates(one.law, one.nuisance) if apart else one.minimum.theta
            found[problem.law_class] = _settled(problem, theta, own)
        for inner_class, outer_class in permutations(sorted(law_classes, key=lambda one: len(one.parameters())), 2):
            inner, outer = found[inner_class], found[outer_class]
            values = _holds(outer_class, inner) if outer.misfit > inner.misfit else None
            if values is not None:
                nuisance = inner.problem.nuisance_values(inner.minimum.theta)
                problem = replace(outer.problem, sizes=inner.problem.sizes)
                with trusted():
                    theta = problem.coordinates(outer_class(**values), nuisance)
                again = _settled(problem, np.clip(theta, *problem.box), own)
                found[outer_class] = again if again.misfit < outer.misfit else outer
        return found


def _settled(problem, theta, own):
    """Return the law where it is likeliest: least squares and error sizes in turn; each turn lowers the misfit."""
    for _ in range(200):
        minimum = minimise(problem, theta, problem.scales(theta))
        theta, sizes, misfit = minimum.theta, list(problem.sizes), minimum.chi_square
        for members, group in unknown_groups(problem, minimum):
            if tuple(members) not in own:
                continue
            squares, count = group.squares + group.inside[0], len(group.rows) + group.inside[1]
            raw, factor = squares * problem.sizes[members[0]] ** 2, np.sqrt(squares / count)
            for place in members:
                sizes[place] = max(sizes[place] * factor, smallest_size(problem.tests[place]))
            size = sizes[members[0]]
            misfit += raw / size**2 - count + 2 * count * np.log(size) - group.squares
        change = np.max(np.abs(np.log(np.divide(sizes, problem.sizes))), initial=0.0)
        if change < 1e-9:
            break
        problem = replace(problem, sizes=tuple(sizes))
    return _Likeliest(problem, minimum, own, float(misfit))


def _verdicts(frame, count, forbidden, no_more):
    """Return a verdict for each law, best first; `forbidden` says that checks of the first law's fit forbid to use it.

    `no_more` names the law that another is no more than.

    A law that follows the readings as well as the best, and is turned down for its parameters alone, is no wrong law:
    there are too few readings for it.
    """
    judged = frame.AICc.notna()
    second = frame.difference.iloc[1] if judged.sum() > 1 else np.inf
    out = []
    for place, (difference, misfit) in enumerate(zip(frame.difference, frame.misfit, strict=True)):
        if frame.index[place] in no_more and misfit <= frame.misfit.min() + CLEAR:
            out.append(f"no more than {no_more[frame.index[place]]}: {TOO_MANY}")
        elif not judged.iloc[place]:
            far = misfit > frame.misfit.min() + CLEAR
            out.append(NOT_DESCRIBED if far else too_many(count))
        elif judged.sum() == 1 < len(frame):
            out.append(TOO_FEW)
        elif place == 0:
            out.append(BEST if second > WEAK else "best, but not to be told apart from the next")
        elif difference <= WEAK:
            out.append("not to be told apart from the best")
        elif misfit <= frame.misfit.iloc[0] + WEAK and difference > CLEAR:
            out.append(too_many(count))
        elif difference <= CLEAR:
            out.append("less likely")
        else:
            out.append(FAR if frame.rms.iloc[place] < consequence.SMALL else NOT_DESCRIBED)
    if forbidden:
        said = "best of these, but" if out[0] == BEST else f"{out[0]};"
        out[0] = f"{said} its checks failed: {NOT_TO_BE_USED}"
    return out


def too_many(count):
    """Return the verdict of a law that asks more of so many readings than they hold."""
    return f"{TOO_MANY} for {count} reading{'' if count == 1 else 's'}"
