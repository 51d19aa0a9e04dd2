"""Do the readings show what a condition does, and does it explain what sets the records apart?

A law over temperature, water or age follows what moves with them. What sets records apart beside that is none of it: another filling, rest or
lot. Batches, runs and records have factors of their own for it, which intervals hold (see `paste_factors`); how far they lie apart is said.
"""

import numpy as np

from ..checking import Check
from ..laws.condition_words import in_words
from ..nomenclature import QUANTITIES, between, sentence, with_limits, written
from .lack_of_fit import left
from .paste_factors import LEAST_SPREAD, batch_key
from .residuals import ALARMS, limit, rows_of

REPEATS = 0.10  # of the stress, by which records of one paste may differ; common practice, no source


def all_checks(result):
    """Return the rows that can be asked; none of a law that depends on no condition."""
    return [*shown(result), *records_repeat(result), *batches_repeat(result)] if result.law.depends_on else []


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
    return [Check("effects of conditions shown", str(passed), "told from none", passed, sentence(words))]


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
    return [
        Check(
            "records differ by their conditions alone",
            apart,
            REPEATS,
            passed,
            comment,
            rows,
            bool(apart >= most * error),
        )
    ]


def batches_repeat(result):
    """Say whether one batch lies off the law by more than the others scatter, beside what their conditions explain."""
    found, batches = _levels(result), result.problem.batches
    tests = {batch: [one for one in found if one[0].batch == batch] for batch in batches}
    if result.batch_spread is None or result.batch_spread[1] < 2 or not all(tests.values()):
        return []
    from scipy.special import stdtrit

    above = np.array([
        np.log(result.nuisance[batch_key(batch)]) + np.average([one[1] for one in of], weights=[one[2] ** -2 for one in of])
        for batch, of in tests.items()
    ])  # fmt: skip
    columns = [np.ones(len(batches))]
    for condition, reference in result.problem.law_class.conditions:
        if condition.parameter_name in result.problem.free:
            at = np.array(
                [np.mean([np.mean(one[0].conditions[condition.name]) for one in of]) for of in tests.values()]
            )
            stress, rate = condition.factors(at, reference, condition.parameter.size)
            columns.append(np.broadcast_to(np.log(stress) + np.log(rate), at.shape))
    design = np.column_stack(columns)
    hat = design @ np.linalg.pinv(design)
    left_over, free = above - hat @ above, np.clip(1 - np.diag(hat), 1e-9, None)
    others = len(batches) - round(float(np.trace(hat))) - 1  # degrees of freedom, the batch in question left out
    if others < 1:
        return []
    squares = np.maximum(np.sum(left_over**2) - left_over**2 / free, 0.0) / others
    spread, apart = np.sqrt(np.maximum(squares, LEAST_SPREAD**2)), left_over / free
    rarest = int(np.argmax(np.where(free > 1e-6, np.abs(apart) * np.sqrt(free) / spread, 0.0)))
    size = float(abs(apart[rarest]))
    most = float(stdtrit(others, 1 - ALARMS / len(batches) / 2) * spread[rarest] / np.sqrt(free[rarest]))
    passed = bool(size < REPEATS or size < most)
    at = tests[batches[rarest]][0][0]
    comment = (
        f"Beside what conditions explain batch {batches[rarest]} ({_at(at)}) lies {written(abs(np.expm1(apart[rarest])), '%', 2)} "
        f"{'above' if apart[rarest] > 0 else 'below'} what the other batches say, where chance makes up to {written(most, '%', 2)}."
    )
    if not passed:
        comment += " That is no effect of a condition: look at its filling, rest, drying and lot."
    rows = () if passed else rows_of([one[0] for one in tests[batches[rarest]]], result)
    return [Check("no batch apart from the others", size, REPEATS, passed, comment, rows, bool(size >= most))]


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
    return f"{test.name} ({_at(test)}) lies {written(abs(np.expm1(share)), '%', 2)} {'above' if share > 0 else 'below'} the law"


def _at(test):
    """Return the conditions of a test in words."""
    return ", ".join(
        in_words(name, float(np.min(value)), float(np.max(value))) for name, value in test.conditions.items()
    )
