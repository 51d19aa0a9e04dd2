"""What a fit rests on, as the inputs of an uncertainty budget: one row a record's scatter, a factor of a theory, a friction.

A fit is the least sum of squares of standardised residuals, one a reading and one a prior, so near its end each input moves it in proportion:
one standard uncertainty of input i moves the coordinates by column i of the pseudo-inverse of the Jacobian J, and the answer, with gradient g, by
c_i = g J⁺_i. The inputs are independent, and the squares add up to the variance that J itself gives the answer, gᵀ(JᵀJ)⁻¹g, to the last digit.
"""

import re
from typing import NamedTuple

import numpy as np

from ..bench.base import quantity_of
from ..bench.gathered import count_of, counts_of
from ..bench.whence import measured_by, read_from
from ..nomenclature import between, written
from .budget_readings import apart, sizes_of
from .estimate import unknown_groups
from .paste_factors import LACK_OF_FIT, NEXT_BATCH, record_freedom
from .rounding import rounded
from .run_factors import allowed_for, freedom_of, told_by_runs

A, B = "A", "B"
NORMAL, LOGNORMAL, RECTANGULAR = "normal", "lognormal", "rectangular"
ROUNDED_AND_MORE = "rectangular and as stated"  # of a reading computed from several: each as its uncertainty was stated
NO_PRACTICE = "common practice, no source"
STATED, ESTIMATED, BESIDE = (
    "stated of the readings",
    "estimated from the residuals",
    "what the residuals scatter beside rounding",
)
AS_ONE_FACTOR = "stated with ±; one factor at all rates, which follows no extruder of the same dimensions"
ROUNDING = "what readings are rounded to, with what is stated beside it"
OF_BOTH = " (of kind B, since what is usual tells more of it than the batches read, which are of kind A)"
OF_RUNS = "how far the runs lie apart, pooled with what is usual, and widened by Student's t of their number"
IN_WORDS = {
    "criterion_factor": "criterion of yield, von Mises against others",
    "static_ratio": "static over dynamic yield stress",
    "bore_factor": "true bore over stated bore",
    "wall_friction": "friction at the wall of the plates",
    "ball_rate": "shear rate that a ball sees, over speed and diameter",
}
ASSUMED = dict.fromkeys(("criterion_factor", "static_ratio", "ball_rate"), f"assumed: {NO_PRACTICE}")
OF_FIELD = {"bore_factor": "bore"}


class Input(NamedTuple):
    """One input of a budget.

    `value` and `uncertainty` in `unit`; a scatter of several readings has no one value (NaN). `moves` are the changes of the answer by one
    standard uncertainty of each independent part of the input, signed; `group` names what shares one estimate of its size, with its `freedom`.
    """

    quantity: str
    value: float
    unit: str
    uncertainty: float
    kind: str
    distribution: str
    freedom: float
    moves: np.ndarray
    origin: str
    group: str = ""

    @property
    def contribution(self) -> float:
        """Standard uncertainty of the answer from this input alone."""
        return float(np.sqrt(np.sum(np.square(self.moves))))

    @property
    def sensitivity(self) -> float:
        """Change of the answer over that of the input: signed for one quantity, the root of the sum of squares for several."""
        size = float(self.moves[0]) if np.size(self.moves) == 1 else self.contribution
        return size / self.uncertainty if self.uncertainty else np.nan


def inputs_of(result, moves):
    """Return every `Input` of a fit; `moves` holds the change of the answer by one standard uncertainty of each residual row, shape (N,)."""
    problem, found, first = result.problem, [], np.cumsum([0, *result.problem.counts])
    sizes = _estimated(result)
    for place, test in enumerate(result.tests):
        rows = slice(first[place], first[place + 1])
        own, of_runs = apart(problem, place, moves[rows])
        found += _of_readings(result, place, test, own, *sizes.get(place, ("", np.nan)))
        if len(of_runs):
            found.append(_of_runs(problem, test, of_runs))
    held = [key for key, prior in problem.nuisances.items() if np.isfinite(prior.spread)]
    return found + _of_priors(result, dict(zip(held, moves[first[-1] :], strict=True)))


