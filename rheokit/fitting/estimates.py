"""Estimates: values, limits and correlations of every parameter of a fit, its residuals, and joint draws."""

from functools import cached_property

import numpy as np

from ..bench.base import Shared, quantity_of
from ..bench.gathered import counts_of
from ..errors import DataError
from ..framed import framed
from ..hints import Table
from ..inputs import trusted
from ..laws import FlowLaw, Shifted
from ..machine.extruder import Extruder
from ..nomenclature import QUANTITIES
from ..progress import step
from ..sampling import SURE, TAILS
from . import apparatus
from .draws import LEAST_EFFECTIVE, Draws, joint_draws
from .estimate import leverages
from .identified import Identified
from .lack_of_fit import row_rates
from .paste_factors import record_freedom
from .residuals import relative_errors
from .run_factors import factors

COLUMNS = ["symbol", "value", "stderr", "low", "high", "unit", "at_bound"]
WIDEST = 1.0  # of ln stress: an upper limit of a spread that is farther says nothing of it
TOLD = 0.9  # of the width that was assumed: readings that leave more tell nothing of it


def _spread_row(name, spread, freedom):
    """Return a row of the table for a spread: value, standard error and 95 % limits by chi-square of its effective number.

    An upper limit of more than a factor of e from one to the next is none.
    """
    from scipy.special import chdtri

    low, high = (float(spread * np.sqrt(freedom / chdtri(freedom, p))) for p in TAILS)
    high = high if high < WIDEST else np.inf
    return QUANTITIES[name].symbol, spread, spread / np.sqrt(2 * freedom), low, high, "-", False


