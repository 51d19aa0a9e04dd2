"""The residuals of a fit as a table, and the statistics that say whether a pattern is left in them."""

import numpy as np

from ..bench.base import quantity_of
from ..laws import Shifted
from .estimate import leverages


def residual_table(result):
    """Return one row a reading: test, row, reading, predicted, unit, residual, leverage, bound, and what orders it."""
    import pandas as pd

    frames, first = [], 0
    share = leverages(result.minimum)
    for place, test in enumerate(result.tests):
        count = len(test.readings)
        rows = slice(first, first + count)
        batch = result.nuisance.get(f"batch_factor[{test.batch}]", 1.0)
        rates = np.ravel(test.shear_rates(result.law))
        frame = {
            "test": place,
            "name": test.name,
            "row": np.arange(count),
            "reading": test.readings,
            "predicted": test.predict(Shifted(result.law, batch) if batch != 1.0 else result.law, result.nuisance),
            "unit": quantity_of(test, test.reads).unit,
            "residual": result.minimum.residuals[rows],
            "leverage": np.clip(share[rows], 0.0, 1.0),
            "bound": test.bounds[0],
            "shear_rate": rates if len(rates) == count else np.nan,
        }
        for name in ("run_order", "time", "stroke"):
            values = getattr(test, name)
            frame[name] = np.nan if values is None else values
        frames.append(pd.DataFrame(frame))
        first += count
    return pd.concat(frames, ignore_index=True)


def trend(order, residual):
    """Return how strongly residuals hang together along an order: (t of a straight line, z of the lag-1 correlation).

    Both are near standard normal where nothing is left; fewer than 6 readings say nothing (0, 0).
    """
    keep = np.isfinite(order) & np.isfinite(residual)
    order, residual = order[keep], residual[keep]
    if len(order) < 6 or np.ptp(order) == 0 or np.allclose(residual, residual[0]):
        return 0.0, 0.0
    x = order - order.mean()
    slope = np.sum(x * residual) / np.sum(x * x)
    rest = residual - residual.mean() - slope * x
    error = np.sqrt(np.sum(rest**2) / (len(x) - 2) / np.sum(x * x))
    r = residual[np.argsort(order, kind="stable")]
    r = r - r.mean()
    lag = np.sum(r[1:] * r[:-1]) / np.sum(r * r)
    return float(slope / error) if error > 0 else 0.0, float((lag + 1 / len(r)) * np.sqrt(len(r)))


def change_over(order, residual):
    """Return the change of a straight line over the whole range of an order, and its t value (0, 0 if too few)."""
    keep = np.isfinite(order) & np.isfinite(residual)
    order, residual = order[keep], residual[keep]
    if len(order) < 4 or np.ptp(order) == 0:
        return 0.0, 0.0
    x = order - order.mean()
    slope = np.sum(x * residual) / np.sum(x * x)
    rest = residual - residual.mean() - slope * x
    error = np.sqrt(np.sum(rest**2) / (len(x) - 2) / np.sum(x * x))
    return float(slope * np.ptp(order)), float(slope / max(error, 1e-300))
