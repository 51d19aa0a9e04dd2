"""What the uncertainty budget of an answer is and says of itself: its inputs as tables, its expanded uncertainty, how far it may be trusted.

As the Guide to the expression of uncertainty in measurement has it (JCGM 100:2008, 6 expanded uncertainty; from memory). It is linear, and
the interval of a fit is not: where both agree within a tenth the budget may be read as what the interval is made of; where not, the interval of
the profile holds, and it says so.
"""

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..brief import WIDTH, one_screen, told_in
from ..errors import DataError, RheokitWarning
from ..framed import framed
from ..hints import Table
from ..machine.extruder import Extruder
from ..progress import step
from ..sampling import SURE, errors_of_limits, limits_of, students
from . import budget_words as words
from .at_bounds import AtBound
from .budget_exact import Setting, exact_of
from .budget_inputs import Input
from .budget_readings import each_reading
from .budget_words import NEAR
from .misfit import LEAST_FREEDOM
from .result import FitResult

DRAWS = 1000  # as many as pages and scripts take; with 4000 the ends scattered hardly less, for the weighted points behind them are the same
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
    at_bounds : tuple of AtBound
        Parameters that sit at their bound and are held there, each with what a step away from it would change [unit].
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
    at_bounds: tuple[AtBound, ...] = ()
    stamp: str = ""
    _asked: FitResult | None = None
    _evaluate: Callable | None = None
    _moves: np.ndarray | None = None
    _pull: np.ndarray | None = None
    _seed: int = 0
    _answer: Callable | None = None
    _extruder: Extruder | None = None
    _settings: tuple[Setting, ...] = ()

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

        A number with ± in bench.toml that has no row of its own counts there as "stated dimensions", and does not stand here, unless the
        model error of its test was stated too; that of a planned extruder, typed without ±, does.
        """
        found = []
        if self._asked is not None and not self.missing:
            step("what the exact numbers would move")
            with warnings.catch_warnings(action="ignore", category=RheokitWarning):
                found = exact_of(self._asked, self._pull, self._moves, self._answer, self._extruder, self._settings)
        return framed(found, columns=["quantity", "value", "unit", "change", "for_more"])

    @cached_property
    def drawn(self) -> tuple[float, float, float] | None:
        """Standard deviation and 95 % limits of the answer over joint draws of the fit [unit]; None where it has none, or no draws."""
        if self._drawn_values is None:
            return None
        low, high = limits_of(self._drawn_values)
        return float(np.std(self._drawn_values)), float(low), float(high)

    @property
    def drawn_errors(self) -> tuple[float, float]:
        """Standard errors of the limits of `drawn` by the number of draws [unit]; NaN where there are none."""
        if self._drawn_values is None:
            return np.nan, np.nan
        return errors_of_limits(self._drawn_values, self._asked.draw(DRAWS, self._seed).effective)

    @cached_property
    def _drawn_values(self):
        """The answer of each joint draw of the fit, shape (N,); None where it has none."""
        if self.missing or self._asked is None:
            return None
        try:
            theta = self._asked.draw(DRAWS, self._seed).theta
        except DataError:
            return None
        with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
            values = self._evaluate(theta)
        return values if np.isfinite(values).all() else None

    def __repr__(self):
        head, *rest = words.summary(self)
        if len(head) > WIDTH:
            head, rest = "Uncertainty budget", [head, *rest]
        return one_screen(head, [line for text in rest for line in told_in(text)])
