"""What a reading that nobody has taken would leave of the interval of a quantity, by joint draws of the fit.

A truth is drawn from the fit, and with it the errors of a theory, of a batch, of a filling; the reading that it gives is simulated
with its scatter; and all draws are weighed by how well they agree with that reading. The interval of the weighed draws is
what a fit with the reading would say. Its mean width over many such readings is the expected one. Nothing here is linear, so
that a yield stress at zero, a bound, or a bent region are what they are. What readings share is shared: a repeat on the same
apparatus meets the same error of its theory, and does not average it. Where the size of an error was taken from residuals, a
reading more tells of that size too.

The draws give the share of the present width; the present width is that of the interval which the fit says.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from ..bench.base import BenchTest, Shared
from ..errors import DataError
from ..fitting import FitResult, predictions
from ..fitting.estimate import unknown_groups
from ..fitting.misfit import LEAST_FREEDOM
from ..fitting.paste_factors import batch_key
from ..hints import OfLaw
from ..inputs import trusted
from ..laws import Shifted
from ..machine.extruder import Extruder
from ..sampling import TAILS, Normals
from .simulated import repeated, simulated

COUNT = 4000  # joint draws that are weighed
OUTCOMES = 240  # readings that are simulated of each candidate
FEWEST = 30.0  # effective draws behind the interval of a usual outcome, below which it is called rough
TELLING = 10.0
"""Effective draws below which no width is told.

