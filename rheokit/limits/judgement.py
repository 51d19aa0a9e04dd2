"""A case before its limits: a table, and the one that binds first in words."""

import numpy as np

from ..units import kPa, mm


def judge(case, limits=None):
    """Return a DataFrame, one row a limit, for a case of single numbers.

    Parameters
    ----------
    case : Case
        Of numbers, not arrays.
    limits : iterable of Limit, optional
        All of ``LIMITS`` where none are given.

    Returns
    -------
    table : DataFrame
        Index the limit's name; columns label, value, low, high, unit, margin [-], verdict ("inside", "broken", "outside the
        readings", "not asked", "not judged"), words, remedy, formula, source, model_error [-], hard.
    """
    import pandas as pd

    rows = [_row(case, limit) for limit in (_every() if limits is None else limits)]
    columns = ["name", "label", "value", "low", "high", "unit", "margin", "verdict", "words", "remedy"]
    columns += ["formula", "source", "model_error", "hard", "caution"]
    return pd.DataFrame(rows, columns=columns).set_index("name")


def _every():
    from . import LIMITS

    return LIMITS.values()


def _row(case, limit):
    nan, about = float("nan"), (limit.formula, limit.source, limit.model_error, limit.hard, limit.caution_for(case))
    head = (limit.name, limit.label)
    if not limit.asked(case):
        return (*head, nan, nan, nan, limit.unit, nan, "not asked", f"{limit.label}: not asked by this job", "", *about)
    missing = limit.missing(case)
    if missing:
        words = f"{limit.label}: cannot be judged, {missing}"
        return (*head, nan, nan, nan, limit.unit, nan, "not judged", words, "measure it", *about)
    value, low, high = (nan if x is None else float(x) for x in (limit.value(case), limit.low(case), limit.high(case)))
    margin = float(limit.margin(case))
    inside = margin >= 0
    verdict = "inside" if inside else "outside the readings" if limit.advice else "broken"
    remedy = "" if inside else limit.remedy
    return (
        *head,
        value,
        low,
        high,
        limit.unit,
        margin,
        verdict,
        words_of(limit, case, value, low, high),
        remedy,
        *about,
    )


def words_of(limit, case, value, low, high):
    """Return a limit with its numbers in one line."""
    factor, unit = _read_easily(limit.unit, value)
    allowed = []
    if not np.isnan(low):
        allowed.append(f"at least {low / factor:.3g}")
    if not np.isnan(high):
        allowed.append(f"at most {high / factor:.3g}")
    value = value / factor
    allowance = float(limit.allowance(case))
    likely = f", up to {value * np.exp(allowance):.3g}{unit} in 97.5 of 100 batches" if allowance else ""
    return f"{limit.label}: {value:.3g}{unit}{likely}; {' and '.join(allowed)}{unit} allowed"


def _read_easily(unit, value):
    """Return the factor and the name, after a blank, of the unit in which a value in an SI unit reads without powers of ten."""
    if unit == "Pa" and value >= 10 * kPa:
        return kPa, " kPa"
    if unit in ("m", "m/s") and value < 1:
        return mm, f" m{unit}"
    return 1.0, "" if unit == "-" else f" {unit}"


def verdict(case, limits=None):
    """Return in one line whether a case passes, which limit binds first, its remedy where it is broken, and its caution."""
    return " ".join(filter(None, finding(case, limits)))


def finding(case, limits=None):
    """Return the verdict of a case in words, and apart from it the caution of the limit that binds first."""
    table = judge(case, limits)
    judged = table[table.verdict.isin(["inside", "broken"])]
    if judged.empty:
        return "No limit could be judged.", ""
    broken = judged[judged.verdict == "broken"]
    first = (
        (broken[broken.hard] if broken.hard.any() else broken if len(broken) else judged).sort_values("margin").iloc[0]
    )
    if len(broken):
        also = [label for label in broken.label if label != first.label]
        more = f" Also broken: {', '.join(also)}." if also else ""
        return f"Stopped by {first.words}. {first.remedy.capitalize()}.{more}", first.caution
    room = f"a factor {np.exp(first.margin):.2g} of room"
    return f"Inside every limit judged; first to bind: {first.words} ({room}).", first.caution
