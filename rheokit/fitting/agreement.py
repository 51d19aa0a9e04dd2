"""Do the yield stresses of one paste agree, each with the error that is stated of its test?

A slump's theory errs by a quarter, a plate's by a seventh, and what is read adds its own: of sound tests, a fourth of all
pairs would lie farther apart than any one factor that still tells. So each pair has a limit of its own, such that a sound
bench passes it once in a hundred; what both tests share (a theory, the criterion of yielding, static against static)
moves both alike and is left out.
"""

from dataclasses import replace
from itertools import combinations
from typing import NamedTuple

import numpy as np

from ..bench.base import STATIC_RATIO
from ..checking import Check
from ..laws.bingham import Bingham
from ..nomenclature import between, number, with_decimals, with_limits
from .residuals import limit
from .yields import read_alone

LEAST = 1.5  # factor between two yield stresses that is always allowed; common practice, no source
STEP = 0.1  # of a standard deviation, for the slope of a reading along what is known of the apparatus
OF_MEDIAN = np.sqrt(np.pi / 2)  # standard error of the median over that of the mean, of many normal readings


class Said(NamedTuple):
    """A yield stress that a test, or several, say, with what they rest on.

    `errors` are standard deviations of its ln by the name of their cause; a cause that two have in common moves both. `alone` is the
    value with its limits as a picture of the test has them.
    """

    name: str
    state: str
    low: float
    high: float
    errors: dict
    alone: tuple = ()

    @classmethod
    def by(cls, test, law, alone=()):
        """Return what a test of the yield stress says, at the law's reference: the median of its readings."""
        read, (_, there) = test.own_yield_stress, test.at_reference(law, 0.0, test.yield_stresses())
        value = float(np.median(there))
        return cls(test.name, test.state, value, value, errors_of(test, read), alone)

    @classmethod
    def flowing(cls, test):
        """Return a test of flow as one that says nothing of the yield stress, with the errors of its theory alone."""
        return cls(test.name, test.state, 0.0, np.inf, _of_theory(test))

    @property
    def ratio(self):
        """The usual ratio of what it says to the dynamic yield stress."""
        return STATIC_RATIO[0] if self.state == "static" else 1.0

    def gap(self, other):
        """Return the factor between the nearest ends of two as dynamic yield stresses, 1 where they overlap."""
        above = self.ratio / other.ratio
        return max(self.low / max(above * other.high, 1e-9), above * other.low / max(self.high, 1e-9), 1.0)

    def allowed(self, other, deviate):
        """Return the factor by which two may differ: `deviate` standard deviations, and never less than is usual."""
        own = [
            error
            for a, b in ((self.errors, other.errors), (other.errors, self.errors))
            for cause, error in a.items()
            if cause not in b
        ]
        return max(LEAST, float(np.exp(deviate * np.linalg.norm(own))))

    def __str__(self):
        """Return name, state and value."""
        if self.low < self.high:
            return f"{self.name} ({self.state}) {between(self.low, self.high, 'Pa')}"
        return f"{self.name} ({self.state}) {with_limits(*(self.alone or (self.low,) * 3), 'Pa')}"


def errors_of(test, value):
    """Return the standard deviations of the ln of a yield stress [Pa] that a test gives, by their cause."""
    law, errors = Bingham(yield_stress=value, plastic_viscosity=1.0), _of_theory(test)
    read = test.predict(law)
    slope = np.median(test.predict(replace(law, yield_stress=value * np.exp(STEP))) - read) / STEP
    if slope == 0:  # beyond its window a reading says nothing of the size of an error
        return errors
    for key, prior in test.own_nuisances().items():
        if np.isfinite(prior.spread) and prior.spread > 0:
            step = STEP * prior.spread
            moved = prior.middle * np.exp(step) if prior.logarithmic else prior.middle - step
            moved = np.clip(moved, prior.low, prior.high)
            errors[key] = abs(float(np.median(test.predict(law, {key: moved}) - read) / slope)) / STEP
    count = len(test.yield_stresses())
    if test.error_is_known:
        scatter = float(np.median(test.reading_errors) / abs(slope))
    else:
        said = np.log(test.yield_stresses()[test.yield_stresses() > 0])  # none where a reading is as of water
        scatter = float(np.std(said, ddof=1)) if len(said) > 1 else 0.0
    errors[f"reading of {id(test)}"] = OF_MEDIAN * scatter / np.sqrt(count)
    return errors


def _of_theory(test):
    return {key: prior.spread for key, prior in test.nuisances().items() if key not in test.own_nuisances()}


def agreement(result):
    """Do the yield stresses of one batch agree within the errors of their tests? Batches may differ."""
    pairs = [
        (a, b, batch)
        for batch in result.problem.batches or [None]
        for a, b in combinations(_of_batch(result, batch), 2)
    ]
    if not pairs:
        return []
    deviate = limit(len(pairs))
    gaps = [a.gap(b) for a, b, _ in pairs]
    most = [a.allowed(b, deviate) for a, b, _ in pairs]
    worst = int(np.argmax(np.log(gaps) / np.log(most)))
    (a, b, batch), gap, allowed = pairs[worst], gaps[worst], most[worst]
    passed = bool(gap <= allowed)
    also = "" if a.state == b.state else f" (static over dynamic taken as {with_decimals(STATIC_RATIO[0])})"
    words = f"{a} against {b}" + ("" if batch is None else f", both of batch {batch or 'without a name'}")
    comment = (
        f"Farthest apart for their errors: {words}, a factor of {number(gap)}{also}; up to {number(allowed)} is usual with the errors "
        "stated of the tests and their theories."
    )
    if not passed:
        comment += (
            " That is more than tests of one paste differ: look for slip, drainage, a sliding foot, a wrong unit or "
            "another batch before averaging them."
        )
    return [Check("yield stresses agree", gap, allowed, passed, comment)]


def _of_batch(result, batch):
    """Return what is `Said` of the yield stress of one batch, or of all tests where there is but one."""
    tests = tuple(test for test in result.tests if batch is None or test.batch == batch)
    alone = read_alone(result)
    stresses = [test for test in tests if (test.own_yield_stress or 0.0) > 0]
    found = [Said.by(test, result.law, alone.get(result.tests.index(test), ())) for test in stresses]
    return found + (_from_rates(result, tests) if found else [])


def _from_rates(result, tests):
    """Return the yield stress that those of the tests with rates give alone, with its 95 % limits."""
    if "yield_stress" not in result.problem.free:
        return []
    rated = tuple(test for test in tests if len(np.ravel(test.shear_rates(result.law))))
    if not rated or len(rated) == len(tests):
        return []
    low, high = result.part(rated).limits("yield_stress")
    return [Said("the readings with rates alone", "dynamic", low, high, {})]  # the limits hold their errors
