"""What the answers of a fit become where one reading, or one whole test, is left out."""

from dataclasses import dataclass

import numpy as np

from ..brief import one_screen
from ..framed import framed
from ..hints import Table
from ..nomenclature import written
from ..things import a
from . import predictions
from .estimate import error_groups
from .identified import FLAT
from .misfit import LEAST_FREEDOM
from .result import REFERENCE_RATES, FitResult

ALONE = 1e-6  # of 1 less the leverage: below it what is left out is all that tells a parameter
TOGETHER = "What leaving out a reading would change is not known: runs of one record move together, so that no reading can be left out by itself."
DECIDES = 1.0  # standard uncertainties of an answer that leaving one thing out moves it by; common practice, no source


@dataclass(frozen=True, eq=False, repr=False)
class Influence:
    """What leaving out does to the answers of a fit.

    Attributes
    ----------
    answers : tuple of str
        "yield stress", and "shear stress at ..." of the reference rates that the readings cover.
    values, uncertainties : ndarray, shape (M,)
        The answers with everything in, and their standard uncertainties. [Pa]
    readings : DataFrame
        One line a reading, most influential first: test, row, cook_distance [-], then each answer without it [Pa]; empty where runs of one
        record move together.
    tests : DataFrame
        One line a test, in order: test, then each answer without it [Pa]; empty where there is one test. NaN where the rest does not tell.
    missing : str
        Why nothing of it is known; "" where it is.
    """

    answers: tuple[str, ...]
    values: np.ndarray
    uncertainties: np.ndarray
    readings: Table
    tests: Table
    missing: str = ""

    def changes(self, table: Table) -> np.ndarray:
        """Return how far each line of `readings` or `tests` moves each answer, in its standard uncertainties, shape (N, M) [-]."""
        return (table[list(self.answers)].to_numpy(float) - self.values) / self.uncertainties

    @property
    def sentences(self) -> tuple[str, ...]:
        """Whether any one reading, and any one test, decides an answer."""
        if self.missing:
            return (f"What leaving out a reading or a test would change is not known: {self.missing}.",)
        said = [self._said("reading", self.readings) if len(self.readings) else TOGETHER]
        if len(self.tests):
            return (*said, self._said("test", self.tests))
        return (*said, "What leaving out a whole test would change is not known: there is one test.")

    def _said(self, what, table):
        moved = self.changes(table)
        names = [f"{row.test}, row {row.row}" if what == "reading" else row.test for row in table.itertuples()]
        lost = [name for name, row in zip(names, moved, strict=True) if not np.isfinite(row).all()]
        end = f" Not known without {', '.join(lost)}: the rest does not tell every answer." if lost else ""
        sizes = np.where(np.isfinite(moved), abs(moved), 0.0)
        line, answer = np.unravel_index(np.argmax(sizes), sizes.shape)
        most = f"{written(sizes[line, answer], '-', 2)} standard uncertainties, {self.answers[answer]} without {names[line]}"
        if sizes[line, answer] >= DECIDES:
            return f"One {what} decides an answer: the most that leaving one out moves is {most}.{end}"
        return f"No one {what} {'of the others ' if lost else ''}decides an answer: the most that leaving one out moves is {most}.{end}"

    def __repr__(self):
        return one_screen("Influence", list(self.sentences))


