"""The result of a fit: a law, its intervals, its joint draws, and how far to trust them."""

import warnings
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..bench.gathered import count_of, gathered
from ..bench.repeated import refuse_repeated
from ..errors import AtBoundWarning, DataError, ExtrapolationWarning, NotIdentifiedWarning
from ..laws import FlowLaw
from ..progress import step
from ..sampling import LEVEL
from ..things import called
from . import apparatus, checks, conditions, draws, estimates, identified, predictions, stamp, text
from .estimate import check_names, error_groups, estimate, inside, rates_of_use, tests_and_benches
from .joint_draws import JointDraws
from .misfit import Misfit


def fit(law_class, *tests_or_bench, fixed=None, start=None, use_range=None):
    """Fit one law to all tests of one or more benches at once.

    Parameters
    ----------
    law_class : type
        A subclass of FlowLaw, e.g. ``rk.HerschelBulkley``.
    *tests_or_bench : Bench or BenchTest
        Benches of different batches may stand together: the spread of the batches is then kept apart from reading error.
        They must be of one water content, age and temperature.
    fixed : dict, optional
        Values of parameters that are not to be fitted, by name.
    start : dict or FlowLaw, optional
        Where to start; parameters left out are guessed. A dict may name nuisance parameters too, as the table shows them.
    use_range : tuple of float, optional
        Slowest and fastest shear rate at which the law will be used. [1/s]

    Returns
    -------
    FitResult

    Raises
    ------
    DataError
        If nothing was given to fit, the same readings were given twice, two records contradict each other about what they
        share, a name is not known, or the readings are of different water content (beyond 2 %), age (a factor 1.5) or
        temperature (2 K; 5 K within a record).

    Warns
    -----
    AtBoundWarning
        If a parameter of the law stopped at its bound.

    Notes
    -----
    Least squares in standard uncertainties. Stated uncertainties are taken as absolute and never rescaled; an unknown error
    size is estimated from the residuals. Priors of nuisance parameters count as readings.
    """
    if not (isinstance(law_class, type) and issubclass(law_class, FlowLaw)):
        raise TypeError(f"fit: {called(law_class)} is not a flow law; give a class such as rk.HerschelBulkley first.")
    tests, benches = tests_and_benches(tests_or_bench)
    if not tests:
        raise DataError("fit: no test was given; give a bench, or records such as rk.FlowCurve(...).")
    informing = [test for test in tests if not test.gives]
    if not informing:
        told = ", ".join(dict.fromkeys(test.kind for test in tests))
        raise DataError(
            f"fit: no test says anything about the flow law ({told} alone); add one, such as a flow curve or a run."
        )
    given, tests = tests, informing
    conditions.check(tests, benches)
    refuse_repeated("fit", given)
    use_range = rates_of_use(use_range)
    tests = gathered(tests)
    fixed = dict(fixed or {})
    check_names(law_class, tuple(tests), fixed, start)
    step(f"fitting the {text.named(law_class)} to {sum(map(count_of, tests))} readings")
    result = FitResult.of(law_class, tests, fixed, start=start, benches=benches, use_range=use_range)
    if result.laws_alike is not None:  # its law is one of many: whoever computes with it is told
        object.__setattr__(result.law, "_fit", result)
    for name in result.problem.free:
        if result.is_at_bound(name):
            about = law_class.parameters()[name]
            warnings.warn(
                f"fit of {law_class.name or law_class.__name__}: {name} stopped at its bound, "
                f"{result.law.values[name]:.4g} {about.unit}, so its standard error means nothing. Read its one-sided "
                "limit; slower rates or a test of the yield stress would say more.",
                AtBoundWarning,
                stacklevel=2,
            )
    return result