class Estimates(Identified):
    """The part of a `FitResult` that makes tables of what was found, and draws laws that belong to the readings."""

    @cached_property
    def frictions(self) -> dict[Shared, tuple[float, float]]:
        """Plunger friction of each apparatus as fitted, with its standard uncertainty (NaN at a bound) [N]; none that the readings leave open."""
        return apparatus.frictions(self)

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
    def nuisance_errors(self) -> dict[str, float]:
        """Standard uncertainties of the nuisance parameters as fitted, by name; of those that rest on a bound there is none."""
        errors = dict(zip(self.problem.names, np.sqrt(np.diag(self.covariance)).tolist(), strict=True))
        return {key: errors[key] for key in self.problem.nuisances if np.isfinite(errors.get(key, np.nan))}

    @cached_property
    def table(self) -> Table:
        """Estimates: index parameter names, columns symbol, value, stderr, low, high, unit, at_bound.

        `low` and `high` are the limits of the 95 % profile interval; an open end says that the readings do not fix it.
        A parameter that they do not fix at all (`not_identified`) has no value: NaN. Those of the law are of the median
        batch of several.
        """
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
            spread, freedom = problem.batch_spread, self.batch_freedom
            assumed = QUANTITIES["batch_spread"].symbol, spread, 0.0, spread, spread, "-", False
            rows["batch_spread"] = list(_spread_row("batch_spread", spread, freedom) if self.batch_spread else assumed)
        if problem.record_spread > 0:
            spread, freedom = problem.record_spread, record_freedom(problem)
            assumed = QUANTITIES["record_spread"].symbol, spread, 0.0, spread, spread, "-", False
            rows["record_spread"] = list(_spread_row("record_spread", spread, freedom) if freedom else assumed)
        if self.run_spread is not None:
            rows["run_spread"] = list(_spread_row("run_spread", *self.run_spread))
        frame = framed(list(rows.values()), index=list(rows), columns=COLUMNS)
        if problem.batches:
            frame["batch"] = ["median" if name in problem.law_class.parameters() else "" for name in frame.index]
        return frame

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
        errors, names = np.sqrt(np.diag(self.covariance)), self.problem.names
        with np.errstate(invalid="ignore", divide="ignore"):
            return framed(self.covariance / np.outer(errors, errors), index=names, columns=names)

    @cached_property
    def run_factors(self) -> Table:
        """One line a run of a record that has several: test, name, run, branch, and its factor on every stress with 95 % limits [-]."""
        lines = [
            (one.run.test, self.tests[one.run.test].name, one.run.number, one.run.way, *one[1:])
            for one in factors(self.problem, self.minimum)
        ]
        return framed(lines, columns=["test", "name", "run", "branch", "value", "low", "high"])

    def _by_run(self, place, predicted):
        """Return predictions of a test as each of its runs has them, in the place of those of the median run, and the factor of each reading."""
        test, factor = self.tests[place], np.ones(len(predicted))
        seen, predicted = self.problem.of_batch(self.law, test, self.nuisance), np.array(predicted, float)
        for one in factors(self.problem, self.minimum):
            if one.run.test == place:
                with trusted():
                    own = test.predict(Shifted(seen, one.value), self.nuisance)
                predicted[one.run.rows], factor[one.run.rows] = np.asarray(own)[one.run.rows], one.value
        return predicted, factor

    @cached_property
    def residuals(self) -> Table:
        """One line a reading: test, row, reading, predicted, unit, residual, leverage, bound, and what orders it.

        A residual is read minus predicted, in standard uncertainties: above zero where the reading is too high. `predicted` holds the factor of
        the batch, of the record and of the run (`run_factor`); `uncertainty` is the standard uncertainty of the reading in its unit. Rows
        are counted as in the file that was read, headers too; a record without a file counts them from 1. Where the
        flow was read, the rate is that of the flow predicted: along what was read its own error would look like a trend.
        `shear_rate` is as it was read, `reference_rate` where the law takes it at its reference.
        """
        import pandas as pd

        frames, first = [], 0
        share, sizes = leverages(self.minimum), relative_errors(self)
        for place, test in enumerate(self.tests):
            count = len(test.readings)
            rows = slice(first, first + count)
            side, _ = test.bounds
            seen = self.problem.of_batch(self.law, test, self.nuisance)
            predicted, factor = self._by_run(place, test.predict(seen, self.nuisance))
            size, counts = self.problem.sizes[place], counts_of(test)
            residual = test.residuals(seen, self.nuisance, size, predicted)
            frame = {
                "test": place,
                "name": test.name,
                "row": test.row_numbers,
                "reading": test.readings,
                "predicted": predicted,
                "unit": quantity_of(test, test.reads).unit,
                "residual": np.where(side == 0, -1, side) * residual,
                "uncertainty": sizes[rows] * np.abs(test.readings) / np.sqrt(1.0 if counts is None else counts),
                "run_factor": factor,
                "leverage": np.clip(share[rows], 0.0, 1.0),
                "bound": side,
                "shear_rate": row_rates(test, self.law, predicted, as_read=True),
                "reference_rate": row_rates(test, self.law, predicted),
            }
            for name in ("run_order", "time", "stroke"):
                values = getattr(test, name)
                frame[name] = np.nan if values is None else values
            frames.append(framed(frame))
            first += count
        return pd.concat(frames, ignore_index=True)

    # --- joint draws --------------------------------------------------------------------------------------------

    def draw(self, count: int, seed: int) -> Draws:
        """Return `Draws` of the coordinates; refused where fewer than 400 effective ones stand behind them."""
        if (count, seed) not in self._drawn:
            known = self.directions[0] if self.unidentified else None
            found = joint_draws(
                self.problem, self.minimum, self.misfit(), self.rate_range or (1.0, 1.0), count, seed, known
            )
            if found.effective < LEAST_EFFECTIVE:
                raise DataError(
                    f"draws: only {found.effective:.0f} effective draws ({LEAST_EFFECTIVE} are needed), because the "
                    "readings hardly fix some parameter. Add a test of the yield stress or slower rates, or take a simpler law."
                )
            self._drawn[count, seed] = found
        return self._drawn[count, seed]

    @cached_property
    def _drawn(self):
        return {}

    def draws(self, count: int, seed: int) -> Table:
        """Return `count` joint draws, a DataFrame with a column for each parameter, nuisance included; NaN if open."""
        theta, problem = self.draw(count, seed).theta, self.problem
        found = {name: np.broadcast_to(column, len(theta)) for name, column in problem.values(theta).items()}
        found |= dict.fromkeys(self.not_identified, np.full(len(theta), np.nan))
        return framed({name: found[name] for name in [*problem.law_class.parameters(), *problem.nuisances]})

    def sample_laws(self, count: int, seed: int) -> FlowLaw:
        """Return one law whose fields are joint draws, shape (count, 1, 1), ready to broadcast against a map.

        With several batches it is the median batch's.
        """
        return self.problem.laws(self.draw(count, seed).theta)

    def nuisance_draws(self, count: int, seed: int) -> dict[str, np.ndarray]:
        """Return the nuisance parameters by name, each of the joint draws that `sample_laws` gives, shape (count, 1, 1)."""
        values = self.problem.nuisance_values(self.draw(count, seed).theta)
        return {key: value[:, None, None] for key, value in values.items()}

    def known(self, extruder: Extruder) -> apparatus.Known:
        """Return what the fit knows of an extruder, as `apparatus.Known`; see `interval`."""
        return apparatus.known(self, extruder)

    def sample(self, extruder: Extruder, count: int, seed: int) -> tuple[FlowLaw, Extruder]:
        """Return joint draws of a law and of an extruder, as the fit knows it: fields of shape (count, 1, 1).

        Parameters
        ----------
        extruder : Extruder
            Matched as in `interval`.
        count, seed : int
        """
        return self.sample_laws(count, seed), self.known(extruder).at(self.nuisance_draws(count, seed))
