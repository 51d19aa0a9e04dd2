"""The fit, and what it is asked: tests, fixed values, a start, rates of use; refused where it cannot be."""

import warnings

import numpy as np

from ..bench import Bench, BenchTest
from ..bench.gathered import count_of, gathered
from ..bench.repeated import refuse_repeated
from ..errors import AtBoundWarning, DataError
from ..inputs import in_si, judged_number
from ..laws import FlowLaw
from ..nomenclature import Quantity, written
from ..progress import step
from ..things import called
from . import conditions
from .problem import Problem
from .result import FitResult
from .runs_apart import as_records
from .text import named


def fit(
    law_class: type[FlowLaw],
    *tests_or_bench: Bench | BenchTest,
    fixed: dict[str, float] | None = None,
    start: dict[str, float] | FlowLaw | None = None,
    use_range: tuple[float, float] | None = None,
) -> FitResult:
    """Fit one law to all tests of one or more benches at once.

    Parameters
    ----------
    law_class : type
        A subclass of FlowLaw, e.g. ``rk.HerschelBulkley``.
    *tests_or_bench : Bench or BenchTest
        Benches of different batches may stand together: the spread of the batches is then kept apart from reading error.
        They must be of one water content, age and temperature, or the law must depend on what differs: see `over_conditions`,
        which makes it so, and `heated`, `watered` and `aged`.
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
        temperature (2 K; 5 K within a record) and the law does not depend on it. If it does: where a condition is not known of a test,
        is the same in all, or moves together with another one, so that nothing tells their effects apart.

    Warns
    -----
    AtBoundWarning
        If a parameter of the law stopped at its bound.

    Notes
    -----
    Least squares in standard uncertainties. Stated uncertainties are taken as absolute and never rescaled; an unknown error
    size is estimated from the residuals. Priors of nuisance parameters count as readings.
    """
    return fitted(law_class, tests_or_bench, fixed, start, use_range)


def fitted(law_class, tests_or_bench, fixed=None, start=None, use_range=None, beside=()):
    """Return what `fit` does; laws `beside` it are fitted to the same records."""
    refuse_no_law(law_class)
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
    conditions.check(law_class, tests, benches, fixed or {})
    refuse_repeated("fit", given)
    use_range = rates_of_use(use_range)
    tests = gathered(as_records([law_class, *beside], tests))
    fixed = dict(fixed or {})
    check_names(law_class, tuple(tests), fixed, start)
    step(f"fitting the {named(law_class)} to {sum(map(count_of, tests))} readings")
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
                stacklevel=3,
            )
    return result


def refuse_no_law(law_class):
    """Refuse what is no class of laws."""
    if not (isinstance(law_class, type) and issubclass(law_class, FlowLaw)):
        raise TypeError(f"fit: {called(law_class)} is not a flow law; give a class such as rk.HerschelBulkley first.")


def tests_and_benches(given):
    """Return all the tests that were given, those of benches too, and the benches; refuse what is neither."""
    tests, benches = [], []
    for thing in given:
        if isinstance(thing, Bench):
            benches.append(thing)
            tests.extend(thing.tests)
        elif isinstance(thing, BenchTest):
            tests.append(thing)
        else:
            several = "; give several one after the other, not in a list" if isinstance(thing, list | tuple) else ""
            raise TypeError(f"fit: {called(thing)} is neither a bench test nor a bench{several}.")
    return tests, benches


def check_names(law_class, tests, fixed, start):
    """Refuse to fix or to start from what is no parameter, and a value that a parameter cannot have."""
    own, begin = law_class.parameters(), start if isinstance(start, dict) else {}
    shared = {} if set(begin) <= set(own) else Problem(law_class, tests, fixed, ()).nuisances
    for what, given, known in (("fixed value", fixed, own), ("start", begin, own | shared)):
        for name, value in given.items():
            if name not in known:
                also = f", and the tests share {', '.join(shared)}" if shared and given is begin else ""
                raise DataError(f"fit: {name} is no parameter of {law_class.__name__}; it has {', '.join(own)}{also}.")
            _possible(f"{what} of {name}", value, known[name])
    if set(own) <= set(fixed) and not Problem(law_class, tests, fixed, ()).nuisances:
        raise DataError(
            f"fit: every parameter of {law_class.__name__} is fixed, and the readings share nothing else, so that nothing is left to fit. "
            f"Leave one out of fixed=, or compute with rk.{law_class.__name__}(...) itself."
        )


def _possible(what, value, about):
    """Refuse a value outside the bounds of a parameter."""
    value = in_si("fit", what, value, Quantity(about.symbol, about.unit, about.meaning))
    unit = "" if about.unit == "-" else f" {about.unit}"
    wanted = (
        f"from {about.low:g} to {about.high:g}{unit}" if np.isfinite(about.high) else f"of {about.low:g}{unit} or more"
    )
    wanted = f"above 0{unit}" if about.logarithmic else wanted
    if np.ndim(value):
        raise DataError(f"fit: {what} = {value!r:.40} is not one number; give one {wanted}.")
    if not (about.low <= value <= about.high and np.isfinite(value) and (value > 0 or not about.logarithmic)):
        raise DataError(f"fit: {what} = {value:.6g}{unit} cannot be; give a number {wanted}.")


def rates_of_use(use_range):
    """Return the slowest and the fastest rate of use [1/s] as numbers; refuse what is no such pair."""
    if use_range is None:
        return None
    slowest, *rest = rates = np.ravel(judged_number("fit", "use_range", use_range, "shear_rate")).tolist()
    if len(rest) != 1 or not 0 < slowest <= rest[0]:
        raise DataError(
            f"fit: use_range = {tuple(rates)} must be the slowest and the fastest rate of use, both above 0, in 1/s."
        )
    return tuple(rates)
