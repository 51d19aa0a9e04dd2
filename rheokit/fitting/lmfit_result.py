"""A fit as lmfit reports one, for `lmfit.report_fit` and for values of the package uncertainties."""

import re
import warnings

import numpy as np

from .estimate import inside

METHOD = "least squares of rheokit, in standard uncertainties"


def lmfit_result(result):
    """Return a fit as an `lmfit.minimizer.MinimizerResult`; see `FitResult.lmfit`."""
    from lmfit import Parameters
    from lmfit.minimizer import MinimizerResult
    from uncertainties import correlated_values, ufloat

    problem = result.problem
    names, covariance = identifiers([*problem.names, *problem.fixed]), result.covariance
    values, errors, matrix = result.parameter_values, np.sqrt(np.diag(covariance)), result.correlations.to_numpy()
    known = [place for place in range(len(problem.names)) if np.isfinite(errors[place])]
    parameters, uncertain = Parameters(), {}
    for place, (key, name) in enumerate(names.items()):
        about, fitted = problem.about(key), place < len(problem.names)
        is_open = key in result.not_identified
        value = np.nan if is_open else float(values[key])
        parameters.add(name, value=value, vary=place in known, min=about.low, max=about.high)
        one = parameters[name]
        one.init_value, one.user_data = None, {"name": str(key), "symbol": about.symbol, "unit": about.unit}
        one.stderr = None if fitted else 0.0
        if place in known:
            one.stderr = float(errors[place])
            one.correl = {names[problem.names[other]]: float(matrix[place, other]) for other in known if other != place}
        with warnings.catch_warnings(action="ignore", category=UserWarning):  # of uncertainties, where one is exactly 0
            uncertain[name] = ufloat(value, np.nan if fitted else 0.0)
    varied = [names[problem.names[place]] for place in known]
    covar = covariance[np.ix_(known, known)] if known else None
    if known:
        uncertain |= dict(
            zip(varied, correlated_values([parameters[name].value for name in varied], covar), strict=True)
        )
    scatter, _ = inside(problem, range(len(result.tests)))
    squares, free, count = result.chi_square + scatter, result.degrees_of_freedom, len(problem.names)
    rows = free + count
    likely = rows * np.log(max(squares, 1e-250 * rows) / rows)
    told = zip(problem.tests, problem.counts, problem.sizes, strict=True)
    likely += sum(
        2 * known * np.log(size) for test, known, size in told if not test.error_is_known
    )  # as they were read
    return MinimizerResult(
        params=parameters, var_names=varied, covar=covar, uvars=uncertain, residual=result.minimum.residuals,
        chisqr=squares, redchi=squares / max(free, 1), nfree=free, ndata=rows, nvarys=count, aic=likely + 2 * count,
        bic=likely + np.log(rows) * count, success=result.minimum.converged, errorbars=bool(known), method=METHOD,
        message=result.verdict, aborted=False, nfev="not counted",
    )  # fmt: skip


def identifiers(keys):
    """Return a name that lmfit takes for each key: plunger_friction[syringe] as plunger_friction_syringe."""
    found = {}
    for key in keys:
        name = plain = re.sub(r"\W+", "_", str(key)).strip("_")
        another = 2
        while name in found.values():
            name, another = f"{plain}_{another}", another + 1
        found[key] = name
    return found