def assumed_of(result):
    """Return every `Input` of a fit whose size nobody stated and no reading told: what was taken as common practice."""
    moves = np.zeros(len(result.minimum.residuals))
    return [one for one in inputs_of(result, moves) if one.origin.startswith("assumed")]


def _estimated(result):
    """Return, by the place of each record whose error size was estimated, the name of the group that shares it and its freedom."""
    found = {}
    for number, (members, group) in enumerate(unknown_groups(result.problem, result.minimum)):
        found |= dict.fromkeys(members, (f"scatter {number}", group.freedom))
    for number, rows in enumerate(rounded(result.problem, result.minimum)):
        found |= dict.fromkeys(rows.members, (f"beside rounding {number}", rows.freedom))
    return found


def _of_readings(result, place, test, moves, group, freedom):
    """Return the inputs that the readings of one record are: their scatter, and beside it their rounding where that is known alone."""
    about = quantity_of(test, test.reads)
    amount, share = sizes_of(result, place, test)
    whole = np.hypot(amount, share)
    low, high = float(np.min(test.readings)), float(np.max(test.readings))
    ends = written(low, about) if low == high else between(low, high, about)
    name = test.name_and_batch if result.problem.batches else test.name
    means = "" if counts_of(test) is None else f" in {len(test.readings)} means"
    bounds = int(np.count_nonzero(test.bounds[0]))
    limits = f", {bounds} of them at most or at least" if bounds else ""
    count = count_of(test)
    words = f"{name}: {count} reading{'' if count == 1 else 's'} of {about.meaning}{means}, {ends}{limits}"
    value = low if count == 1 else np.nan

    def row(words, size, *kind):
        unit = about.unit
        if test.in_logarithms and len(test.readings) > 1:
            size, unit = size / np.abs(test.readings), "-"
        return Input(words, value, unit, float(np.sqrt(np.mean(np.square(size)))), *kind)

    if test.rounding_alone:
        shape = ROUNDED_AND_MORE if np.ndim(test.uncertainty) else RECTANGULAR
        found = [row(f"{words}: rounding", amount, B, shape, np.inf, moves * amount / whole, ROUNDING)]
        if np.any(share):
            beside = moves * share / whole
            found.append(row(f"{words}: scatter", share, A, NORMAL, freedom, beside, BESIDE, group))
        return found
    if test.error_is_known:
        return [row(words, whole, B, NORMAL, np.inf, moves, STATED)]
    return [row(words, whole, A, NORMAL, freedom, moves, ESTIMATED, group)]


def _of_runs(problem, test, moves):
    """Return the input that the runs of a record are: how far each lies off as a whole.

    What is allowed for is wider than their spread, for how well a few runs tell it; so no degrees of freedom are counted again.
    """
    spread = allowed_for(problem.runs, problem.run_spread, told_by_runs(problem))
    words = f"{test.name}: {len(moves)} runs, each off as a whole"
    told = freedom_of(problem.runs, told_by_runs(problem))
    kind, origin = (A, f"{OF_RUNS}, ν = {told}") if told else (B, f"assumed: {NO_PRACTICE}")
    return Input(words, 1.0, "-", spread, kind, LOGNORMAL, np.inf, np.array(moves), origin)


