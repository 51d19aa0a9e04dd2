"""What a law leaves of the readings along the rate, in shares of the stress, and what that makes of its intervals.

A law of three parameters does not follow a real curve over four decades to a percent: it leaves a bend, whatever the number
of readings. That is an error of the law and not of the readings, so more of these do not lessen it, and it is as large
between two rates read as at them. Where neighbours along the rate lie to the same side of the law more often than chance has it,
the law therefore takes one more factor on every stress, which no reading sees and its prior alone holds: its spread is
the size of what neighbours share, so each interval of a stress, a force or a margin inside the rates read holds the bend. Nothing is
added where nothing is left. Beyond the rates read a bend grows; a check tells that.

How much likeness is asked for weighs two errors. To ask little widens the limits of few readings whose law is right; to ask much leaves out
bends that half of a curve hardly shows. With 15 readings of 120 curves that bend otherwise than Herschel and Bulkley's law the 95 % intervals held
the true stress in 0.96 (scatter 0.3 %) and 0.90 (scatter 1 %: 0.99 where the bend is noticed, 0.80 where not); of 200 curves of 16 readings
whose law is right 2 were called bent, and 0.95 held.
Of 30 curves of 15 readings (0.1 to 1000 1/s, a bend of 1.7 % rms, scatter 0.3 %) the 95 % intervals of the stress held 0.46 of the
readings between without it, and 0.94 with it (`tests/test_lack_of_fit.py`).

Smooth is what straight lines through a few neighbours follow: no law is assumed for what a law leaves.
"""

from dataclasses import replace

import numpy as np

from ..inputs import trusted
from .residuals import FEWEST, neighbours
from .run_factors import stress_slopes

ALIKE = 2.2  # normal deviate of the likeness of neighbours, which chance passes once in seventy
PARTS, LEAST = 5, 5  # a straight line goes through a fifth of the readings, and never through fewer than these


def row_rates(test, law, predicted, as_read=False):
    """Return the shear rate [1/s] of each reading of a test at the law's reference, or as it was read, shape (N,): NaN where it has none.

    Where the flow was read, the rate is that of the flow predicted: along what was read its own error would look like a trend.
    """
    with trusted():  # no flow at all is a prediction too
        set_to = replace(test, flow_rate=np.asarray(predicted)) if test.reads == "flow_rate" else test
        rates = set_to.shear_rates(test.at_its_condition(law))
        rates = np.ravel(rates if as_read else test.at_reference(law, rates, test.readings)[0])
    return rates if len(rates) == len(test.readings) else np.full(len(test.readings), np.nan)


def logarithms_of_rates(result):
    """Return ln of the rate of each reading, shape (N,): NaN for one that has none, or is a bound."""
    found = []
    for test, law in zip(result.tests, _seen(result), strict=True):
        rates = row_rates(test, result.law, test.predict(law, result.nuisance))
        with np.errstate(divide="ignore", invalid="ignore"):
            found.append(np.where((test.bounds[0] == 0) & (rates > 0) & (not test.general), np.log(rates), np.nan))
    return np.concatenate(found)


def _seen(result):
    """Return the law as each test sees it: of its batch."""
    return [result.problem.of_batch(result.law, test, result.nuisance) for test in result.tests]


def left(result):
    """Return how far the reading of each row lies above the law, as a share of the stress, and its weight; both (N,)."""
    slope = stress_slopes(result.problem, result.minimum.theta)
    residuals = result.minimum.residuals[: len(slope)]
    return -residuals * slope / np.maximum(slope**2, 1e-300), slope**2


def smoothed(along, values, weights):
    """Return values as straight lines through the nearest neighbours of each follow them, shape (N,); NaN without a place."""
    out, places = np.full(len(along), np.nan), np.flatnonzero(np.isfinite(along))
    out[places] = smoothing(along[places], weights[places]) @ values[places]
    return out


def smoothing(along, weights):
    """Return what makes `smoothed` values of values, a matrix of shape (N, N)."""
    places, count = np.argsort(along, kind="stable"), len(along)
    x, w, out = along[places], weights[places], np.zeros((len(along), len(along)))
    window = min(max(LEAST, count // PARTS), count)
    for k in range(count):
        first = min(max(k - window // 2, 0), count - window)
        own = slice(first, first + window)
        total = max(w[own].sum(), 1e-300)
        middle = np.sum(w[own] * x[own]) / total
        spread = np.sum(w[own] * (x[own] - middle) ** 2)
        slope = (x[k] - middle) / spread if spread > 1e-12 * total else 0.0
        out[places[k], places[own]] = w[own] * (1 / total + slope * (x[own] - middle))
    return out


def lack_of_fit(result):
    """Return the standard deviation of ln stress [-] for what a law leaves along the rate; 0 where that is no more than chance.

    It is that of what neighbours share, by the mean product of their distances from the law: the scatter of each is its own.
    """
    along = logarithms_of_rates(result)
    placed = np.flatnonzero(np.isfinite(along))
    if len(placed) < FEWEST or neighbours(result, along) < ALIKE:
        return 0.0
    placed = placed[np.argsort(along[placed], kind="stable")]
    shares, weights = (each[placed] for each in left(result))
    followed = len(placed) / max(len(placed) - len(result.problem.free), 1)
    weights = np.sqrt(weights[1:] * weights[:-1])
    shared = np.sum(weights * shares[1:] * shares[:-1]) / max(np.sum(weights), 1e-300)
    return float(np.sqrt(followed * max(shared, 0.0)))
