"""What a prediction asks for that was not read: the law behind it is then extrapolated."""

import numpy as np
import pandas as pd

from ..inputs import trusted
from ..limits import Case, judge
from ..limits.chosen import chosen
from ..limits.judgement import OUTSIDE

UNREAD = {
    "rates read": "shear rates",
    "temperatures read": "temperatures",
    "waters read": "water contents",
    "ages read": "ages",
}
"""What was not read where a limit that is advice is broken, by its name."""


def rates_asked(case: Case) -> tuple[float, float]:
    """Return the shear rates [1/s] that a case of single numbers asks for: at the widest wall that counts, and in the bore."""
    with trusted():  # a law that is hardly known asks for stresses beyond any paste, which is told of its pressure
        slowest, fastest = np.ravel(case.extruder.channel.wall_rates(case.pressure_law, float(case.flow_rate)))
    return float(slowest), float(fastest)


def at_reference(case: Case, rates: tuple[float, float]) -> tuple[float, float]:
    """Return rates [1/s] that a case of single numbers asks for where its law takes them at its reference."""
    factor = float(getattr(case.pressure_law, "rate_factor", 1.0))
    return rates[0] * factor, rates[1] * factor


def outside_readings(case: Case) -> list[str]:
    """Return in words each range of the readings that a case of single numbers leaves; empty where it leaves none."""
    return list(ranges_left(case).words)


def ranges_left(case: Case) -> pd.DataFrame:
    """Return the rows of `judge` of the ranges of the readings that a case of single numbers leaves."""
    advice = [limit for limit in chosen("outside_readings", None, case.job) if limit.advice]
    found = judge(case.without_caveats, advice)
    return found[found.verdict == OUTSIDE]
