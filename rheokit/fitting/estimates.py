"""Estimates: values, standard errors, correlations and limits of every parameter of a fit, and its residuals."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from ..hints import Table
from ..progress import step
from ..sampling import SURE, TAILS
from .estimate import batch_freedom
from .identified import Identified
from .problem import batch_key
from .residuals import residual_table

COLUMNS = ["symbol", "value", "stderr", "low", "high", "unit", "at_bound"]
TOLD = 0.9  # of the width that was assumed: readings that leave more tell nothing of it


class Estimates(Identified):
    """The part of a `FitResult` that makes tables of what was found."""

    @cached_property
    def covariance(self) -> np.ndarray:
        """Covariance of the parameters as the table shows them, from the Jacobian; NaN for those at a bound or not identified."""
        problem, minimum = self.problem, self.minimum
        names, scales = problem.names, problem.scales(minimum.theta)
        _, slopes = problem.jacobian(
            lambda stack: np.column_stack([problem.values(stack)[name] for name in names]), minimum.theta, scales
        )
        keep = [i for i, name in enumerate(names) if not self.is_at_bound(name) and name not in self.unidentified]
        out = np.full((len(names), len(names)), np.nan)
        if keep:
            root = np.linalg.pinv(minimum.jacobian[:, keep] * scales[keep]) * scales[keep, None]
            transformed = slopes[np.ix_(keep, keep)] @ root
            out[np.ix_(keep, keep)] = transformed @ transformed.T
        return out

    @cached_property
    def table(self) -> Table:
        """Estimates: index parameter names, columns symbol, value, stderr, low, high, unit, at_bound.

        `low` and `high` are the limits of the 95 % profile interval; an open end says that the readings do not fix it.
        A parameter that they do not fix at all (`not_identified`) has no value: NaN. Those of the law are of the median
        batch of several.
        """
        from ..frames import Frame

        problem, rows = self.problem, {}
        errors, values = np.sqrt(np.diag(self.covariance)), problem.values(self.minimum.theta)
        for place, name in enumerate(problem.names):
            known = problem.about(name)
            step(f"limits {place + 1} of {len(problem.names)}: {name}")
            low, high = self.limits(name)
            value, error = float(values[name]), errors[place]
            if name in self.not_identified:
                value = error = np.nan
            rows[name] = [known.symbol, value, error, low, high, known.unit, self.is_at_bound(name)]
        for name, value in problem.fixed.items():
            known = problem.about(name)
            rows[name] = [known.symbol, value, 0.0, value, value, known.unit, False]
        if problem.batches:
            rows["batch_spread"] = ["s_b", *self._batch_spread_row, "-", False]
        frame = Frame.from_dict(rows, orient="index", columns=COLUMNS)
        if problem.batches:
            frame["batch"] = ["median" if name in problem.law_class.parameters() else "" for name in frame.index]
        return frame

    @property
    def _batch_spread_row(self):
        """Value, standard error and 95 % limits of the batch spread, by chi-square of its effective number."""
        from scipy.special import chdtri

        problem, jacobian = self.problem, self.minimum.jacobian
        places = [problem.names.index(batch_key(batch)) for batch in problem.batches]
        freedom = batch_freedom(problem, np.linalg.pinv(jacobian.T @ jacobian), places)
        spread = problem.batch_spread
        low, high = (float(spread * np.sqrt(freedom / chdtri(freedom, p))) for p in TAILS)
        return spread, spread / np.sqrt(2 * freedom), low, high

    def tells(self, name: str) -> bool:
        """Return whether the readings tell a parameter: of one that was assumed, more than was assumed by a tenth."""
        prior = self.problem.nuisances.get(name)
        if prior is None:
            return True
        ends = np.array(self.limits(name))
        low, high = np.log(ends) if prior.logarithmic else ends
        return bool(high - low < TOLD * 2 * SURE * prior.spread)

    @cached_property
    def correlations(self) -> Table:
        """Correlation matrix of the fitted parameters, a DataFrame."""
        from ..frames import Frame

        errors, names = np.sqrt(np.diag(self.covariance)), self.problem.names
        with np.errstate(invalid="ignore", divide="ignore"):
            return Frame(self.covariance / np.outer(errors, errors), index=names, columns=names)

    @cached_property
    def residuals(self) -> Table:
        """Residuals, read minus predicted in standard uncertainties: a DataFrame, one line a reading, rows as in its file."""
        return residual_table(self)
