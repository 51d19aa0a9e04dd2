"""A solved problem: the law at the least sum of squares, how large that sum is, and what the readings cover."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Self

import numpy as np

from ..bench import Bench, BenchTest
from ..laws import FlowLaw
from ..sampling import LEVEL
from . import draws, region
from .between_batches import spread_freedom, told_and_missing, where_from
from .covered import Covered
from .estimate import error_groups, estimate, inside
from .lack_of_fit import lack_of_fit
from .misfit import Misfit
from .problem import Problem
from .run_factors import freedom_of, told_by_runs
from .search import Minimum


@dataclass(frozen=True, eq=False, repr=False)
class Solution(Covered):
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

    # --- size of the misfit -------------------------------------------------------------------------------------

    @property
    def squares_of_readings(self) -> float:
        """Sum of squares of the residuals of the readings alone, without what is known beforehand, in standard uncertainties [-]."""
        return float(np.sum(self.minimum.residuals[: sum(self.problem.counts)] ** 2))

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