def influence(fit: FitResult) -> Influence:
    """Return what yield stress and shear stresses [Pa] of a fit become where each reading, and each test, is left out.

    Parameters
    ----------
    fit : FitResult

    Returns
    -------
    Influence

    Notes
    -----
    One step from the Jacobian, no refit: exact for a linear law, of first order else, with error sizes and spreads of batches as the fit
    has them. It holds where what is left out moves an answer little; a change of several standard uncertainties tells that it is large, not
    how large. Readings that a law does not fit at all want the checks of the fit. Nothing is computed at a bound, where parameters are not
    identified, where the size of an error is not told; where runs of one record move together whole tests alone are left out. Cook's distance is of
    the weighted scale, r² h/(p (1 - h)²), with r the residual [-], h the leverage and p the parameters that are told.

    References
    ----------
    .. [1] R. D. Cook, Detection of Influential Observation in Linear Regression, Technometrics 19 (1977) 15, doi:10.2307/1268249 (formula
       and reference as later works give them; the paper itself from memory).

    Examples
    --------
    >>> import rheokit as rk
    >>> curve = rk.FlowCurve(shear_rate=[1, 3, 10, 30, 100], shear_stress=[874, 957, 1180, 1400, 1890], relative_uncertainty=0.02)
    >>> found = rk.influence(rk.fit(rk.HerschelBulkley, curve))
    >>> found.answers[1], len(found.readings), len(found.tests)
    ('shear stress at 1 1/s', 5, 0)
    """
    a("FitResult", "influence", "fit", fit)
    questions = _questions(fit)
    missing = _missing(fit) or ("" if questions else "no answer lies among the rates that were read")
    names = tuple(questions)
    if missing:
        none = np.full(len(names), np.nan)
        empty = framed([], columns=["test", "row", "cook_distance", *names]), framed([], columns=["test", *names])
        return Influence(names, none, none, *empty, missing)
    problem, best = fit.problem, fit.minimum
    scales = problem.scales(best.theta)
    u, sizes, vt = np.linalg.svd(best.jacobian * scales, full_matrices=False)
    told = sizes > max(FLAT * sizes.max(initial=0.0), 1e-9)
    u = u[:, told]
    found, moves = [], []
    for question in questions.values():
        stack = predictions.stacked(fit, question, None, np.zeros(()))
        _, (slope,) = problem.jacobian(lambda theta, stack=stack: stack(theta)[:, None], best.theta, scales)
        moves.append(vt[told] @ (slope * scales) / sizes[told])
        found.append(float(question(predictions.best_law(fit))))
    slopes, values = np.array(moves), np.array(found)
    first = np.cumsum([0, *problem.counts])

    def without(rows):
        return values + slopes @ _step(u, best.residuals, rows)

    lines = []
    for place, test in enumerate(fit.tests):
        for row, at in zip(test.row_numbers, range(first[place], first[place + 1]), strict=True):
            share, residual = float(u[at] @ u[at]), best.residuals[at]
            left = 1 - share if 1 - share > ALONE else np.nan
            distance = residual**2 * share / (told.sum() * left**2)
            lines.append([test.name, int(row), distance, *without([at])])
    readings = framed(lines, columns=["test", "row", "cook_distance", *names])
    uncertainties = np.linalg.norm(slopes, axis=1)
    most = np.abs((readings[list(names)].to_numpy(float) - values) / uncertainties).max(axis=1)
    order = np.argsort(-np.where(np.isfinite(most), most, np.inf), kind="stable")
    whole = []
    for place, test in enumerate(fit.tests if len(fit.tests) > 1 else ()):
        whole.append([test.name, *without(np.arange(first[place], first[place + 1]))])
    readings = readings.iloc[order].reset_index(drop=True)
    if problem.runs and problem.run_spread:
        readings = readings.iloc[:0]
    return Influence(names, values, uncertainties, readings, framed(whole, columns=["test", *names]))


def _step(u, residuals, rows):
    """Return how the coordinates of the fit move, along the columns of u, where rows are left out; NaN where these alone tell one."""
    left = np.eye(u.shape[1]) - u[rows].T @ u[rows]
    if np.linalg.eigvalsh(left)[0] < ALONE:
        return np.full(u.shape[1], np.nan)
    return np.linalg.solve(left, u[rows].T @ residuals[rows])


def _questions(fit):
    found = {}
    if "yield_stress" in fit.law.parameters():
        found["yield stress"] = lambda law: law.yield_stress
    low, high = fit.rate_range or (np.inf, 0.0)
    for rate in sorted({*REFERENCE_RATES, *(fit.use_range or ())}):
        if low <= rate <= high:
            found[f"shear stress at {written(rate, '1/s')}"] = lambda law, rate=rate: law.shear_stress(rate)
    return found


def _missing(fit):
    if fit.unidentified:
        return fit.needed
    bound = [name.replace("_", " ") for name in fit.problem.names if fit.is_at_bound(name)]
    if bound:
        return f"{', '.join(bound)} at a bound, which can move to one side only"
    if any(np.any(group.freedom <= LEAST_FREEDOM) for group in error_groups(fit.problem, fit.minimum)):
        return "the readings do not tell the size of their own error"
    return ""
