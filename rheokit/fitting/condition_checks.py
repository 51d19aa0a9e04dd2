"""Do the readings show what a condition does, and does it explain what sets the records apart?

A law over temperature, water or age follows what moves with them. What sets records apart beside that is none of it: another filling, rest or
lot. Batches, runs and records have factors of their own for it, which intervals hold (see `paste_factors`); how far they lie apart is said.
"""

import numpy as np

from ..checking import Check
from ..laws.condition_words import in_words
from ..nomenclature import QUANTITIES, between, with_limits, written
from .lack_of_fit import left
from .residuals import limit, rows_of

REPEATS = 0.10  # of the stress, by which records of one paste may differ; common practice, no source


def all_checks(result):
    """Return the rows that can be asked; none of a law that depends on no condition."""
    return [*shown(result), *records_repeat(result)] if result.law.depends_on else []


def shown(result):
    """Do the readings tell the effect of each condition from none?"""
    told, passed = [], True
    for condition, _ in result.problem.law_class.conditions:
        name, about = condition.parameter_name, QUANTITIES[condition.parameter_name]
        if name not in result.problem.free:
            continue
        (low, high), value = result.limits(name), float(result.law.effects[name])
        read = in_words(condition.name, *result.condition_ranges[condition.name])
        if name in result.not_identified:
            passed = False
            ends = f"95 % from {between(low, high, about)}" if np.isfinite(high) else "no limit"
            told.append(
                f"the {name.replace('_', ' ')} is open ({ends}), no effect and a usual one among it: needs {result.not_identified[name]}"
            )
        else:
            told.append(f"{name.replace('_', ' ')} {with_limits(value, low, high, about)}, read at {read}")
    if not told:
        return []
    words = "; ".join(told)
    return [
        Check("effects of conditions shown", str(passed), "told from none", passed, f"{words[0].upper()}{words[1:]}.")
    ]


def records_repeat(result):
    """Do records of one batch lie on one law, beside what their conditions explain?"""
    found = _levels(result)
    pairs = [
        (abs(a[1] - b[1]), np.hypot(a[2], b[2]), *sorted((a, b), key=lambda one: one[1]))
        for place, a in enumerate(found)
        for b in found[:place]
        if a[0].batch == b[0].batch and a[0].kind == b[0].kind
    ]
    if not pairs:
        return []
    most = limit(len(pairs))
    apart, error, low, high = max(pairs, key=lambda one: one[0])
    passed = bool(apart < REPEATS or apart < most * error)
    comment = (
        f"Beside what conditions explain {_said(low)} and {_said(high)}: {written(np.expm1(apart), '%', 2)} apart, where chance makes up "
        f"to {written(most * error, '%', 2)}."
    )
    if result.problem.record_spread > 0:
        comment += (
            f" The limits hold a spread of {written(result.problem.record_spread, '%', 2)} from record to record."
        )
    if not passed:
        comment += " That is no effect of a condition: look at filling, rest, drying and lot."
    rows = () if passed else rows_of([low[0], high[0]], result)
    return [Check("records differ by their conditions alone", apart, REPEATS, passed, comment, rows)]


def _levels(result):
    """Return (test, ln of its level over the law, standard error) of every record that has no runs of its own."""
    shares, weights = left(result)
    first, runs = np.cumsum([0, *result.problem.counts]), {run.test for run in result.problem.runs}
    found = []
    for place, test in enumerate(result.tests):
        rows = slice(first[place], first[place + 1])
        total = float(np.sum(weights[rows]))
        if place not in runs and not test.general and total > 0:
            own = np.log(result.nuisance.get(result.problem.record_keys.get(test), 1.0))
            found.append((test, float(np.sum(weights[rows] * shares[rows]) / total) + own, total**-0.5))
    return found


def _said(level):
    test, share, _ = level
    at = ", ".join(
        in_words(name, float(np.min(value)), float(np.max(value))) for name, value in test.conditions.items()
    )
    return (
        f"{test.name} ({at}) lies {written(abs(np.expm1(share)), '%', 2)} {'above' if share > 0 else 'below'} the law"
    )
