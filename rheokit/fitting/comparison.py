"""Several laws to the same readings: which is worth its parameters?"""

import warnings
from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..bench import Bench, BenchTest
from ..errors import DataError
from ..framed import framed
from ..hints import Table
from ..laws import FlowLaw
from ..origins import NOT_TO_BE_USED
from ..progress import part_of
from ..things import called
from .asked import fit
from .estimate import smallest_size, unknown_groups
from .problem import Problem
from .search import Minimum, minimise
from .stamp import forbids

CLEAR, WEAK = 10.0, 2.0
"""Differences of AICc: no support, and not to be told apart (Burnham and Anderson 2002, from memory)."""
BEST = "describes the readings best"
NESTED = (
    ("Newtonian", "Bingham"),
    ("Newtonian", "power law"),
    ("Newtonian", "Casson"),
    ("power law", "Herschel-Bulkley"),
    ("Bingham", "Herschel-Bulkley"),
)


def compare(law_classes: Iterable[type[FlowLaw]], *tests_or_bench: Bench | BenchTest) -> Table:
    """Fit several laws to the same readings and rank them.

    Parameters
    ----------
    law_classes : sequence of type
        Subclasses of FlowLaw.
    *tests_or_bench : Bench or BenchTest

    Returns
    -------
    comparison : DataFrame
        Index: the law's name, best first. Columns: parameters (those that no prior holds), residual_sum (in standard
        uncertainties; an unknown error size is that of the first law), misfit, AICc, difference, weight, verdict. With too
        few readings for AICc, or none that set a limit to one of its parameters, a law has no AICc and its verdict is "too
        many parameters for N readings". The verdict of the first law says too where the checks of its fit forbid to use it.

    Notes
    -----
    AICc = misfit + 2k + 2k(k+1)/(N-k-1). The misfit is -2 ln likelihood but for a constant: χ² of readings with stated
    uncertainties and of priors, and N_g ln(squares/N_g) for each set of N_g readings that share an unknown error size, its
    squares as read; each such size counts in k. Sets too small to tell their error size, and the spread of batches, keep the
    size that the law of most parameters finds. A law that contains another never has the larger misfit: where a search
    says otherwise, the larger law is fitted again from the smaller one's end.
    """
    if isinstance(law_classes, str) or not isinstance(law_classes, Iterable):
        raise TypeError(
            f"compare: {called(law_classes)} is no list of laws; give one such as [rk.PowerLaw, rk.HerschelBulkley], and then "
            "the bench."
        )
    law_classes = list(law_classes)
    if not law_classes:
        raise DataError("compare: no law was given; give a list such as [rk.PowerLaw, rk.HerschelBulkley].")
    return ranked(fits_of(law_classes, tests_or_bench))


def fits_of(law_classes, tests_or_bench, known=()):
    """Return the fit of each law to the same readings; those that are `known` need no search."""
    known, fits = {one.problem.law_class: one for one in known}, []
    with warnings.catch_warnings(action="ignore"):
        for place, law_class in enumerate(law_classes, 1):
            with part_of(f"{place} of {len(law_classes)}"):
                fits.append(known.get(law_class) or fit(law_class, *tests_or_bench))
    return fits


def ranked(fits):
    """Return what `compare` does of fits of several laws to the same readings."""
    likeliest, open_ones = _likeliest(fits)
    best = min(likeliest, key=lambda one: one.misfit)
    rows = []
    for one in likeliest:
        problem, count = one.problem, one.problem.total
        k = problem.free_without_prior + len(one.own)
        left = 0 if problem.law_class in open_ones else count - k - 1
        aicc = one.misfit + 2 * k + 2 * k * (k + 1) / left if left > 0 else np.nan
        name = problem.law_class.name or problem.law_class.__name__
        rows.append([name, problem.free_without_prior, one.squares(best.problem.sizes), one.misfit, aicc])
    frame = framed(rows, columns=["law", "parameters", "residual_sum", "misfit", "AICc"]).set_index("law")
    frame = frame.sort_values("AICc", kind="stable")
    frame["difference"] = frame.AICc - frame.AICc.min()
    frame["weight"] = np.exp(-frame.difference / 2) / np.exp(-frame.difference / 2).sum()
    by_name = {one.problem.law_class.name or one.problem.law_class.__name__: one for one in fits}
    with warnings.catch_warnings(action="ignore"):
        forbidden = bool(frame.AICc.notna().iloc[0]) and forbids(by_name[frame.index[0]])
    frame["verdict"] = _verdicts(frame, best.problem.total, forbidden)
    return frame