The range of ten draws is 3.1 standard deviations, of five 2.3, where 95 % take 3.9 (factor d2 of control charts, from memory).
"""


class Foreseen(NamedTuple):
    """What one candidate is expected to leave.

    `share` of the present width [-] and how well the simulation knows it; `shares` one an outcome; `effective` draws behind the
    usual interval; `reading` the least, middle and greatest that is expected, shape (3, N), in the unit read; `low` and `high` the mean
    ends of the interval, in the unit of the quantity.
    """

    share: float
    error: float
    shares: np.ndarray
    effective: float
    reading: np.ndarray
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Outlook:
    """A quantity of a fit, with its joint draws: what candidates are held against."""

    fit: FitResult
    quantity: OfLaw
    extruder: Extruder | None = None
    batch: str = "median"
    seed: int = 0

    @cached_property
    def asked(self) -> FitResult:
        """The fit that answers: that of the next batch has a coordinate more."""
        return predictions.of_batch(self.fit, self.batch)

    @cached_property
    def theta(self) -> np.ndarray:
        """Joint draws of the coordinates, shape (count, p)."""
        return self.asked.draw(COUNT, self.seed).theta

    @cached_property
    def values(self) -> np.ndarray:
        """The quantity of every draw, shape (count,)."""
        rig = None if self.extruder is None else self.fit.known(self.extruder)
        law = predictions.best_law(self.fit)
        value = self.quantity(law) if rig is None else self.quantity(law, rig.at(self.fit.nuisance))
        found = predictions.stacked(self.asked, self.quantity, rig, np.asarray(value, float))(self.theta)
        if not np.isfinite(found).any():
            raise DataError(f"next_reading: {predictions.NO_NUMBER}.")
        return np.where(np.isfinite(found), found, np.nanmax(np.where(np.isfinite(found), found, np.nan)))

    @cached_property
    def order(self) -> np.ndarray:
        """Places of the draws from the least value to the greatest."""
        return np.argsort(self.values, kind="stable")

    @cached_property
    def width(self) -> float:
        """Width of the middle 95 of 100 draws, in the unit of the quantity."""
        even = np.full((COUNT, 1), 1.0 / COUNT)
        low, high = self._ends(even)
        return float(high[0] - low[0])

    @cached_property
    def _law(self):
        with trusted():
            values = self.asked.problem.law_values(self.theta)
            return self.asked.problem.law_class(**{n: np.broadcast_to(v, COUNT)[:, None] for n, v in values.items()})

    @cached_property
    def nuisances(self) -> dict[Any, np.ndarray]:
        """Values of what readings share, by key, shape (count, 1)."""
        return {key: value[:, None] for key, value in self.asked.problem.nuisance_values(self.theta).items()}

    @cached_property
    def _normals(self):
        return Normals(COUNT, self.seed + 1)

    def _columns(self, name):
        return self._normals(name)[:, 0, :]

    # --- sizes of error that residuals told -----------------------------------------------------------------------------

    @cached_property
    def _groups(self):
        """What tells each unknown size of error: by what shares it, its size, its squares in that size a draw, and their number."""
        problem, found = self.asked.problem, {}
        with np.errstate(all="ignore"):
            squares = np.square(problem.residuals(self.theta)) if unknown_groups(problem, self.asked.minimum) else None
        for places, group in unknown_groups(problem, self.asked.minimum):
            if group.freedom <= LEAST_FREEDOM:
                continue
            freedom = max(group.freedom, 1.0)
            more = squares[:, group.rows].sum(axis=1) - group.squares
            test = problem.tests[places[0]]
            key = "relative" if test.error == "relative" else test.kind
            count = len(group.rows) + group.inside[1]
            found[key] = problem.sizes[places[0]], np.maximum(freedom + more, 1e-3 * freedom)[:, None], count
        return found

    def _error_of(self, test):
        """Return the size of the error of a candidate's readings and what tells it; the latter None where it is stated."""
        if test.error_is_known:
            return 1.0, None
        found = self._groups.get("relative" if test.error == "relative" else test.kind)
        if found is None:
            raise DataError(
                f"next_reading: how far readings of the {test.name} scatter is stated nowhere, and no residuals of its kind tell it; "
                "state its uncertainty."
            )
        return found[0], found

    # --- what the interval rests on -------------------------------------------------------------------------------------

    @cached_property
    def rests_on(self) -> dict[Shared, float]:
        """Share of the variance of the quantity that goes with each thing that readings share, by key, the greatest first [-].

        By regression on its coordinate and the square of it; what is told together is counted with each.
        """
        problem, values = self.asked.problem, self.values - np.mean(self.values)
        total = float(values @ values)
        found: dict[Any, float] = {}
        for place, key in enumerate(problem.nuisances, len(problem.free)):
            column = self.theta[:, place]
            spread = float(np.std(column))
            if total <= 0 or spread <= 0:
                continue
            z = (column - np.mean(column)) / spread
            basis, _ = np.linalg.qr(np.column_stack([np.ones(COUNT), z, z * z]))
            found[key] = float(np.sum((basis.T @ values) ** 2) / total)
        return dict(sorted(found.items(), key=lambda one: -one[1]))

    # --- one candidate --------------------------------------------------------------------------------------------------

    def _shared(self, test):
        """Return what the readings of a candidate share with others, and what is its own, by key, shape (count, 1)."""
        found = dict(self.nuisances)
        for key, prior in test.nuisances().items():
            if key not in found:
                if not np.isfinite(prior.spread):
                    raise DataError(
                        f"next_reading: nothing is known yet of the {key.name.replace('_', ' ')} of the {test.name}, and a reading of it "
                        "cannot be foreseen; state it, or take a candidate on an apparatus that was read."
                    )
                z = self._columns(str(key)) * prior.spread
                found[key] = (
                    prior.middle * np.exp(z) if prior.logarithmic else np.clip(prior.middle + z, prior.low, prior.high)
                )
        return found

    def _own_factor(self, test, refilled):
        """Return the factor on every stress of another batch, run or filling, shape (count, 1); 1 where it is none."""
        problem, factor = self.asked.problem, 1.0
        if problem.batches and test.batch not in problem.batches:
            factor = factor * np.exp(self._batch_factor())
        elif problem.batches:
            factor = factor * self.nuisances[batch_key(test.batch)]
        spread = np.hypot(problem.record_spread, problem.run_spread if problem.runs else 0.0)
        if refilled and spread > 0:
            factor = factor * np.exp(spread * self._columns("filling"))
        return factor

    def adds_a_batch(self, tests: tuple[BenchTest, ...]) -> bool:
        """Say whether any of some records is of a batch that was not read, where batches are told apart."""
        batches = self.asked.problem.batches
        return bool(batches) and any(test.batch not in batches for test in tests)

    def _batch_factor(self):
        """Return draws of ln of the factor of one batch more: Student's t of those that were read and of what is usual, shape (count, 1)."""
        problem = self.asked.problem
        held = [key for key, prior in problem.nuisances.items() if np.isfinite(prior.spread)]
        group = next(
            (one for one in self.asked.misfit().groups if one.of_batches and batch_key(problem.batches[0]) in held),
            None,
        )
        z = self._columns("another batch") * problem.batch_spread
        if group is None:
            return z
        with np.errstate(all="ignore"):
            squares = np.square(problem.residuals(self.theta))[:, group.rows].sum(axis=1)
        more = np.maximum(squares - group.squares, 0.0)
        generator = np.random.default_rng(self.seed + 2)
        chi = generator.chisquare(len(group.rows) + group.inside[1], COUNT)
        return z * np.sqrt((group.freedom + more) / chi)[:, None]

    def predicted(self, test: BenchTest, refilled: bool = True) -> np.ndarray:
        """Return the readings of a candidate that each draw gives, without their scatter, shape (count, N)."""
        shared, factor = self._shared(test), self._own_factor(test, refilled)
        law = self._law if np.ndim(factor) == 0 and factor == 1.0 else Shifted(self._law, factor)
        with np.errstate(all="ignore"):
            return np.broadcast_to(test.predict(law, shared), (COUNT, len(test.readings)))

    def foresee(self, tests: tuple[BenchTest, ...], refilled: bool = True) -> Foreseen:
        """Return what the readings of one candidate, one record or several, are expected to leave of the interval."""
        truths = self.order[((np.arange(OUTCOMES) + 0.5) / OUTCOMES * COUNT).astype(int)]
        outcomes, weights, unknown, ends = Normals(OUTCOMES, self.seed + 3), np.zeros((COUNT, OUTCOMES)), {}, []
        sizes = np.random.default_rng(self.seed + 4)
        for place, test in enumerate(tests):
            predicted = self.predicted(test, refilled)
            size, group = self._error_of(test)
            drawn = 1.0
            if group is not None:
                kind = id(group)
                if kind not in unknown:
                    unknown[kind] = [
                        group,
                        0,
                        np.zeros((COUNT, OUTCOMES)),
                        np.sqrt(group[1][truths, 0] / sizes.chisquare(group[2], OUTCOMES)),
                    ]
                drawn = unknown[kind][3]
            for row in range(predicted.shape[1]):
                noise = outcomes(f"{place} {row}").ravel() * drawn
                read = simulated(test, row, predicted[truths, row], noise, size)
                z = self._apart(test, row, read, predicted[:, row], size)
                ends.append(np.quantile(read, [TAILS[0], 0.5, TAILS[1]]))
                if group is None:
                    weights -= z * z / 2
                else:
                    unknown[kind][1] += 1
                    unknown[kind][2] += z * z
        for (_, squares, count), more, apart, _ in unknown.values():
            weights -= (count + more) / 2 * np.log1p(apart / squares) + more / 2 * np.log(squares)
        weights = np.exp(weights - weights.max(axis=0))
        weights /= weights.sum(axis=0)
        effective = float(np.median(1 / np.sum(weights**2, axis=0)))
        low, high = self._ends(weights)
        shares = (high - low) / self.width if self.width > 0 else np.ones(OUTCOMES)
        error = float(np.std(shares) / np.sqrt(OUTCOMES))
        reading = np.array(ends).T
        return Foreseen(
            float(np.mean(shares)), error, shares, effective, reading, float(np.mean(low)), float(np.mean(high))
        )

    def _apart(self, test, row, read, predicted, size):
        """Return how far each draw is from each reading that was simulated, in standard uncertainties, shape (count, outcomes)."""
        with trusted(), np.errstate(all="ignore"):
            record = repeated(test, row, read)
            z = record.residuals(
                self._law, self.nuisances, size, np.broadcast_to(predicted[:, None], (COUNT, len(read)))
            )
        return np.where(np.isfinite(z), z, 1e3)

    def _ends(self, weights):
        """Return the ends of the middle 95 of 100 of weighed draws, columns of weights (count, k) to (k,) each."""
        values = self.values[self.order]
        sums = np.cumsum(weights[self.order], axis=0)
        ends = []
        for tail in TAILS:
            place = np.clip((sums < tail).sum(axis=0), 1, len(values) - 1)
            column = np.arange(sums.shape[1])
            below, above = sums[place - 1, column], sums[place, column]
            share = np.clip((tail - below) / np.maximum(above - below, 1e-300), 0.0, 1.0)
            ends.append(values[place - 1] + share * (values[place] - values[place - 1]))
        return ends
