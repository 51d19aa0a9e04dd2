"""The uncertainty budget of anything that is computed from a fit: what it rests on, and how much of its uncertainty each input brings.

As the Guide to the expression of uncertainty in measurement asks (JCGM 100:2008, 5.1.2 law of propagation for independent inputs, G.4 effective
degrees of freedom by Welch and Satterthwaite, 6 expanded uncertainty; from memory). It is linear, and the interval of a fit is not: where both
agree within a tenth the budget may be read as what the interval is made of; where not, the interval of the profile holds, and it says so.
"""

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from ..brief import WIDTH, one_screen, told_in
from ..errors import DataError, RheokitWarning
from ..framed import framed
from ..hints import OfLaw, Table
from ..laws import FlowLaw
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..progress import step
from ..sampling import LEVEL, SURE, limits_of, students
from ..things import a, called, whole
from . import budget_words as words
from . import predictions, stamp
from .budget_exact import exact_of
from .budget_inputs import Input, apart, each_reading, inputs_of
from .estimate import error_groups
from .identified import FLAT, OPEN
from .misfit import LEAST_FREEDOM
from .result import FitResult

WHERE = "uncertainty_budget"
NEAR = 0.1  # of the expanded uncertainty, within which the ends of an interval are where a linear budget has them
DRAWS = 1000  # as many as pages and scripts take
COLUMNS = [
    "quantity", "value", "unit", "standard_uncertainty", "kind", "distribution", "degrees_of_freedom", "sensitivity",
    "sensitivity_unit", "contribution", "share", "origin",
]  # fmt: skip
LINEAR, LOGARITHMIC = "linear", "logarithmic"


@dataclass(frozen=True, eq=False, repr=False)
class UncertaintyBudget:
    """What the uncertainty of one answer is made of.

    Attributes
    ----------
    value, low, high : float
        The answer, and its 95 % interval by the profile of the fit. [unit]
    unit : str
        SI unit of the answer, as it was named.
    standard_uncertainty : float
        Combined, of all inputs. [unit]
    degrees_of_freedom : float
        Effective, of Welch and Satterthwaite; infinite where nothing was estimated from few readings. [-]
    inputs : tuple of Input
    missing : str
        "not identified: needs ..." where the answer has no value, and so no budget.
    comment : str
        Of the interval: extrapolation, batch, what is taken as exact of an extruder.
    reasons : tuple of str
        Why a linear budget may not hold: a parameter at its bound, readings that are bounds.
    """

    value: float
    low: float
    high: float
    unit: str
    standard_uncertainty: float = np.nan
    degrees_of_freedom: float = np.nan
    inputs: tuple[Input, ...] = ()
    missing: str = ""
    comment: str = ""
    reasons: tuple[str, ...] = ()
    stamp: str = ""
    _asked: FitResult | None = None
    _evaluate: Callable | None = None
    _moves: np.ndarray | None = None
    _seed: int = 0
    _answer: Callable | None = None
    _extruder: Extruder | None = None

    @property
    def coverage_factor(self) -> float:
        """Factor k of the expanded uncertainty at 95 %: Student's t of the effective degrees of freedom, 1.96 where these are many [-]."""
        freedom = self.degrees_of_freedom
        return float(students(SURE, freedom)) if freedom >= LEAST_FREEDOM else np.inf

    @property
    def expanded_uncertainty(self) -> float:
        """Of 95 %: k times the combined standard uncertainty [unit]."""
        return self.coverage_factor * self.standard_uncertainty

    @cached_property
    def scale(self) -> str:
        """The scale on which the interval has the ends that the budget gives it within a tenth: "linear", "logarithmic", or "" for neither."""
        wide = self.expanded_uncertainty
        if self.missing or self.reasons or not 0 < wide < np.inf:
            return ""
        ends = (self.value - self.low) / wide, (self.high - self.value) / wide
        if max(abs(end - 1) for end in ends) <= NEAR:
            return LINEAR
        if 0 < self.low < self.value:
            ends = tuple(abs(np.log(self.value / end)) * self.value / wide for end in (self.low, self.high))
            return LOGARITHMIC if max(abs(end - 1) for end in ends) <= NEAR else ""
        return ""

    @property
    def near_linear(self) -> bool:
        """Whether the budget adds up to the interval, on one scale or the other."""
        return bool(self.scale)

    @property
    def budget_limits(self) -> tuple[float, float]:
        """Ends of the 95 % interval that the budget gives by itself, on its scale; of value ± expanded uncertainty where it has none [unit]."""
        wide = self.expanded_uncertainty
        if self.scale == LOGARITHMIC:
            factor = np.exp(wide / self.value)
            return self.value / factor, self.value * factor
        return self.value - wide, self.value + wide

    @cached_property
    def table(self) -> Table:
        """One row an input, the largest share first: quantity, value, unit, standard_uncertainty, kind (A or B), distribution,
        degrees_of_freedom, sensitivity and its unit, contribution [unit], share of the variance [-], origin."""  # noqa: D205, D209
        total, rows = self.standard_uncertainty**2, []
        for one in sorted(self.inputs, key=lambda one: -one.contribution):
            share = one.contribution**2 / total if total else np.nan
            known = one.quantity, one.value, one.unit, one.uncertainty, one.kind, one.distribution, one.freedom
            rows.append([*known, one.sensitivity, words.over(self.unit, one.unit), one.contribution, share, one.origin])
        return framed(rows, columns=COLUMNS)

    @cached_property
    def readings(self) -> Table:
        """One row a reading: test, row (of its file), value, unit, standard_uncertainty, sensitivity and its unit, contribution [unit], share [-]."""
        total, rows = self.standard_uncertainty**2, []
        for one in () if self._asked is None or self.missing else each_reading(self._asked, self._moves):
            share = one.move**2 / total if total else np.nan
            slope = one.move / one.uncertainty
            rows.append(
                [
                    one.test,
                    one.row,
                    one.value,
                    one.unit,
                    one.uncertainty,
                    slope,
                    words.over(self.unit, one.unit),
                    abs(one.move),
                    share,
                ]
            )
        return framed(rows, columns=["test", "row", *COLUMNS[1:4], *COLUMNS[7:11]])

    @cached_property
    def exact(self) -> Table:
        """What was taken as exact, and what it would move: quantity, value, unit, change of the answer [unit], and for how much more of it.

        A number with ± in bench.toml that has no row of its own counts there as "stated dimensions", and does not stand here;
        that of a planned extruder, typed without ±, does.
        """
        found = []
        if self._asked is not None and not self.missing:
            step("what the exact numbers would move")
            problem, first = self._asked.problem, np.cumsum([0, *self._asked.problem.counts])
            own = [apart(problem, k, self._moves[first[k] : first[k + 1]])[0] for k in range(len(problem.counts))]
            with warnings.catch_warnings(action="ignore", category=RheokitWarning):
                found = exact_of(self._asked, own, self._answer, self._extruder)
        return framed(found, columns=["quantity", "value", "unit", "change", "for_more"])

    @cached_property
    def drawn(self) -> tuple[float, float, float] | None:
        """Standard deviation and 95 % limits of the answer over joint draws of the fit [unit]; None where it has none, or no draws."""
        if self.missing or self._asked is None:
            return None
        try:
            theta = self._asked.draw(DRAWS, self._seed).theta
        except DataError:
            return None
        with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
            values = self._evaluate(theta)
        if not np.isfinite(values).all():
            return None
        low, high = limits_of(values)
        return float(np.std(values)), float(low), float(high)

    def __repr__(self):
        head, *rest = words.summary(self)
        if len(head) > WIDTH:
            head, rest = "Uncertainty budget", [head, *rest]
        return one_screen(head, [line for text in rest for line in told_in(text)])


