"""The law of propagation over a fit: what each input moves, added up in squares to the uncertainty of one answer.

As the Guide to the expression of uncertainty in measurement asks (JCGM 100:2008, 5.1.2 law of propagation for independent inputs, G.4 effective
degrees of freedom by Welch and Satterthwaite; from memory).
"""

import warnings
from collections.abc import Sequence
from functools import partial

import numpy as np

from ..errors import DataError, RheokitWarning
from ..hints import OfLaw
from ..laws import FlowLaw
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..progress import step
from ..sampling import LEVEL
from ..things import a, called, whole
from . import predictions, stamp
from .at_bounds import at_bounds
from .budget import NEAR, UncertaintyBudget
from .budget_exact import Setting
from .budget_inputs import inputs_of
from .estimate import error_groups
from .identified import FLAT, OPEN
from .misfit import LEAST_FREEDOM
from .result import FitResult

WHERE = "uncertainty_budget"
CURVED = 3e-3  # of a scale, over which slopes are compared for the curvature
LEAST_CURVED = 0.2  # of what slopes alone say of the sum of squares along some way, below which it is no bowl there
FLAT_BOWL = (
    "along some way the readings hold the parameters far less than their slopes say, so that curvature is left out"
)


def uncertainty_budget(
    fit: FitResult,
    question: OfLaw,
    extruder: Extruder | None = None,
    batch: str = "median",
    unit: str = "",
    seed: int = 0,
    like: FlowLaw | None = None,
    settings: Sequence[Setting] = (),
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
    settings : sequence of Setting
        Of what is planned, each with the question that has a little more of it: they are taken as exact, and stand in `exact`.

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
    stated without an uncertainty is taken as exact and brings nothing. An input moves the answer by the derivative of the fit itself: with the
    curvature of the residuals, which the covariance of the estimates leaves out. First order: at a bound and where the interval is lopsided it does
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
        moves, pull, reasons, bounded = _propagated(asked, evaluate)
    inputs = tuple(inputs_of(asked, moves))
    total = float(np.linalg.norm(moves))
    return UncertaintyBudget(
        float(found.value), float(found.low), float(found.high), **known,
        standard_uncertainty=total, degrees_of_freedom=effective_freedom(inputs, total), inputs=inputs, reasons=reasons, at_bounds=bounded,
        _asked=asked, _evaluate=evaluate, _moves=moves, _pull=pull, _seed=seed,
        _answer=partial(_best, asked, question), _extruder=extruder, _settings=tuple(settings),
    )  # fmt: skip


def _best(result, question, rig, other=None):
    return float((other or question)(predictions.best_law(result), rig))


def _propagated(result, evaluate):
    """Return the change of the answer by one standard uncertainty of each residual row, the pull of the answer, doubts of a linear budget, and `at_bounds`.

    The fit is where the gradient of the sum of squares is 0, so one more of a row moves the coordinates by the row's slopes over the second
    derivatives, curvature of the residuals included; these over the slope of the answer are its pull on the coordinates, shape (p,).
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
    curvature = _curvature(problem, np.array(best.theta), scales, np.any(jacobian, axis=1))
    (pull, bowl), (unbound, _) = (
        _pull(jacobian, slope, curvature, keep) for keep in (~bound, np.ones(len(bound), bool))
    )
    reasons, held, whole = (
        [] if bowl else [FLAT_BOWL],
        np.linalg.norm(jacobian @ pull),
        np.linalg.norm(jacobian @ unbound),
    )
    if abs(whole - held) > NEAR * held:
        names = ", ".join(name.replace("_", " ") for name in np.array(problem.names)[bound])
        reasons.append(f"at its bound: {names}, which can move to one side only")
    bounded = tuple(at_bounds(result, jacobian, slope, pull, curvature if bowl else np.zeros_like(curvature)))
    if held < NEAR * whole:  # the answer is what stands at its bound: what would move it says what it rests on
        pull, held = unbound, whole
    moves = jacobian @ pull
    sides = np.concatenate([test.bounds[0] for test in result.tests])
    of_bounds = float(np.sum(np.square(moves[: len(sides)][sides != 0])))
    if of_bounds > NEAR * held**2:
        reasons.append(
            f"readings that are bounds, at most or at least, bring {written(of_bounds / held**2, '%', 2)} of the variance"
        )
    return moves, pull * scales, tuple(reasons), bounded


def _curvature(problem, theta, scales, rows):
    """Return the residuals of some rows times their second derivatives, summed, in scaled coordinates, shape (p, p)."""

    def gradient(at):
        residuals, jacobian = problem.jacobian(problem.residuals, at, scales)
        return residuals[rows] @ (jacobian[rows] * scales), jacobian[rows] * scales

    low, high = problem.box
    found = np.empty((len(theta), len(theta)))
    for k in range(len(theta)):
        up, down = theta.copy(), theta.copy()
        up[k], down[k] = min(theta[k] + CURVED * scales[k], high[k]), max(theta[k] - CURVED * scales[k], low[k])
        found[k] = (gradient(up)[0] - gradient(down)[0]) / ((up[k] - down[k]) / scales[k])
    slopes = gradient(theta)[1]
    return (found + found.T) / 2 - slopes.T @ slopes


def _pull(jacobian, slope, curvature, keep):
    """Return second derivatives over a slope, 0 where not kept, and whether curvature counts: not where the sum of squares would be no bowl."""
    _, sizes, vt = np.linalg.svd(jacobian[:, keep], full_matrices=False)
    told = sizes > max(FLAT * sizes.max(initial=0.0), 1e-9)
    ways = vt[told] / sizes[told, None]  # along which the sum of squares rises alike, by its slopes alone
    bowl = np.eye(len(ways)) + ways @ curvature[np.ix_(keep, keep)] @ ways.T
    curved = bool(np.isfinite(bowl).all() and np.linalg.eigvalsh(bowl).min(initial=1.0) >= LEAST_CURVED)
    along, pull = ways @ slope[keep], np.zeros(len(slope))
    pull[keep] = (np.linalg.solve(bowl, along) if curved else along) @ ways
    return pull, curved


def effective_freedom(inputs, total):
    """Return the effective degrees of freedom of a sum of squares, by Welch and Satterthwaite: what shares one estimate counts as one [-]."""
    groups = {}
    for one in inputs:
        if one.group and np.isfinite(one.freedom) and one.contribution:
            squares, _ = groups.get(one.group, (0.0, 0.0))
            groups[one.group] = squares + one.contribution**2, one.freedom
    left = sum(squares**2 / freedom for squares, freedom in groups.values())
    return total**4 / left if left else np.inf
