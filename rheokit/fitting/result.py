"""The result of a fit: a law, its intervals, its joint draws, and how far to trust them."""

import warnings
from typing import TYPE_CHECKING

from ..bench import Bench, BenchTest
from ..bench.gathered import count_of, gathered
from ..bench.repeated import refuse_repeated
from ..errors import AtBoundWarning, DataError
from ..laws import FlowLaw
from ..nomenclature import written
from ..progress import step
from ..things import called
from . import conditions, text
from .asked import check_names, rates_of_use, tests_and_benches
from .judged import Judged
from .lmfit_result import lmfit_result

if TYPE_CHECKING:
    from lmfit.minimizer import MinimizerResult


def fit(
    law_class: type[FlowLaw],
    *tests_or_bench: Bench | BenchTest,
    fixed: dict[str, float] | None = None,
    start: dict[str, float] | FlowLaw | None = None,
    use_range: tuple[float, float] | None = None,
) -> "FitResult":
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
                f"{written(float(result.law.values[name]), about.unit, 4)}, so its standard error means nothing. Read its one-sided "
                "limit; slower rates or a test of the yield stress would say more.",
                AtBoundWarning,
                stacklevel=2,
            )
    return result


class FitResult(Judged):
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
        known of the apparatus among them; the name and unit of a parameter stand in its `user_data`. Linear: the limits
        of the table, by profile, are to be preferred.

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
