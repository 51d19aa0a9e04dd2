"""The result of a fit: a law, its intervals, its joint draws, and how far to trust them."""

import warnings
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError, ExtrapolationWarning, NotIdentifiedWarning, RheokitWarning
from ..framed import framed
from ..hints import Numbers, OfLaw, Table
from ..inputs import judged_number
from ..laws import FlowLaw
from ..machine.extruder import Extruder
from ..nomenclature import written
from ..progress import step
from ..sampling import LEVEL
from ..things import whole
from . import checks, predictions, stamp, text
from .estimates import Estimates
from .identified import OPEN
from .lmfit_result import lmfit_result
from .predictions import Interval

if TYPE_CHECKING:
    from lmfit.minimizer import MinimizerResult

REFERENCE_RATES = (1.0, 10.0, 100.0)


class FitResult(Estimates):
    """One law fitted to the tests of a bench.

    Attributes
    ----------
    law : FlowLaw
        At the least sum of squares.
    tests, benches : tuple
        What it was fitted to.
    use_range : tuple of float or None
        Rates at which it will be used. [1/s]
    """

    # --- predictions --------------------------------------------------------------------------------------------

    def missing(self, quantity: OfLaw, extruder: Extruder | None = None) -> str:
        """Return "not identified: needs ..." where a quantity, asked as in `interval`, rests on what is open, else ""."""
        return self.needed if np.any(predictions.rests_on_open(self, quantity, extruder)) else ""

    def stress(self, shear_rate: ArrayLike) -> Numbers:
        """Return the shear stress [Pa] at shear rates [1/s]: NaN where it rests on what the readings leave open."""
        quantity = lambda law: np.broadcast_to(law.shear_stress(shear_rate), np.shape(shear_rate))  # noqa: E731
        open_ones = predictions.rests_on_open(self, quantity)
        return np.where(open_ones, np.nan, quantity(predictions.best_law(self)))[()]

    def interval(
        self,
        quantity: OfLaw,
        level: float = LEVEL,
        extruder: Extruder | None = None,
        batch: str = "median",
        like: FlowLaw | None = None,
    ) -> Interval:
        """Return the profile interval of anything that can be computed from a law, and from an extruder with it.

        Parameters
        ----------
        quantity : callable
            Takes a law and returns a number (a stress, a pressure, a force), or an array of them; with `extruder` it takes
            a law and an extruder.
        level : float
            Of confidence. [-]
        extruder : Extruder, optional
            ``quantity(law, extruder)`` is asked with its plunger friction, barrel drag, bore and slip as the fit knows them:
            those of the apparatus that it names, or of the only extruder of the bench where the barrel is the same. A
            friction or drag that is neither left out nor the bench's, and the bore of another tip, are taken as exact;
            the comment says what is as fitted and what is exact.
        batch : {"median", "next"}
            The median batch, or the next one: with the spread from batch to batch, and with how well a few batches tell it.
            Where one batch alone was read a spread of 0.15 in ln stress is assumed, of it and of the next: sqrt(2) of it between the two.
        like : FlowLaw, optional
            The quantity takes laws that are at the condition of this one and as stiff, such as the `pressure_law` of a `Case`;
            at its reference, if none is given.

        Returns
        -------
        Interval
            value, low, high, extrapolated, comment; in the unit that `quantity` returns. The limits hold the law's
            uncertainty and that of the extruder; the error of the nozzle's own theory comes on top. With several batches the
            comment says which is meant. Where the quantity rests on parameters to which the readings set no limit, the
            value is NaN, and the comment begins with "not identified: needs ...". Where checks of the fit forbid to use it,
            their `stamp` stands before all.

        Raises
        ------
        DataError
            If `batch` is another word, or the extruder names an apparatus that no run of the fit has.

        Warns
        -----
        ExtrapolationWarning
            If the quantity asks for rates that the readings do not cover.
        NotIdentifiedWarning
            If it rests on what they leave open.
        """
        found = predictions.interval(self, quantity, level, extruder, batch, like)
        if found.comment.startswith(OPEN):
            warnings.warn(f"{found.comment}.", NotIdentifiedWarning, stacklevel=2)
        elif found.extrapolated:
            warnings.warn(f"extrapolated: {found.comment}.", ExtrapolationWarning, stacklevel=2)
        return found._replace(comment=f"{self.stamp} {found.comment}") if stamp.forbids(self) else found

    @cached_property
    def stresses(self) -> Table:
        """Shear stress at 1, 10 and 100 1/s and at the rates of use, with 95 % limits; better conditioned than K and n.

        With several batches low and high are the median batch's, and `next_low` and `next_high` those of the next one.
        """
        import pandas as pd

        rates, several = sorted({*REFERENCE_RATES, *(self.use_range or ())}), bool(self.problem.batches)
        rows = []
        with warnings.catch_warnings(action="ignore", category=RheokitWarning):
            for rate in rates:
                step(f"limits of the stress at {written(rate, '1/s')}")
                median, *following = (
                    predictions.interval(self, lambda law, rate=rate: law.shear_stress(rate), LEVEL, batch=batch)
                    for batch in ((predictions.MEDIAN, predictions.NEXT) if several else (predictions.MEDIAN,))
                )
                rows.append([median.value, median.low, median.high, "Pa", median.extrapolated])
                rows[-1] += [limit for found in following for limit in found[1:3]]
        columns = ["value", "low", "high", "unit", "extrapolated", *(["next_low", "next_high"] if several else [])]
        return framed(rows, index=pd.Index(rates, name="shear_rate [1/s]"), columns=columns)

    def band(
        self, quantity: OfLaw, level: float = LEVEL, count: int = 2000, seed: int = 0
    ) -> tuple[np.ndarray, np.ndarray]:
        """Return (low, high) of an array-valued quantity of the law, by joint draws: quick enough for a chart.

        NaN where the readings do not carry joint draws.
        """
        count = whole("FitResult.band", "count", count, 1)
        value = np.asarray(quantity(predictions.best_law(self)), float)
        tails = (1 - float(judged_number("FitResult.band", "level", level, "confidence_level"))) / 2
        try:
            theta = self.draw(count, seed).theta
        except DataError:
            return np.full(value.shape, np.nan), np.full(value.shape, np.nan)
        drawn = predictions.stacked(self, quantity, None, value)(theta)
        open_ones = predictions.rests_on_open(self, quantity)
        low, high = np.quantile(drawn, [tails, 1 - tails], axis=0)
        return np.where(open_ones, np.nan, low), np.where(open_ones, np.nan, high)

    # --- trust --------------------------------------------------------------------------------------------------

    @cached_property
    def checks(self) -> Table:
        """Questions the fit answers about itself: question, value, threshold, passed, comment, seen (a DataFrame).

        What passed and is `seen` is there, more than chance, and too small to fail.
        """
        return self.checks_with_rows.drop(columns="rows")

    @cached_property
    def checks_with_rows(self) -> Table:
        """The same, and the readings that each is about: (place of the test, place of the reading in it), from 0."""
        return checks.table(self)

    @cached_property
    def stamp(self) -> str:
        """What every number and picture of this fit must carry, in words: empty where all checks passed."""
        return stamp.stamp(self)

    @property
    def verdict(self) -> str:
        """Whether the numbers may be used: the stamp, and the checks that failed, the likeliest cause first."""
        return stamp.verdict(self)

    @property
    def suspect_rows(self) -> tuple[tuple[int, int], ...]:
        """Readings to mark, those of the likeliest cause: (place of the test in `tests`, place of the reading), from 0."""
        return stamp.suspect_rows(self)

    @property
    def summary(self) -> str:
        """The whole result as text: law, estimates, stresses, checks."""
        return text.summary(self)

    def __repr__(self):
        return text.short(self)

    def _repr_html_(self):
        return text.html(self)

    def lmfit(self) -> "MinimizerResult":
        """Return the fit as lmfit reports one, with values for the package uncertainties.

        A parameter at its bound, or not identified, has no standard error: it is not varied, its `stderr` is None and its
        uncertainty in `uvars` NaN; one that is not identified has no value either. `covar`, and so `uvars` and
        ``params.create_uvars(covar)``, hold the others, correlated. Squares are of standard uncertainties, those of what is
        known of the apparatus among them; the name and unit of a parameter stand in its `user_data`. Linear, and of the
        others as if a parameter at its bound were there exactly: the limits of the table, by profile, are to be preferred.
        Where the size of an error was taken from the residuals, chi-square is what that makes it, and ranks no laws; `aic` and
        `bic` are of the readings as they were read, with n ln(squares/n) for all of them, priors too: `compare` asks more.

        Returns
        -------
        result : lmfit.minimizer.MinimizerResult

        Examples
        --------
        >>> import rheokit as rk
        >>> curve = rk.FlowCurve(shear_rate=[1, 3, 10, 30, 100], shear_stress=[874, 957, 1180, 1400, 1890])
        >>> found = rk.fit(rk.HerschelBulkley, curve).lmfit()  # lmfit.report_fit(found) prints it
        >>> found.params["flow_index"].value, found.params["flow_index"].stderr
        (0.41, 0.06)
        >>> stress = found.uvars["yield_stress"] + found.uvars["consistency"] * 20 ** found.uvars["flow_index"]
        >>> f"{stress:.2u} Pa"
        '1307+/-20 Pa'
        """
        return lmfit_result(self)
