"""Where to begin the search for a slip law: the idea of Mooney's plot, without lines and without a flow law.

At one wall stress the apparent rate is f(τ_w) + 8 V_s/D. For a trial slip law the rest, rate less 8 V_s/D, must be one
curve for all bores. Trial slips are as large as the slowest rows allow, or shares of that; each is judged by how nearly a
smooth curve through the rest gives the rates read. (Mooney, Journal of Rheology 2 (1931) 210, for the idea; from memory.)
"""

from typing import NamedTuple

import numpy as np

SHARES = np.array([0.03, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.0])  # of the most slip that the rows allow
BELOW = (0.0, 0.5, 0.75, 0.9)  # threshold over the least wall stress
LEFT = 0.05  # share of its rate that a row must keep to stand on the curve without slip
MOST = 12


class Start(NamedTuple):
    """A trial slip law: values of nuisance parameters by key, and the rough curve (rates, stresses) without its slip."""

    nuisance: dict
    shear_rate: np.ndarray
    shear_stress: np.ndarray
    runs: tuple


def slip_starts(tests):
    """Return, for every apparatus whose slip is fitted, a list of `Start`, the likeliest first."""
    shared = {}
    for test in tests:
        if test.nozzle is not None and test.slip == "fitted":
            shared.setdefault((test.shared("slip_coefficient"), test.shared("slip_threshold")), []).append(test)
    return [starts for keys, runs in shared.items() if (starts := _of_apparatus(keys, runs))]


def _of_apparatus(keys, runs):
    curves = [(*one.rough_curve(), np.full(len(one.readings), one.channel({}).land.diameter)) for one in runs]
    rates, stresses, bores = (np.concatenate(parts) for parts in zip(*curves, strict=True))
    sound = (rates > 0) & (stresses > 0)
    rates, stresses, bores = rates[sound], stresses[sound], bores[sound]
    if len(rates) < 2:
        return []
    least, quarters = float(np.min(stresses)), np.quantile(stresses, [0.15, 0.3, 0.5, 0.7])
    found = []
    for threshold in np.unique([*(share * least for share in BELOW), *quarters]):
        over = stresses > threshold
        most = np.min(rates[over] * bores[over] / (8 * (stresses[over] - threshold)))
        for coefficient in most * SHARES:
            left = np.maximum(rates - 8 * coefficient * np.maximum(stresses - threshold, 0.0) / bores, 0.0)
            found.append((_apart(rates, left, stresses), coefficient, threshold, left))
    found.sort(key=lambda trial: trial[0])
    starts, seen = [], {}
    for _, coefficient, threshold, left in found:  # the best two of every threshold
        seen[threshold] = seen.get(threshold, 0) + 1
        keep = left > LEFT * rates
        if seen[threshold] <= 2 and keep.sum() > 1:
            values = dict(zip(keys, (float(coefficient), float(threshold)), strict=True))
            starts.append(Start(values, left[keep], stresses[keep], tuple(runs)))
    return starts[:MOST]


def _apart(rates, left, stresses):
    """Return how far ln rates lie from a smooth curve of what is left and slip: mean square, to first order in the curve."""
    share = left / rates
    x = np.log(stresses / np.median(stresses))
    terms = np.vander(x / max(np.max(np.abs(x)), 1e-9), min(4, max(len(np.unique(np.round(x, 6))) - 1, 1)))
    y = np.log(np.maximum(left, 1e-6 * rates)) * share
    return float(np.mean((y - terms * share[:, None] @ np.linalg.lstsq(terms * share[:, None], y, rcond=None)[0]) ** 2))
