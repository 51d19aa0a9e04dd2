"""Do tests of one paste contradict each other? The errors of their own theories must not swallow it.

A fit meets a contradiction by pushing the factors that stand for those errors, and the law with them, each a little. So
each kind of test is given a level of its own that nothing holds, and the whole is fitted again: where that lowers the misfit
by more than chance does, the kind and the others do not speak of one paste. What each says alone is then told.

A law has a way of its own to follow both: over rates of less than a decade or two near rest, a flow index near zero makes
the viscous stress a second yield stress, which slow readings see and a slump does not. Hardly any paste does so: where the fit ends
at a flow index outside the usual range and nothing is found, the question is asked again with the nearest usual one.
"""

from dataclasses import replace

import numpy as np

from ..bench.base import Shared, quantity_of
from ..checking import Check
from ..inputs import trusted
from ..nomenclature import between, capital, number, with_decimals, written
from .consequence import SMALL
from .freed import freed
from .residuals import chance_words, limit, rarity, rows_of

EXACT = 1e-9
LOOSE = 20.0  # sd of ln of a level that nothing holds: a factor of ten costs a hundredth of chi-square
AS_BOUND = {-1: "at most ", 0: "", 1: "at least "}
USUAL_INDEX = (0.2, 1.2)  # of the flow index of pastes and gels; common practice, no source


def kinds_agree(result):
    """Do the kinds of test agree within their stated errors, those of their theories too?"""
    kinds = list(dict.fromkeys(test.kind for test in result.tests if not test.general))
    if len(kinds) < 2:
        return []
    with trusted():
        row = _asked(result, kinds)
        usual, words = _usual(result) if row.passed else (result, "")
        if words:
            again = _asked(usual, kinds)
            row = row if again.passed else again._replace(comment=words + again.comment)
    return [row]


def _asked(result, kinds):
    """Return the row of the kind of test that lies farthest from the others."""
    found, unread = [], [kind for kind in kinds if _bounds_alone(result, kind)]
    for kind in (unread or kinds)[-1:] if len(kinds) == 2 else kinds:  # of two kinds one level says all
        rest = alone(result, [other for other in kinds if other != kind])
        found.append((*level_apart(result, kind, rest), kind, rest))
    most = limit(len(found))
    rare, factor, kind, rest = max(found, key=lambda one: np.nan_to_num(one[0], nan=most * (1 - EXACT)))
    if np.isnan(rare):
        comment = (
            f"Not known whether {kind} agrees with the others: the search with a level of its own did not end at a least sum of squares. Fit "
            "each kind alone and compare."
        )
        return Check("kinds of test agree", rare, most, False, comment)
    passed = bool(rare < most or abs(np.log(factor)) < SMALL)
    chance = f"{chance_words(rare, most)}, the errors of all theories counted"
    comment = f"Farthest from the others: {kind}, which reads {number(factor, 2)} times what they say ({chance})."
    if kind in unread:
        name = capital(kind)
        comment = f"{name} read no number, only bounds, which hold by what is read besides ({chance})."
    rows = ()
    if not passed:
        one = alone(result, [kind], rest.law)
        comment = (
            f"{_says(one, rest)}: a factor of {number(max(factor, 1 / factor), 2)} in stress ({chance}). Both cannot hold of one paste. Look for "
            "a wrong unit or dimension, slip, drainage, a sliding foot, drying, or another batch in either; leave one out only "
            "for a reason found outside the fit."
        )
        rows = rows_of([test for test in result.tests if test.kind == kind], result)
    return Check("kinds of test agree", rare, most, passed, comment, rows, bool(rare >= most))


def _bounds_alone(result, kind):
    """Return whether no test of a kind read a number."""
    return all(np.all(test.bounds[0] != 0) for test in result.tests if test.kind == kind)


def _usual(result):
    """Return the fit with a flow index that pastes have, and what to say where it had none."""
    index = result.law.values.get("flow_index") if {"yield_stress", "flow_index"} <= set(result.problem.free) else None
    if index is None or USUAL_INDEX[0] <= index <= USUAL_INDEX[1]:
        return result, ""
    usual = float(np.clip(index, *USUAL_INDEX))
    stated, law = result.problem.fixed | {"flow_index": usual}, replace(result.law, flow_index=usual)
    own = [own for test in result.tests if (own := test.own_yield_stress) is not None]
    near = [law, *(replace(law, yield_stress=value) for value in own)]
    words = (
        f"The fit follows all tests with a flow index of {number(float(index))} alone (pastes usually have "
        f"{with_decimals(USUAL_INDEX[0])} to {with_decimals(USUAL_INDEX[1])}); with {with_decimals(usual)}, "
    )
    asked = result.problem.law_class, result.tests, stated
    return result.of(*asked, near=near, benches=result.benches, use_range=result.use_range), words


def level_apart(result, kind, rest):
    """Return how rare it is that a kind of test lies so far from the `rest`, as a normal deviate, and its level over theirs.

    Both misfits are in the error sizes of the freer fit.
    """
    tests = tuple(replace(test, model_error=LOOSE) if test.kind == kind else test for test in result.tests)
    found = freed(result, tests, [result.law, rest.law], least=0.0)
    gain, factor, freedom = np.maximum(found.gain, 0.0), found.nuisance[Shared("model_factor", kind)], found.freedom
    if freedom is None or not found.known:
        return float(np.sqrt(gain)), factor
    if freedom < 1:
        return 0.0, factor
    from scipy.special import stdtr

    return float(rarity(2 * stdtr(freedom, -np.sqrt(gain)))), factor


def alone(result, kinds, near=None):
    """Return the fit of some kinds of test alone, started near a law."""
    return result.part([test for test in result.tests if test.kind in kinds], near)


def _says(one, rest):
    """Return in words what a kind of test and the others say: yield stresses alone, else what was read and predicted."""
    test, others = one.tests[0], " and ".join(dict.fromkeys(test.kind for test in rest.tests))
    if "yield_stress" in one.problem.free:
        (a, b), (c, d) = (each.limits("yield_stress") for each in (one, rest))
        if min(a, c) > 0 and np.isfinite([b, d]).all():
            return f"{test.kind} alone says a yield stress of {between(a, b, 'Pa')}, {others} {between(c, d, 'Pa')}"
    unit, predicted = quantity_of(test, test.reads).unit, test.predict(rest.law, rest.nuisance)
    foretold = f"{'predict' if ' and ' in others else 'predicts'} {written(predicted[0], unit)}"
    side, bound = (ends[0] for ends in test.bounds)
    read = f"{AS_BOUND[int(side)]}{written(bound, unit)}"
    return f"{test.name} {test.rows_where([0])} reads {read} where {others} {foretold}"