def uncertainty_budget(
    fit: FitResult,
    question: OfLaw,
    extruder: Extruder | None = None,
    batch: str = "median",
    unit: str = "",
    seed: int = 0,
    like: FlowLaw | None = None,
) -> UncertaintyBudget:
    """Return what the uncertainty of one answer of a fit is made of: readings, theories, friction, bore, batches.

    Parameters
    ----------
    fit : FitResult
    question : callable
        Takes a law and returns one number (a stress, a pressure, a force); with `extruder` it takes a law and an extruder,
        as for ``fit.interval``.
    extruder : Extruder, optional
        As for ``fit.interval``: what the fit knows of its apparatus moves with the law.
    batch : {"median", "next"}
        The median batch, or one that is not yet made.
    unit : str
        SI unit of the answer, for its texts, such as "Pa" or "N".
    seed : int
        Of the joint draws that the budget is compared with.
    like : FlowLaw, optional
        As for ``fit.interval``: the question takes laws at the condition of this one and as stiff.

    Returns
    -------
    UncertaintyBudget
        Its `table` has one row an input, whose shares of the variance sum to 1; `near_linear` says whether it adds up to the interval of
        the fit within a tenth. Where the answer rests on what the readings leave open there is no budget, and `missing` says what it needs.

    Raises
    ------
    DataError
        If the question is no function of a law, or returns several numbers or none.

    Notes
    -----
    Inputs are what was read, with its scatter (kind A where that was estimated from the residuals, B where it was stated), and what is not
    known exactly beside it, each with its prior (kind B): the error of a test's theory, the criterion of yield, friction, bore. What was
    stated without an uncertainty is taken as exact and brings nothing. First order: at a bound and where the interval is lopsided it does
    not hold, which `near_linear` says, and the interval of the profile is to be used.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty in measurement, 5.1, 6.2, G.4 (from memory).

    Examples
    --------
    >>> import rheokit as rk
    >>> curve = rk.FlowCurve(shear_rate=[1, 3, 10, 30, 100], shear_stress=[874, 957, 1180, 1400, 1890], relative_uncertainty=0.02)
    >>> budget = rk.uncertainty_budget(rk.fit(rk.HerschelBulkley, curve), lambda law: law.shear_stress(20.0), unit="Pa")
    >>> round(budget.value), round(budget.standard_uncertainty), list(budget.table.kind)
    (1307, 18, ['B'])
    """
    a("FitResult", WHERE, "fit", fit)
    if not callable(question):
        raise DataError(
            f"{WHERE}: question is {called(question)}; give a function of a law that returns one number, such as lambda law: law.yield_stress."
        )
    if not isinstance(unit, str):
        raise DataError(
            f'{WHERE}: unit is {called(unit)}; give the SI unit of the answer as text, such as "Pa", or leave it out.'
        )
    seed = whole(WHERE, "seed", seed, 0)
    step("interval of the answer")
    found = predictions.interval(fit, question, LEVEL, extruder, batch, like)
    if np.ndim(found.value):
        raise DataError(f"{WHERE}: the question returns {np.size(found.value)} numbers; ask for one of them at a time.")
    known = {"unit": unit, "comment": found.comment, "stamp": fit.stamp if stamp.forbids(fit) else ""}
    if found.comment.startswith((OPEN, predictions.NO_NUMBER)):
        missing = found.comment.partition("; ")[0] if found.comment.startswith(predictions.NO_NUMBER) else fit.needed
        return UncertaintyBudget(np.nan, found.low, found.high, **known, missing=missing)
    asked, rig = predictions.of_batch(fit, batch), None if extruder is None else fit.known(extruder)
    question = question if like is None else predictions.seen_like(question, like)
    evaluate = predictions.stacked(asked, question, rig, np.zeros(()))
    step("what each input moves")
    with warnings.catch_warnings(action="ignore", category=RheokitWarning):
        moves, reasons = _propagated(asked, evaluate)
    inputs = tuple(inputs_of(asked, moves))
    total = float(np.linalg.norm(moves))
    return UncertaintyBudget(
        float(found.value), float(found.low), float(found.high), **known,
        standard_uncertainty=total, degrees_of_freedom=effective_freedom(inputs, total), inputs=inputs, reasons=reasons,
        _asked=asked, _evaluate=evaluate, _moves=moves, _seed=seed,
        _answer=partial(_best, asked, question), _extruder=extruder,
    )  # fmt: skip


