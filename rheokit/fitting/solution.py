"""A solved problem: the law at the least sum of squares, how large that sum is, and what the readings cover."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Self

import numpy as np

from ..bench import Bench, BenchTest
from ..flow.channel import AS_READ
from ..hints import Numbers
from ..laws import FlowLaw
from ..laws.condition_words import CONDITIONS, in_words
from ..nomenclature import between, written
from ..sampling import LEVEL
from . import draws, region
from .between_batches import spread_freedom, told_and_missing, where_from
from .estimate import error_groups, estimate, inside
from .lack_of_fit import lack_of_fit
from .misfit import Misfit
from .problem import Problem
from .run_factors import freedom_of, told_by_runs
from .search import Minimum


@dataclass(frozen=True, eq=False, repr=False)
class Solution:
    """The part of a `FitResult` that the search found."""

    law: FlowLaw
    tests: tuple[BenchTest, ...]
    benches: tuple[Bench, ...]
    use_range: tuple[float, float] | None
    problem: Problem
    minimum: Minimum
    freedom: float | None

    @classmethod
    def of(
        cls,
        law_class: type[FlowLaw],
        tests: Sequence[BenchTest],
        fixed: dict[str, float],
        start: dict[str, float] | FlowLaw | None = None,
        near: Sequence[FlowLaw] = (),
        benches: Sequence[Bench] = (),
        use_range: tuple[float, float] | None = None,
    ) -> Self:
        """Return the result for tests that are known to be sound; `near` are laws close to the answer."""
        problem, minimum, freedom = estimate(law_class, tuple(tests), fixed, start, near)
        law = problem.law(minimum.theta)
        found = cls(law, problem.tests, tuple(benches), use_range, problem, minimum, freedom)
        return found.with_lack_of_fit(lack_of_fit(found))

    def with_lack_of_fit(self, spread: float) -> Self:
        """Return the same fit with a coordinate more: the factor for what the law leaves along the rate, `spread` in ln stress [-]."""
        if spread <= 0:
            return self
        problem = replace(self.problem, lack_of_fit=spread)
        return self.in_problem(problem, problem.coordinates(self.law, self.nuisance))

    def in_problem(self, problem: Problem, theta: np.ndarray) -> Self:
        """Return the same fit in a problem with further coordinates, which no reading sees."""
        residuals, jacobian = problem.jacobian(problem.residuals, theta, problem.scales(theta))
        minimum = self.minimum._replace(theta=theta, residuals=residuals, jacobian=jacobian)
        return replace(self, problem=problem, minimum=minimum)

    def part(self, tests: Sequence[BenchTest], near: FlowLaw | None = None) -> Self:
        """Return the fit of some of its tests alone, from its own law or one `near`; several checks ask for the same part."""
        key = tuple(map(id, tests))
        if key not in self._parts:
            asked = self.problem.law_class, tests, self.problem.fixed
            self._parts[key] = self.of(*asked, near=[near or self.law], use_range=self.use_range)
        return self._parts[key]

    @cached_property
    def _parts(self):
        return {}

    def freed(self, tests: Sequence[BenchTest], near: Sequence[FlowLaw]) -> tuple[float, Self]:
        """Return how far other tests lower the misfit, and their fit, started near laws.

        Both misfits are in the error sizes of that fit.
        """
        found, scale = self.of(self.problem.law_class, tests, self.problem.fixed, near=near), 1.0
        if self.freedom is not None:
            scale = float(np.mean(np.square(self.problem.sizes) / np.square(found.problem.sizes)))
        return self.chi_square * scale - found.chi_square, found

    # --- size of the misfit -------------------------------------------------------------------------------------

    @property
    def chi_square(self) -> float:
        """Sum of squares of the residuals, readings and priors, in standard uncertainties [-]."""
        return self.minimum.chi_square

    @cached_property
    def degrees_of_freedom(self) -> int:
        """Readings less the parameters that no prior holds."""
        _, freedom = inside(self.problem, range(len(self.tests)))
        return sum(self.problem.counts) + int(freedom) - self.problem.free_without_prior

    def misfit(self, level: float = LEVEL) -> Misfit:
        """Return the `Misfit` whose rise sets the limits of an interval."""
        return Misfit(self._error_groups, level)

    @cached_property
    def _error_groups(self):
        return error_groups(self.problem, self.minimum)

    @cached_property
    def cloud(self) -> tuple[np.ndarray, np.ndarray]:
        """Coordinates spread over the region that the readings allow and beyond, and the parts of their misfit."""
        return draws.cloud(self.problem, self.minimum, self.misfit(), self.rate_range or (1.0, 1.0))

    def on_walls(self, level: float = LEVEL) -> np.ndarray:
        """Return coordinates at the ends of what the parameters of the law can be, of `region.on_walls`: the same for every question."""
        if level not in self._walls:
            self._walls[level] = region.on_walls(self.problem, self.misfit(level), self.minimum)
        return self._walls[level]

    @cached_property
    def _walls(self) -> dict[float, np.ndarray]:
        return {}

    @cached_property
    def nuisance(self) -> dict[str, float]:
        """Values of the nuisance parameters by name."""
        return {key: float(value) for key, value in self.problem.nuisance_values(self.minimum.theta).items()}

    @cached_property
    def parameter_values(self) -> dict[str, float]:
        """Values of all parameters by name, of the law and of what readings share, wherever the search ended."""
        return {name: float(value) for name, value in self.problem.values(self.minimum.theta).items()}

    @cached_property
    def with_next_batch(self) -> Self:
        """The same fit with a coordinate more: the factor of a batch that nobody has read."""
        return self.in_problem(replace(self.problem, next_batch=True), np.append(self.minimum.theta, 0.0))

    @property
    def batch_spread(self) -> tuple[float, float] | None:
        """Spread of ln stress from batch to batch [-] and how many differences of batches told it; None where the readings do not tell it.

        They do not where one batch was read, or only as many as tell the effects of conditions. What is usual tells it as well
        (`between_batches`): the next batch is Student's t of `batch_freedom`.
        """
        freedom = spread_freedom(self.problem)
        return (self.problem.batch_spread, freedom) if freedom else None

    @cached_property
    def _told_and_missing(self) -> tuple[float, float]:
        return told_and_missing(self.problem, self.minimum) if self.batch_spread else (0.0, np.inf)

    @property
    def batch_freedom(self) -> float:
        """Degrees of freedom behind the spread of batches [-]: of the batches as far as the readings fix them, and of what is usual; inf where it is assumed."""
        return sum(self._told_and_missing)

    @property
    def batches_told(self) -> bool:
        """Whether the batches tell their spread at least as well as what is usual does."""
        told, missing = self._told_and_missing
        return told >= missing

    @property
    def between_batches(self) -> str:
        """How far batches lie apart, and what tells so, in words; "" where one batch was read."""
        return where_from(self.problem, self._told_and_missing[1]) if self.problem.batches else ""

    @property
    def run_spread(self) -> tuple[float, int] | None:
        """Spread of ln stress from run to run of one record [-] and the degrees of freedom behind it; None where the readings do not tell it."""
        problem = self.problem
        freedom = freedom_of(problem.runs, told_by_runs(problem)) if problem.runs else 0
        return (problem.run_spread, freedom) if freedom else None

    def is_at_bound(self, name: str) -> bool:
        """Return whether a fitted parameter rests on its bound."""
        place = self.problem.names.index(name)
        low, high = self.problem.box
        reach = 1e-6 * self.problem.scales(self.minimum.theta)[place]
        value = self.minimum.theta[place]
        return bool(value <= low[place] + reach or value >= high[place] - reach)

    @cached_property
    def rate_range(self) -> tuple[float, float] | None:
        """Slowest and fastest shear rate that the readings cover [1/s]; None where no test has a rate."""
        rates = np.concatenate([np.ravel(test.shear_rates(test.at_its_condition(self.law))) for test in self.tests])
        rates = rates[np.isfinite(rates) & (rates > 0)]
        return (float(rates.min()), float(rates.max())) if len(rates) else None

    @cached_property
    def condition_ranges(self) -> dict[str, tuple[float, float]]:
        """Least and greatest temperature [K], water content [-, dry basis] and age [s] of the readings, of what the law depends on."""
        found = {}
        for name in self.law.depends_on:
            known = [np.ravel(test.conditions[name]) for test in self.tests if name in test.conditions]
            if known:
                found[name] = (float(np.min(np.concatenate(known))), float(np.max(np.concatenate(known))))
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
        found = {}
        for name in CONDITIONS:
            known = [np.ravel(test.conditions[name]) for test in self.tests if name in test.conditions]
            if known:
                every = np.concatenate(known)
                found[name] = in_words(name, float(every.min()), float(every.max()))
        return found

    def covers(self, slowest: float, fastest: float) -> tuple[bool, str]:
        """Return whether the readings cover a range of rates [1/s], and in words what is asked for and covered."""
        asked = between(slowest, fastest, "1/s") if slowest < fastest else written(fastest, "1/s")
        words = f"asks for {asked}; {self.covered_words}"
        if self.rate_range is None:
            return False, words
        low, high = self.rate_range
        over, under = fastest > AS_READ * high, slowest < low / AS_READ and not self.yield_measured
        return not (over or under), words

    @property
    def covered_words(self) -> str:
        """What the readings cover, in words; with `beyond_words` the one account of it, wherever it is told."""
        if self.rate_range is None:
            return "no test has read any rate"
        return f"the readings cover {between(*self.rate_range, '1/s')}{' and the yield stress' if self.yield_measured else ''}"

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
