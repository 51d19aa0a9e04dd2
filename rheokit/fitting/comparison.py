"""Several laws to the same readings: which is worth its parameters?"""

import warnings

import numpy as np

from ..errors import DataError
from .result import fit

CLEAR, WEAK = 10.0, 2.0  # differences of AICc: no support, and not to be told apart (Burnham and Anderson 2002, from memory)
NESTED = (("power law", "Herschel-Bulkley"), ("Bingham", "Herschel-Bulkley"), ("Newtonian", "Bingham"), ("Newtonian", "power law"), ("Newtonian", "Casson"))


def compare(law_classes, *tests_or_bench):
    """Fit several laws to the same readings and rank them.

    Parameters
    ----------
    law_classes : sequence of type
        Subclasses of FlowLaw.
    *tests_or_bench : Bench or BenchTest

    Returns
    -------
    comparison : DataFrame
        Index: the law's name, best first. Columns: parameters (those that no prior holds), residual_sum (in standard
        uncertainties), AICc, difference, weight, verdict. With too few readings for AICc there is no verdict but that.

    Notes
    -----
    AICc = χ² + 2k + 2k(k+1)/(N-k-1) with stated uncertainties; N ln(χ²/N) in place of χ² where the size of the error is
    unknown, the same for every law. A law that contains another never fits worse: where a search says otherwise, the
    larger law is fitted again from the smaller one's end.
    """
    import pandas as pd

    law_classes = list(law_classes)
    if not law_classes:
        raise DataError("compare: no law was given; give a list such as [rk.PowerLaw, rk.HerschelBulkley].")
    fits = _fits(law_classes, tests_or_bench)
    one = fits[0]
    count, unknown = sum(one.problem.counts), one.freedom is not None
    rows = []
    for result in fits:
        k = result.problem.free_without_prior + (1 if unknown else 0)
        squares = _squares(result)
        left = count - k - 1
        fitness = count * np.log(squares / count) if unknown else squares
        aicc = fitness + 2 * k + 2 * k * (k + 1) / left if left > 0 else np.nan
        rows.append([result.problem.law_class.name or result.problem.law_class.__name__, result.problem.free_without_prior, squares, aicc])
    frame = pd.DataFrame(rows, columns=["law", "parameters", "residual_sum", "AICc"]).set_index("law")
    frame = frame.sort_values("AICc", kind="stable")
    frame["difference"] = frame.AICc - frame.AICc.min()
    frame["weight"] = np.exp(-frame.difference / 2) / np.exp(-frame.difference / 2).sum()
    frame["verdict"] = _verdicts(frame)
    return frame


def _fits(law_classes, tests_or_bench):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fits = {c: fit(c, *tests_or_bench) for c in law_classes}
        for small, large in NESTED:
            pair = [next((c for c in law_classes if c.name == name), None) for name in (small, large)]
            if None in pair:
                continue
            inner, outer = fits[pair[0]], fits[pair[1]]
            if _squares(outer) > _squares(inner) * (1 + 1e-9):
                again = fit(pair[1], *tests_or_bench, start=_embedded(inner.law, pair[1]))
                fits[pair[1]] = again if _squares(again) < _squares(outer) else outer
    return list(fits.values())


def _embedded(law, law_class):
    """Return the parameters of a larger law that equal a smaller one."""
    viscosity = getattr(law, "viscosity", getattr(law, "plastic_viscosity", None))
    values = {
        "yield_stress": law.yield_stress,
        "consistency": getattr(law, "consistency", viscosity),
        "flow_index": getattr(law, "flow_index", 1.0),
        "plastic_viscosity": viscosity,
    }
    return {name: float(values[name]) for name in law_class.parameters()}


def _squares(result):
    """Return the sum of squares in standard uncertainties, or in the readings' own error shape where its size is unknown."""
    if result.freedom is None:
        return result.chi_square
    return result.chi_square * float(np.mean(np.square(result.problem.sizes)))


def _verdicts(frame):
    if frame.AICc.isna().any():
        return ["too few readings to compare laws"] * len(frame)
    second = frame.difference.iloc[1] if len(frame) > 1 else np.inf
    out = []
    for place, difference in enumerate(frame.difference):
        if place == 0:
            out.append("describes the readings best" if second > WEAK else "best, but not to be told apart from the next")
        elif difference <= WEAK:
            out.append("not to be told apart from the best")
        elif difference <= CLEAR:
            out.append("less likely")
        else:
            out.append("does not describe these readings")
    return out