def _of_priors(result, moves):
    """Return the inputs that priors stand for; `moves` by the key of each nuisance parameter that has one."""
    problem, found = result.problem, []
    batches = [key for key in moves if key.name == "batch_factor" and key != NEXT_BATCH]
    records = [key for key in moves if key.name == "record_factor"]
    of_batches = (
        A if result.batches_told else B,
        LOGNORMAL,
        result.batch_freedom,
        "batches" if result.batch_spread else "",
    )
    between_batches = (
        f"how far the batches lie apart{'' if result.batches_told else OF_BOTH}: {result.between_batches}"
        if result.batch_spread
        else f"assumed: {NO_PRACTICE}"
    )
    for key, one in moves.items():
        prior, move = problem.nuisances[key], np.array([one])
        if key in batches or key in records:
            continue
        if key == NEXT_BATCH:
            kind, shape, freedom, group = of_batches
            words = f"the next batch: how far it lies off the {'median one' if problem.batches else 'batch read'}"
            found.append(Input(words, 1.0, "-", prior.spread, kind, shape, freedom, move, between_batches, group))
        elif key == LACK_OF_FIT:
            words, origin = "what the law leaves along the rate", "what neighbours among the residuals share"
            found.append(Input(words, 1.0, "-", prior.spread, A, LOGNORMAL, np.inf, move, origin))
        elif key.name == "model_factor":
            found += _of_theory(result, key, prior, move)
        else:
            size = prior.spread * (prior.middle if prior.logarithmic else 1.0)
            shape = LOGNORMAL if prior.logarithmic else NORMAL
            words = IN_WORDS.get(key.name, key.name.replace("_", " ")) + (f", {key.of}" if key.of else "")
            origin = ASSUMED.get(key.name) or _told_by_reader(result, key)
            found.append(Input(words, prior.middle, prior.unit, size, B, shape, np.inf, move, origin))
    if batches:
        kind, shape, freedom, group = of_batches
        parts, words = (
            np.array([moves[key] for key in batches]),
            f"median batch, told by {len(batches)} batches that lie apart",
        )
        found.append(Input(words, 1.0, "-", problem.batch_spread, kind, shape, freedom, parts, between_batches, group))
    if records:
        parts, freedom = np.array([moves[key] for key in records]), record_freedom(problem)
        kind, origin = (A, "how far the records lie apart") if freedom else (B, f"assumed: {NO_PRACTICE}")
        more = kind, LOGNORMAL, float(freedom) or np.inf, parts, origin, "records" if freedom else ""
        found.append(Input(f"record to record, {len(records)} records", 1.0, "-", problem.record_spread, *more))
    return found


def _of_theory(result, key, prior, move):
    """Return the inputs behind the factor of a theory: its usual error, and what the reader added for stated dimensions."""
    tests = [test for test in result.tests if test.kind == key.of]
    usual, words = min(type(tests[0]).usual_model_error(tests), prior.spread), f"theory of the {key.of}"
    stated = [getattr(read_from(test), "model_error_stated", True) for test in tests]
    if any(stated):
        origin = "stated as its model error"
        return [Input(words, 1.0, "-", prior.spread, B, LOGNORMAL, np.inf, move, origin)]
    rest = np.sqrt(max(prior.spread**2 - usual**2, 0.0))
    found = [
        Input(
            words, 1.0, "-", usual, B, LOGNORMAL, np.inf, move * usual / prior.spread, f"assumed: usual, {NO_PRACTICE}"
        )
    ]
    if rest > 1e-6 * prior.spread:
        own = sorted({name.replace("_", " ") for test in tests for name in getattr(read_from(test), "pooled", ())})
        names = f"stated dimensions of the {key.of} ({', '.join(own)}), as a factor on its stress"
        found.append(Input(names, 1.0, "-", rest, B, LOGNORMAL, np.inf, move * rest / prior.spread, AS_ONE_FACTOR))
    return found


def _told_by_reader(result, key):
    """Return where a number that a record shares comes from: what the reader's notes say of it, else that it was stated."""
    name = OF_FIELD.get(key.name, key.name)
    owners = [test for test in result.tests if key in test.nuisances()]
    if lent := next(filter(None, (measured_by(test, name) for test in owners)), ""):
        return f"measured by the {lent}"
    for bench in result.benches:
        notes = getattr(getattr(bench, "origin", None), "notes", ())
        for test in owners:
            where = f"[[test]] {getattr(read_from(test), 'entry', -2) + 1}"
            for note in notes:
                if not note.partition(": ")[0].endswith(where):
                    continue
                if name == "bore" and "the nominal bore" in note:
                    return "assumed: nominal, with the tolerance of its gauge"
                if re.search(rf": (the uncertainty of )?{name} is not stated", note):
                    return f"assumed: {NO_PRACTICE}"
    return "stated"