def _best(result, question, rig):
    return float(question(predictions.best_law(result), rig))


def _propagated(result, evaluate):
    """Return the change of the answer by one standard uncertainty of each residual row, and why a linear budget may not hold.

    Coordinates at their bound are held there, unless the answer is little else than they are; rows whose error nothing tells move nothing.
    """
    problem, best = result.problem, result.minimum
    scales = problem.scales(best.theta)
    _, (slope,) = problem.jacobian(lambda stack: evaluate(stack)[:, None], best.theta, scales)
    jacobian, slope = np.array(best.jacobian) * scales, slope * scales
    for group in error_groups(problem, best):
        if group.freedom <= LEAST_FREEDOM:
            jacobian[group.rows] = 0.0
    bound = np.array([result.is_at_bound(name) for name in problem.names])
    moves, free = (_moves(jacobian[:, keep], slope[keep]) for keep in (~bound, np.ones(len(bound), bool)))
    reasons, held, whole = [], np.linalg.norm(moves), np.linalg.norm(free)
    if abs(whole - held) > NEAR * held:
        names = ", ".join(name.replace("_", " ") for name in np.array(problem.names)[bound])
        reasons.append(f"at its bound: {names}, which can move to one side only")
    if held < NEAR * whole:  # the answer is what stands at its bound: what would move it says what it rests on
        moves, held = free, whole
    sides = np.concatenate([test.bounds[0] for test in result.tests])
    of_bounds = float(np.sum(np.square(moves[: len(sides)][sides != 0])))
    if of_bounds > NEAR * held**2:
        reasons.append(
            f"readings that are bounds, at most or at least, bring {written(of_bounds / held**2, '%', 2)} of the variance"
        )
    return moves, tuple(reasons)


def _moves(jacobian, slope):
    u, sizes, vt = np.linalg.svd(jacobian, full_matrices=False)
    told = sizes > max(FLAT * sizes.max(initial=0.0), 1e-9)
    return (vt[told] @ slope / sizes[told]) @ u[:, told].T


def effective_freedom(inputs, total):
    """Return the effective degrees of freedom of a sum of squares, by Welch and Satterthwaite: what shares one estimate counts as one [-]."""
    groups = {}
    for one in inputs:
        if one.group and np.isfinite(one.freedom) and one.contribution:
            squares, _ = groups.get(one.group, (0.0, 0.0))
            groups[one.group] = squares + one.contribution**2, one.freedom
    left = sum(squares**2 / freedom for squares, freedom in groups.values())
    return total**4 / left if left else np.inf
