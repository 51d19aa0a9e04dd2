"""A reading that could be taken: its record, with the reading that the fitted law gives, what it would show, and what can hurt."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..bench import BenchTest
from ..bench.run import Run
from ..bench.tools import missing
from ..fitting import FitResult
from ..machine.extruder import UNRATED
from ..nomenclature import written

LOCAL = "Local rules come first."
NEAR = 0.02  # share by which two settings are the same
BURNS = 318.15  # K, 45 degrees Celsius: above it what sticks to skin burns; common practice, no source


@dataclass(frozen=True, eq=False)
class Candidate:
    """A reading that could be taken.

    Attributes
    ----------
    name : str
        In words, with its setting.
    tests : tuple of BenchTest
        Its records; their readings are what the law of best fit gives.
    minutes : float
        Of work. [min]
    shows : str
        Which error of the law or of a theory it would show, "" where it repeats what was read.
    cautions : tuple of str
        What can hurt, in sentences.
    untold : str
        Why what it leaves cannot be foretold, in words; "" where it is simulated.
    """

    name: str
    tests: tuple[BenchTest, ...]
    minutes: float
    shows: str = ""
    cautions: tuple[str, ...] = ()
    untold: str = ""


def rates_of(fit: FitResult, test: BenchTest) -> np.ndarray:
    """Return the shear rates [1/s] of the readings of a test, of the law of best fit; none of a test of the yield stress."""
    rates = np.ravel(test.shear_rates(test.at_its_condition(fit.law)))
    return rates[np.isfinite(rates) & (rates > 0)]


def has_rates(fit: FitResult, test: BenchTest) -> bool:
    """Return whether a test reads anything at a shear rate."""
    return len(rates_of(fit, test)) > 0


def one_row(test: BenchTest, row: int, **changed: Any) -> BenchTest:
    """Return a row of a record as a record of its own, as if it were read anew, with other settings."""
    kept = test.where(np.arange(len(test.readings)) == row)
    gone = {name: None for name in ("time", "run_order", "run") if getattr(test, name) is not None}
    return replace(kept, **{**gone, **changed}, censored=np.zeros(1, int), origin=None)


def foretold(fit: FitResult, test: BenchTest) -> BenchTest:
    """Return a record with the readings that the law of best fit gives; one that is nothing is as small as can be read."""
    law = fit.problem.law(fit.minimum.theta)
    read = np.atleast_1d(np.asarray(test.predict(law, fit.nuisance), float))
    least = test.usual_resolution or test.readings
    read = np.where(np.isfinite(read) & (read > 0), read, least) if not test.general else read
    changed: dict[str, Any] = {test.reads: read}
    return replace(test, **changed)


def as_legible(test: BenchTest, least: float = np.inf) -> BenchTest:
    """Return a record of what nobody read yet, known no better than its tool can be read, where a share of the reading is all that is stated.

    `least` is the smallest standard uncertainty that the bench states of such readings, in the unit read: its tool reads that well.
    """
    amount = min(test.usual_resolution, least)
    stated = test.relative_uncertainty is not None and test.uncertainty is None
    return replace(test, uncertainty=amount) if stated and amount > 0 else test


def tools_lacking(fit: FitResult, tests: Sequence[BenchTest]) -> str:
    """Return in words the tools that some records ask for and that nothing read so far was made with; "" where none."""
    read = [*fit.tests, *(test for bench in fit.benches for test in bench.tests)]
    needs = {need for test in read for need in test.tools}
    made = {test.kind for test in read}
    asked = [need for test in tests if test.kind not in made for need in test.tools if need not in needs]
    lacking = dict.fromkeys(missing(asked, {one for one in needs if isinstance(one, str)}))
    return " and ".join(f"{'an' if one[0] in 'aeiou' else 'a'} {one}" for one in lacking)


# --- what it would show, and what can hurt ---------------------------------------------------------------------------------------------------------------


def shows_of(fit: FitResult, test: BenchTest) -> str:
    """Return which error a reading would show, in words; "" where it lies among those that were read by the same principle."""
    if test.kind not in {one.kind for one in fit.tests}:
        return f"a law or a theory that is wrong: a {test.kind} rests on another one than what was read"
    rates, read = rates_of(fit, test), fit.rate_range
    if len(rates) and read is not None and (rates.min() < read[0] * (1 - NEAR) or rates.max() > read[1] * (1 + NEAR)):
        side = "slower" if rates.min() < read[0] else "faster"
        return f"a law that bends away {side} than {written(read[0] if side == 'slower' else read[1], '1/s')}, where nothing was read"
    return ""


def _pressed(fit, test):
    """Return the pressure that a reading asks for and what its barrel may take, as far as it is known [Pa]."""
    rating = None if test.pressure_rating is None else float(np.min(test.pressure_rating))
    return float(np.max(test.pressures(fit.nuisance))), UNRATED if rating is None else rating / 2, rating is not None


def too_hard(fit: FitResult, test: BenchTest) -> bool:
    """Return whether a reading asks for more pressure than its barrel may take, and than was read of it."""
    if not isinstance(test, Run):
        return False
    most, allowed, _ = _pressed(fit, test)
    alike = [one for one in fit.tests if isinstance(one, Run) and one.apparatus_name == test.apparatus_name]
    return most > max([allowed, *(float(np.max(one.pressures(fit.nuisance))) for one in alike)])


def cautions_of(fit: FitResult, tests: Sequence[BenchTest], name: str) -> tuple[str, ...]:
    """Return what can hurt where the readings of a candidate, by its name, are taken, and the pressure expected of each that asks for a rated barrel."""
    said = [test.caution for test in tests if test.caution]
    for test in tests:
        if isinstance(test, Run):
            most, allowed, rated = _pressed(fit, test)
            if most > allowed:
                of = "half the printed rating is" if rated else "a barrel without a printed rating may take"
                which = f"“{name}”" if len(tests) == 1 else f"{test.name} in “{name}”"
                expected = f"About {written(most, 'Pa')} is expected of {which}, and {of} {written(allowed, 'Pa')}"
                said.append(f"{expected}: take a rated barrel, or less flow.")
        hot = np.max(test.conditions.get("temperature", 0.0))
        if hot > BURNS:
            said.append(f"At {written(float(hot), 'K')} melt, jacket and needle burn: gloves, and a lid against spray.")
    return (*dict.fromkeys(said), *([LOCAL] if said else []))
