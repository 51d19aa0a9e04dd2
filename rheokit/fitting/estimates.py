"""Estimates, covariance and profile limits of every parameter of a fit."""

import numpy as np

from ..inputs import number
from ..progress import step
from ..sampling import LEVEL, SURE, TAILS
from ..things import named
from . import identified, profile
from .estimate import batch_freedom
from .problem import batch_key

COLUMNS = ["symbol", "value", "stderr", "low", "high", "unit", "at_bound"]
TOLD = 0.9  # of the width that was assumed: readings that leave more tell nothing of it
NO_LIMIT = 50.0  # logarithmic limits beyond this are no limits


def columns(problem, stack):
    """Return the values of all parameters by name for a stack of coordinates."""
    return problem.law_values(stack) | problem.nuisance_values(stack)


def about(problem, name):
    """Return what is declared of a parameter of the law or a nuisance parameter."""
    return problem.law_class.parameters().get(name) or problem.nuisances[name]


def unidentified(result):
    """Return the names of the parameters along which the sum of squares does not change at all."""
    names = result.problem.names
    flat = np.abs(identified.directions(result)[1])
    return {names[i] for i in np.flatnonzero((flat > 1e-2).any(0))} if len(flat) else set()


def covariance(result):
    """Return the covariance of the parameters as the table shows them; NaN for those at a bound or not identified."""
    problem, minimum = result.problem, result.minimum
    names, scales = problem.names, problem.scales(minimum.theta)
    _, slopes = problem.jacobian(
        lambda stack: np.column_stack([columns(problem, stack)[name] for name in names]), minimum.theta, scales
    )
    keep = [i for i, name in enumerate(names) if not result.is_at_bound(name) and name not in result.unidentified]
    out = np.full((len(names), len(names)), np.nan)
    if keep:
        root = np.linalg.pinv(minimum.jacobian[:, keep] * scales[keep]) * scales[keep, None]
        transformed = slopes[np.ix_(keep, keep)] @ root
        out[np.ix_(keep, keep)] = transformed @ transformed.T
    return out


def told(result, name, prior):
    """Return whether the 95 % limits of a nuisance parameter are narrower than its prior's by more than a tenth."""
    ends = np.array(result.limits(name))
    low, high = np.log(ends) if prior.logarithmic else ends
    return bool(high - low < TOLD * 2 * SURE * prior.spread)


def correlations(result):
    """Return the correlation matrix of the fitted parameters, a DataFrame."""
    from ..frames import Frame

    errors, names = np.sqrt(np.diag(result.covariance)), result.problem.names
    with np.errstate(invalid="ignore", divide="ignore"):
        return Frame(result.covariance / np.outer(errors, errors), index=names, columns=names)


def table(result):
    """Return the table of estimates, a DataFrame with one row a parameter; the law's are of the median batch of several."""
    from ..frames import Frame

    problem, rows = result.problem, {}
    errors, values = np.sqrt(np.diag(result.covariance)), columns(problem, result.minimum.theta)
    for place, name in enumerate(problem.names):
        known = about(problem, name)
        step(f"limits {place + 1} of {len(problem.names)}: {name}")
        low, high = result.limits(name)
        value, error = float(values[name]), errors[place]
        if name in result.not_identified:
            value = error = np.nan
        rows[name] = [known.symbol, value, error, low, high, known.unit, result.is_at_bound(name)]
    for name, value in problem.fixed.items():
        known = about(problem, name)
        rows[name] = [known.symbol, value, 0.0, value, value, known.unit, False]
    if problem.batches:
        rows["batch_spread"] = ["s_b", *batch_spread(result), "-", False]
    frame = Frame.from_dict(rows, orient="index", columns=COLUMNS)
    if problem.batches:
        frame["batch"] = ["median" if name in problem.law_class.parameters() else "" for name in frame.index]
    return frame


def limits(result, name, level=LEVEL):
    """Return the profile limits of one parameter; its bounds, or no limit, where the readings do not fix it."""
    level = number("FitResult.limits", "level", level, "confidence_level")
    named("FitResult.limits", [name], [*result.problem.names, *result.problem.fixed], "parameter of this fit")
    problem, known, misfit = result.problem, about(result.problem, name), result.misfit(level)
    if name in result.unidentified or (
        len(result.alike) > 1 and identified.moves(columns(problem, result.alike)[name])
    ):
        return (0.0, np.inf) if known.logarithmic else (known.low, known.high)
    if not known.logarithmic:
        extent = (known.low, known.high)
        found = profile.limits(problem, misfit, result.minimum, lambda stack: columns(problem, stack)[name], extent)
        return max(found.low, known.low), min(found.high, known.high)
    extent = (-NO_LIMIT, NO_LIMIT)
    found = profile.limits(problem, misfit, result.minimum, lambda stack: np.log(columns(problem, stack)[name]), extent)
    low = np.exp(found.low) if found.why_low == "crossed" else 0.0
    high = np.exp(found.high) if found.why_high == "crossed" else np.inf
    return float(max(low, known.low)), float(min(high, known.high))


def batch_spread(result):
    """Return value, standard error and 95 % limits of the batch spread, by chi-square of its effective number."""
    from scipy.special import chdtri

    problem, jacobian = result.problem, result.minimum.jacobian
    places = [problem.names.index(batch_key(batch)) for batch in problem.batches]
    freedom = batch_freedom(problem, np.linalg.pinv(jacobian.T @ jacobian), places)
    spread = problem.batch_spread
    low, high = (float(spread * np.sqrt(freedom / chdtri(freedom, p))) for p in TAILS)
    return spread, spread / np.sqrt(2 * freedom), low, high


def draws_table(result, theta):
    """Return draws of the coordinates, shape (count, p), as a DataFrame with a column for each parameter, NaN if open."""
    from ..frames import Frame

    problem = result.problem
    found = {name: np.broadcast_to(column, len(theta)) for name, column in columns(problem, theta).items()}
    found |= dict.fromkeys(result.not_identified, np.full(len(theta), np.nan))
    return Frame({name: found[name] for name in [*problem.law_class.parameters(), *problem.nuisances]})