@dataclass(frozen=True, eq=False, repr=False)
class FitResult(JointDraws):
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

    law: FlowLaw
    tests: tuple
    benches: tuple
    use_range: tuple | None
    problem: object
    minimum: object
    freedom: float | None

    @classmethod
    def of(cls, law_class, tests, fixed, start=None, near=(), benches=(), use_range=None):
        """Return the result for tests that are known to be sound; `near` are laws close to the answer."""
        problem, minimum, freedom = estimate(law_class, tuple(tests), fixed, start, near)
        law = problem.law(minimum.theta)
        return cls(law, tuple(tests), tuple(benches), use_range, problem, minimum, freedom)

    def part(self, tests, near=None):
        """Return the fit of some of its tests alone, from its own law or one `near`; several checks ask for the same part."""
        key = tuple(map(id, tests))
        if key not in self._parts:
            problem, minimum, freedom = estimate(
                self.problem.law_class, tuple(tests), self.problem.fixed, near=[near or self.law]
            )
            law = problem.law(minimum.theta)
            self._parts[key] = FitResult(law, tuple(tests), (), self.use_range, problem, minimum, freedom)
        return self._parts[key]

    @cached_property
    def _parts(self):
        return {}

    # --- size of the misfit -------------------------------------------------------------------------------------

    @property
    def chi_square(self):
        """Sum of squares of the residuals, readings and priors, in standard uncertainties [-]."""
        return self.minimum.chi_square

    @cached_property
    def degrees_of_freedom(self):
        """Readings less the parameters that no prior holds."""
        _, freedom = inside(self.problem, range(len(self.tests)))
        return sum(self.problem.counts) + int(freedom) - self.problem.free_without_prior

    def misfit(self, level=LEVEL):
        """Return the `Misfit` whose rise sets the limits of an interval."""
        return Misfit(self._error_groups, level)

    @cached_property
    def _error_groups(self):
        return error_groups(self.problem, self.minimum)

    @cached_property
    def cloud(self):
        """Coordinates spread over the region that the readings allow and beyond, and the parts of their misfit."""
        return draws.cloud(self.problem, self.minimum, self.misfit(), self.rate_range or (1.0, 1.0))

    @cached_property
    def nuisance(self):
        """Values of the nuisance parameters by name."""
        return {key: float(value) for key, value in self.problem.nuisance_values(self.minimum.theta).items()}

    @cached_property
    def with_next_batch(self):
        """The same fit with a coordinate more: the factor of a batch that nobody has read."""
        problem = replace(self.problem, next_batch=True)
        theta = np.append(self.minimum.theta, 0.0)
        residuals, jacobian = problem.jacobian(problem.residuals, theta, problem.scales(theta))
        return replace(
            self, problem=problem, minimum=self.minimum._replace(theta=theta, residuals=residuals, jacobian=jacobian)
        )

    @property
    def batch_spread(self):
        """Spread of ln stress from batch to batch [-] and the degrees of freedom behind it; None where one batch was read."""
        problem = self.problem
        return (problem.batch_spread, len(problem.batches) - 1.0) if problem.batches else None

    # --- estimates ----------------------------------------------------------------------------------------------

    def is_at_bound(self, name):
        """Return whether a fitted parameter rests on its bound."""
        place = self.problem.names.index(name)
        low, high = self.problem.box
        reach = 1e-6 * self.problem.scales(self.minimum.theta)[place]
        value = self.minimum.theta[place]
        return bool(value <= low[place] + reach or value >= high[place] - reach)

    @cached_property
    def unidentified(self):
        """Names of the parameters along which the sum of squares does not change at all."""
        return estimates.unidentified(self)

    @cached_property
    def not_identified(self):
        """Parameters to which the readings set no limit, each with what it needs in words: their values mean nothing."""
        return identified.not_identified(self)

    @cached_property
    def alike(self):
        """Coordinates that the readings cannot tell from the best fit, shape (k, p), the best first [as the fit's]."""
        return identified.alike(self)

    @property
    def left_open(self):
        """What to say of anything that rests on `not_identified`: "not identified: needs ..."; "" where nothing is open."""
        return identified.words(self) if self.not_identified else ""

    def missing(self, quantity, extruder=None):
        """Return "not identified: needs ..." where a quantity, asked as in `interval`, rests on what is open, else ""."""
        return identified.words(self) if np.any(predictions.rests_on_open(self, quantity, extruder)) else ""

    def stress(self, shear_rate):
        """Return the shear stress [Pa] at shear rates [1/s]: NaN where it rests on what the readings leave open."""
        return predictions.stress(self, shear_rate)

    @property
    def laws_alike(self):
        """One law whose fields hold laws that the readings cannot tell apart, shape (k, 1, 1); None where there is one alone."""
        return identified.laws_alike(self)

    @cached_property
    def covariance(self):
        """Covariance of the parameters as the table shows them, from the Jacobian; those at a bound have none."""
        return estimates.covariance(self)

    @cached_property
    def table(self):
        """Estimates: index parameter names, columns symbol, value, stderr, low, high, unit, at_bound.

        `low` and `high` are the limits of the 95 % profile interval; an open end says that the readings do not fix it.
        A parameter that they do not fix at all (`not_identified`) has no value: NaN.
        """
        return estimates.table(self)

    def limits(self, name, level=LEVEL):
        """Return the profile limits (low, high) of one parameter, in its unit, at a level of confidence [-]."""
        if (name, level) not in self._limits:
            self._limits[name, level] = estimates.limits(self, name, level)
        return self._limits[name, level]

    def tells(self, name):
        """Return whether the readings tell a parameter: of one that was assumed, more than was assumed."""
        prior = self.problem.nuisances.get(name)
        return prior is None or estimates.told(self, name, prior)

    @cached_property
    def _limits(self):
        return {}

    @cached_property
    def correlations(self):
        """Correlation matrix of the fitted parameters, a DataFrame."""
        return estimates.correlations(self)

    # --- predictions --------------------------------------------------------------------------------------------

    @cached_property
    def rate_range(self):
        """Slowest and fastest shear rate that the readings cover [1/s]; None where no test has a rate."""
        rates = np.concatenate([np.ravel(test.shear_rates(self.law)) for test in self.tests])
        rates = rates[np.isfinite(rates) & (rates > 0)]
        return (float(rates.min()), float(rates.max())) if len(rates) else None

    @cached_property
    def yield_measured(self):
        """True where a test of the dynamic yield stress covers everything slower than the rates read."""
        return any(test.state == "dynamic" and len(test.yield_stresses()) for test in self.tests)

    def covers(self, slowest, fastest):
        """Return whether the readings cover a range of rates [1/s], and in words what is asked for and covered."""
        return predictions.covers(self, slowest, fastest)

    def known(self, extruder):
        """Return what the fit knows of an extruder, as `apparatus.Known`; see `interval`."""
        return apparatus.known(self, extruder)

    def interval(self, quantity, level=LEVEL, extruder=None, batch="median"):
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
            Where one batch alone was read a spread of 0.15 in ln stress is assumed.

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
        found = predictions.interval(self, quantity, level, extruder, batch)
        if found.comment.startswith(text.OPEN):
            warnings.warn(f"{found.comment}.", NotIdentifiedWarning, stacklevel=2)
        elif found.extrapolated:
            warnings.warn(f"extrapolated: {found.comment}.", ExtrapolationWarning, stacklevel=2)
        return found._replace(comment=f"{self.stamp} {found.comment}") if stamp.forbids(self) else found

    @cached_property
    def stresses(self):
        """Shear stress at 1, 10 and 100 1/s and at the rates of use, with 95 % limits; better conditioned than K and n."""
        return predictions.stresses(self)

    # --- trust --------------------------------------------------------------------------------------------------

    @cached_property
    def stamp(self):
        """What every number and picture of this fit must carry, in words: empty where all checks passed."""
        return stamp.stamp(self)

    @property
    def verdict(self):
        """Whether the numbers may be used: the stamp, and the checks that failed, the likeliest cause first."""
        return stamp.verdict(self)

    @property
    def suspect_rows(self):
        """Readings to mark, those of the likeliest cause: (place of the test in `tests`, place of the reading), from 0."""
        return stamp.suspect_rows(self)

    @property
    def summary(self):
        """The whole result as text: law, estimates, stresses, checks."""
        return text.summary(self)

    def __repr__(self):
        return text.short(self)

    def _repr_html_(self):
        return text.html(self)

    @cached_property
    def checks(self):
        """Questions the fit answers about itself: question, value, threshold, passed, comment (a DataFrame)."""
        return self.checks_with_rows.drop(columns="rows")

    @cached_property
    def checks_with_rows(self):
        """The same, and the readings that each is about: (place of the test, place of the reading in it), from 0."""
        return checks.table(self)

    @cached_property
    def residuals(self):
        """Residuals, read minus predicted in standard uncertainties: a DataFrame, one line a reading, rows as in its file."""
        return checks.residual_table(self)
