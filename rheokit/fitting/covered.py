"""What the readings of a fit cover: rates and stresses, as they were read and at the reference of the law, and conditions."""

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from ..bench import BenchTest
from ..flow.channel import AS_READ
from ..hints import Numbers
from ..laws import FlowLaw
from ..laws.condition_words import CONDITIONS, in_words
from ..nomenclature import between, written


def ends_above_zero(parts: Iterable[Numbers]) -> tuple[float, float] | None:
    """Return the least and the greatest of numbers above zero; None where there are none."""
    every = np.concatenate([np.ravel(part) for part in parts])
    every = every[np.isfinite(every) & (every > 0)]
    return (float(every.min()), float(every.max())) if len(every) else None


class Covered:
    """The part of a `FitResult` that says what was read."""

    law: FlowLaw
    tests: tuple[BenchTest, ...]

    if TYPE_CHECKING:

        @property
        def nuisance(self) -> dict[str, float]:
            """Values of the nuisance parameters by name."""

    @cached_property
    def rate_range(self) -> tuple[float, float] | None:
        """Slowest and fastest shear rate that the readings cover [1/s]; None where no test has a rate."""
        return ends_above_zero([test.shear_rates(test.at_its_condition(self.law)) for test in self.tests])

    @cached_property
    def reference_rate_range(self) -> tuple[float, float] | None:
        """The same where the law takes those rates at its reference, each from the condition of its reading [1/s]."""
        return ends_above_zero([_rates_at_reference(test, self.law) for test in self.tests])

    @cached_property
    def stress_range(self) -> tuple[float, float] | None:
        """Least and greatest shear stress of the readings that have a rate [Pa], each as it was read, corrected with the law; None where there is none."""
        points = [test.curve_points(test.at_its_condition(self.law), self.nuisance) for test in self.tests]
        return ends_above_zero([stresses for _, stresses in points])

    @cached_property
    def condition_ranges(self) -> dict[str, tuple[float, float]]:
        """Least and greatest temperature [K], water content [-, dry basis] and age [s] of the readings, of what the law depends on."""
        return self._read_at(self.law.depends_on)

    def _read_at(self, names):
        """Return the least and the greatest of conditions of the readings by name: of those that any test states."""
        found = {}
        for name in names:
            known = [np.ravel(test.conditions[name]) for test in self.tests if name in test.conditions]
            if known:
                every = np.concatenate(known)
                found[name] = (float(every.min()), float(every.max()))
        return found

    def passed_over(self, name: str, asked: Numbers) -> str:
        """Return in words that a condition changes nothing, since the law does not depend on it; empty where all was read at that one."""
        read = [np.ravel(test.conditions[name]) for test in self.tests if name in test.conditions]
        every, asked = np.concatenate([*read, []]), np.asarray(asked, float)
        if len(read) == len(self.tests) and np.allclose(every, every[:1]) and np.allclose(asked, every[:1]):
            return ""
        told = in_words(name, float(np.min(asked)), float(np.max(asked)))
        at = f", read at {in_words(name, float(every.min()), float(every.max()))}" if len(every) else ""
        return f"{told} changes nothing: the law does not depend on the {name.replace('_', ' ')}{at}"

    @property
    def reference(self) -> str:
        """The condition at which the values of its law hold, in words; "" where it depends on none."""
        return ", ".join(self.references.values())

    @property
    def references(self) -> dict[str, str]:
        """The same by the name of the condition, in words."""
        return self.told_of(self.law)

    @staticmethod
    def told_of(law: FlowLaw) -> dict[str, str]:
        """Return where a law is in what it depends on, in words by the name of the condition."""
        return {name: in_words(name, float(np.min(at)), float(np.max(at))) for name, at in law.condition.items()}

    @cached_property
    def told_read(self) -> dict[str, str]:
        """Conditions at which the readings were made, in words by name: those that any test states."""
        return {name: in_words(name, *ends) for name, ends in self._read_at(CONDITIONS).items()}

    def covers(self, slowest: float, fastest: float, at_reference: bool = False) -> tuple[bool, str]:
        """Return whether the readings cover a range of rates [1/s], as read or at the reference of the law, and in words what is asked for and covered."""
        asked = between(slowest, fastest, "1/s") if slowest < fastest else written(fastest, "1/s")
        words = f"asks for {asked}; {self.covered_at_reference if at_reference else self.covered_words}"
        covered = self.reference_rate_range if at_reference else self.rate_range
        if covered is None:
            return False, words
        low, high = covered
        over, under = fastest > AS_READ * high, slowest < low / AS_READ and not self.yield_measured
        return not (over or under), words

    @property
    def covered_words(self) -> str:
        """What the readings cover, in words; with `beyond_words` the one account of it, wherever it is told."""
        if self.rate_range is None:
            return "no test has read any rate"
        return f"the readings cover {between(*self.rate_range, '1/s')}{' and the yield stress' if self.yield_measured else ''}"

    @property
    def rates_move(self) -> bool:
        """Whether rates of the readings are others at the reference of the law than as they were read."""
        return self.rate_range is not None and not np.allclose(self.rate_range, self.reference_rate_range or (0.0, 0.0))

    @property
    def covered_at_reference(self) -> str:
        """What the readings cover at the reference of the law, in words; as read where that is the same."""
        if not self.rates_move:
            return self.covered_words
        more = " and the yield stress" if self.yield_measured else ""
        there, read = (between(*ends, "1/s") for ends in (self.reference_rate_range, self.rate_range))
        return (
            f"the readings cover {there}{more} where the law takes them at {self.reference}, {read} as they were read"
        )

    @property
    def beyond_words(self) -> str:
        """What the law is beyond the rates read, in words: interpolated down to a yield stress that was read, else extrapolated."""
        if self.rate_range is None:
            return "nothing tells how it flows"
        slowest, fastest = (written(rate, "1/s") for rate in self.rate_range)
        if self.yield_measured:
            return f"slower than {slowest} the law is interpolated down to the yield stress, with no rate read between; faster than {fastest} it is extrapolated"
        return f"{f'slower than {slowest} and faster than {fastest}' if slowest != fastest else 'at any other rate'} the law is extrapolated"

    @cached_property
    def yield_measured(self) -> bool:
        """True where a test of the dynamic yield stress covers everything slower than the rates read."""
        return any(test.state == "dynamic" and len(test.yield_stresses()) for test in self.tests)


def _rates_at_reference(test, law):
    rates = test.shear_rates(test.at_its_condition(law))
    return test.at_reference(law, rates, rates)[0]