class _Likeliest(NamedTuple):
    """One law where it is likeliest: the places of the tests of each error size of its own, and its misfit."""

    problem: Problem
    minimum: Minimum
    own: tuple
    misfit: float

    def squares(self, sizes):
        """Return the sum of squares in other error sizes."""
        count = sum(self.problem.counts)
        scale = np.repeat(np.divide(self.problem.sizes, sizes), self.problem.counts)
        squares = np.square(self.minimum.residuals)
        return float(np.sum(squares[:count] * scale**2) + np.sum(squares[count:]))


def _likeliest(fits):
    """Return every law of some fits where it is likeliest, and laws left open.

    Each law has its own error sizes where the readings tell them. A law is left open where the readings set no limit to one of its parameters.
    """
    law_classes = [one.problem.law_class for one in fits]
    with warnings.catch_warnings(action="ignore"):
        open_ones = {one.problem.law_class for one in fits if not set(one.problem.free).isdisjoint(one.not_identified)}
        largest = max(fits, key=lambda one: one.problem.free_without_prior)
        least = largest.problem.free_without_prior + 1  # readings that tell an error size beside the parameters
        groups = unknown_groups(largest.problem, largest.minimum)
        own = tuple(tuple(members) for members, group in groups if len(group.rows) > least)
        found = {}
        for one in fits:
            sizes = list(largest.problem.sizes)
            for place in (place for members in own for place in members):
                sizes[place] = one.problem.sizes[place]
            spreads = {name: getattr(largest.problem, name) for name in ("batch_spread", "run_spread", "run_slopes")}
            problem = replace(one.problem, sizes=tuple(sizes), **spreads)
            found[problem.law_class] = _settled(problem, one.minimum.theta, own)
        for names in NESTED:
            pair = [next((c for c in law_classes if c.name == name), None) for name in names]
            if None in pair:
                continue
            inner, outer = found[pair[0]], found[pair[1]]
            if outer.misfit > inner.misfit:
                theta = inner.minimum.theta
                law, nuisance = inner.problem.law(theta), inner.problem.nuisance_values(theta)
                problem = replace(outer.problem, sizes=inner.problem.sizes)
                theta = problem.coordinates(pair[1](**_embedded(law, pair[1])), nuisance)
                again = _settled(problem, theta, own)
                found[pair[1]] = again if again.misfit < outer.misfit else outer
    return list(found.values()), open_ones


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


def _embedded(law, law_class):
    """Return the parameters of a larger law that equal a smaller one."""
    own = law.values
    viscosity = own.get("viscosity", own.get("plastic_viscosity"))
    shared = {"yield_stress": 0.0, "consistency": viscosity, "flow_index": 1.0, "plastic_viscosity": viscosity}
    values = shared | own
    return {name: float(values[name]) for name in law_class.parameters()}


def _verdicts(frame, count, forbidden):
    """Return a verdict for each law, best first; `forbidden` says that checks of the first law's fit forbid to use it.

    A law that follows the readings as well as the best, and is turned down for its parameters alone, is no wrong law:
    there are too few readings for it.
    """
    judged = frame.AICc.notna()
    too_many = f"too many parameters for {count} reading{'' if count == 1 else 's'}"
    second = frame.difference.iloc[1] if judged.sum() > 1 else np.inf
    out = []
    for place, (difference, misfit) in enumerate(zip(frame.difference, frame.misfit, strict=True)):
        if not judged.iloc[place]:
            far = misfit > frame.misfit.min() + CLEAR
            out.append("does not describe these readings" if far else too_many)
        elif judged.sum() == 1 < len(frame):
            out.append("too few readings to compare laws")
        elif place == 0:
            out.append(BEST if second > WEAK else "best, but not to be told apart from the next")
        elif difference <= WEAK:
            out.append("not to be told apart from the best")
        elif misfit <= frame.misfit.iloc[0] + WEAK and difference > CLEAR:
            out.append(too_many)
        elif difference <= CLEAR:
            out.append("less likely")
        else:
            out.append("does not describe these readings")
    if forbidden:
        said = "best of these, but" if out[0] == BEST else f"{out[0]};"
        out[0] = f"{said} its checks failed: {NOT_TO_BE_USED}"
    return out
