"""Laws that the readings do not rule out beside the one that was fitted, and where a reading would tell them apart."""

import warnings
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ..bench import BenchTest
from ..errors import DataError
from ..fitting import FitResult
from ..fitting.ranking import not_ruled_out
from ..inputs import trusted
from ..laws import LAWS
from ..sampling import SURE
from .foreseen import Foreseen

NEXT_TO_NOTHING = (
    0.01  # of the greatest reading that is expected; where the least is below it, ratios of readings say nothing
)
ASKED = (
    "Herschel-Bulkley",
    "Casson",
    "power law",
    "Bingham",
)  # of few parameters and different bends, which are fitted at once


class Rival(NamedTuple):
    """Another law, and its fit to the same records."""

    name: str
    fit: FitResult


@lru_cache(maxsize=2)
def rivals_of(fit: FitResult) -> tuple[Rival, ...]:
    """Return the plain laws that the readings do not rule out, as a comparison of laws has it, beside the fitted one; none of a law over conditions."""
    own = fit.problem.law_class
    others: list[FitResult] = []
    if own.conditions or fit.problem.fixed:
        return ()
    count = sum(fit.problem.counts)
    shown = any(len(test.yield_stresses()) and not test.bounds[0].all() for test in fit.tests)
    for name, law_class in LAWS.items():
        if name not in ASKED or law_class is own or len(law_class.parameters()) >= count - 1:
            continue
        if shown and "yield_stress" not in law_class.parameters():
            continue
        try:
            with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
                others.append(type(fit).of(law_class, fit.tests, {}))
        except (DataError, np.linalg.LinAlgError):
            continue
    if not others:
        return ()
    try:
        with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
            near = not_ruled_out([fit, *others])
    except (DataError, np.linalg.LinAlgError):
        return ()
    return tuple(Rival(one.problem.law_class.name, one) for one in others if one in near)


def told_apart(
    fit: FitResult, others: Sequence[Rival], tests: Sequence[BenchTest], foreseen: Foreseen
) -> tuple[float, str]:
    """Return how far the law that differs most lies from what is expected of a candidate, in standard deviations of that, and its name."""
    best, name, first = 0.0, "", 0
    with trusted(), np.errstate(all="ignore"):
        for test in tests:
            count = len(test.readings)
            low, _, high = foreseen.reading[:, first : first + count]
            first += count
            own = test.predict(fit.problem.law(fit.minimum.theta), fit.nuisance)
            for other in others:
                read = test.predict(other.fit.problem.law(other.fit.minimum.theta), other.fit.nuisance)
                apart = float(np.nanmax(_deviations(read, own, low, high)))
                if np.isfinite(apart) and apart > best:
                    best, name = apart, other.name
    return best, name


def _deviations(read, own, low, high):
    """Return how far readings of another law lie from those of the fitted one, in standard deviations of what is expected, shape (N,).

    By their ratio; by their difference where a reading may be next to nothing: 0.2 mm and 0 mm of a slump that may be of 27 mm are one reading.
    """
    ratio = np.maximum(np.log(np.maximum(high, 1e-300) / np.maximum(low, 1e-300)), 1e-6) / (2 * SURE)
    amount = np.maximum(high - low, 1e-300) / (2 * SURE)
    apart = np.abs(np.log(np.maximum(read, 1e-12) / np.maximum(own, 1e-12))) / ratio
    return np.where(low < NEXT_TO_NOTHING * high, np.abs(read - own) / amount, apart)
