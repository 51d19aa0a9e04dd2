"""The readings of a fit as one vector of residuals over one vector of coordinates.

Coordinates are the law's own (a yield stress as it is, so that its bound at zero is a wall; the logarithm of the viscous
stress at the middle rate; a flow index) and then the nuisance parameters. Everything is computed for a stack of
coordinate vectors at once, so a Jacobian is one call.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from ..bench.base import BenchTest, Shared
from ..bench.gathered import count_of
from ..errors import DataError
from ..inputs import trusted
from ..laws import FlowLaw
from ..nomenclature import number, with_unit
from .between_batches import USUAL_SPREAD
from .condition_starts import at_reference, starting_effects
from .paste_factors import LACK_OF_FIT, NEXT_BATCH, factors_of, record_keys, shifted
from .run_factors import RunRows, make_independent, run_rows

LOG_LOW, LOG_HIGH = -60.0, 60.0  # box of a logarithmic coordinate: 26 decades either way
FARTHEST = 15.0  # standard deviations of its prior that a logarithmic nuisance parameter may be pushed
STEP = 1e-5  # of a coordinate's scale, for central differences
ALIKE = 1.25  # most that model errors of one kind of test differ by: each holds what is not known of its own apparatus


def same_prior(one, other):
    """Say whether two priors are the same, but for the last digits, which hang on the readings they were computed with."""
    numbers = [(prior.middle, prior.spread, prior.low, prior.high) for prior in (one, other)]
    plain = [prior._replace(middle=0, spread=0, low=0, high=0) for prior in (one, other)]
    return plain[0] == plain[1] and np.allclose(*numbers, rtol=1e-9, atol=0)


@dataclass(frozen=True, eq=False)
class Problem:
    """One law to many tests, some of its parameters `fixed` to values.

    `sizes` has one number a test: the size of its error where that is unknown, relative or in the unit read.
    `batch_spread` is the standard deviation of ln stress from batch to batch, used where tests come from two or more.
    With `next_batch` the factor of a batch that nobody read yet is a nuisance parameter too: its prior alone holds it. So is
    with a `lack_of_fit`, a standard deviation of ln stress, the factor for what the law leaves along the rate.
    `run_spread` is the standard deviation of ln stress from run to run of one record, `run_slopes` how the residuals
    move with ln stress there, each in an error size of 1. With a `record_spread` each record has a factor too (`paste_factors`).
    """

    law_class: type[FlowLaw]
    tests: tuple[BenchTest, ...]
    fixed: dict[str, float]
    sizes: tuple[float, ...]
    batch_spread: float = USUAL_SPREAD
    next_batch: bool = False
    lack_of_fit: float = 0.0
    run_spread: float = 0.0
    run_slopes: tuple[float, ...] = ()
    record_spread: float = 0.0

    # --- names and coordinates ----------------------------------------------------------------------------------

    @cached_property
    def free(self) -> list[str]:
        """Names of the law's parameters that are fitted."""
        return [name for name in self.law_class.parameters() if name not in self.fixed]

    @cached_property
    def batches(self) -> list[str]:
        """Names of the batches, where there are two or more of them."""
        names = sorted({test.batch for test in self.tests})
        return names if len(names) > 1 else []

    @cached_property
    def runs(self) -> list[RunRows]:
        """The runs of every record that has two or more."""
        return run_rows(self.tests)

    @cached_property
    def record_keys(self) -> dict[BenchTest, Shared]:
        """Key of the factor of each record that may have one."""
        return record_keys(self.tests)

    @cached_property
    def nuisances(self) -> dict[str, Any]:
        """Every nuisance parameter by its key; equal keys must have equal priors."""
        found: dict[str, Any] = {}
        for test in self.tests:
            for key, prior in test.nuisances().items():
                key = key if isinstance(key, Shared) else Shared(key)
                known = found.setdefault(key, prior)
                if key.name == "model_factor" and 1 / ALIKE <= known.spread / prior.spread <= ALIKE:
                    found[key] = max(known, prior, key=lambda one: one.spread)
                elif not same_prior(known, prior):
                    raise DataError(
                        f"{test.name}: {key} has two priors, {number(found[key].middle, 6)} ± {number(found[key].spread)} and "
                        f"{number(prior.middle, 6)} ± {with_unit(number(prior.spread), prior.unit)}. Records of one apparatus share it: give them "
                        "the same description, or name their apparatus apart with apparatus=."
                    )
        return found | factors_of(self)

    @cached_property
    def names(self) -> list[str]:
        """Names of all coordinates: the law's free parameters, then the nuisance parameters."""
        return [*self.free, *self.nuisances]

    @cached_property
    def curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Shear rates [1/s] and stresses [Pa] read off all tests without any fit, at the law's reference."""
        rates, stresses = zip(*(self.at_reference(test, *test.rough_curve()) for test in self.tests), strict=True)
        return np.concatenate(rates), np.concatenate(stresses)

    @cached_property
    def start_effects(self) -> dict[str, float]:
        """How conditions act, to start from, by name."""
        return starting_effects(self.law_class, self.tests, tuple(sorted(self.fixed.items())))

    def at_reference(self, test: BenchTest, rates: np.ndarray, stresses: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return rates [1/s] and stresses [Pa] read off a test as they are at the law's reference, by the effects to start from."""
        if not self.law_class.conditions:
            return rates, stresses
        return at_reference(self.law_class, test, rates, stresses, self.start_effects)

    @cached_property
    def middle_rate(self) -> float:
        """Geometric middle of the rates read, 1 1/s where there are none [1/s]."""
        rates = self.curve[0][self.curve[0] > 0]
        return float(np.exp(np.mean(np.log(rates)))) if len(rates) else 1.0

    @cached_property
    def typical_stress(self) -> float:
        """Median of all stresses read or implied [Pa]: the scale of a yield stress."""
        stresses = np.concatenate([self.curve[1], *(test.yield_stresses() for test in self.tests)])
        stresses = stresses[np.isfinite(stresses) & (stresses > 0)]
        return float(np.median(stresses)) if len(stresses) else 100.0

    @cached_property
    def box(self) -> tuple[np.ndarray, np.ndarray]:
        """Lower and upper bound of each coordinate."""
        about = [self.law_class.parameters()[name] for name in self.free] + list(self.nuisances.values())
        low = [LOG_LOW if a.logarithmic else a.low for a in about]
        high = [LOG_HIGH if a.logarithmic else a.high for a in about]
        for place, prior in enumerate(self.nuisances.values(), len(self.free)):
            if prior.logarithmic and np.isfinite(prior.spread):  # a search must not try a bore of a metre
                low[place] = np.log(prior.middle) - FARTHEST * prior.spread
                high[place] = np.log(prior.middle) + FARTHEST * prior.spread
        return np.array(low, float), np.array(high, float)

    def moved(self, theta: np.ndarray, step: np.ndarray) -> np.ndarray:
        """Return coordinates after a step, inside the box.

        A small step of a stress multiplies it: a factor on every stress, which a theory's error is, then moves law and
        factor along a straight valley. From a sharp one that bends a search hardly gets on.
        """
        out = theta + step
        for place, name in enumerate(self.free):
            if name in self.law_class.stresses and abs(step[place]) < theta[place] / 2:
                out[place] = theta[place] * np.exp(step[place] / theta[place])
        return np.clip(out, *self.box)

    def scales(self, theta: np.ndarray) -> np.ndarray:
        """Return the natural size of each coordinate near `theta`."""
        out = []
        for name, value in zip(self.names, theta, strict=True):
            about = self.about(name)
            if about.logarithmic:
                out.append(min(about.spread, 1.0))
            elif name in self.law_class.stresses:
                out.append(self.typical_stress)
            else:
                size = max(abs(value), getattr(about, "size", 0.0)) or abs(about.middle) or 1.0
                out.append(about.spread if np.isfinite(about.spread) else size)
        return np.array(out)

    def law_values(self, theta: np.ndarray) -> dict[str, Any]:
        """Return the law's parameter values for coordinates, shape (..., p) to (...) each."""
        columns = dict(zip(self.free, np.moveaxis(np.asarray(theta, float)[..., : len(self.free)], -1, 0), strict=True))
        coordinates = [columns.get(name, self.fixed.get(name)) for name in self.law_class.parameters()]
        values = self.law_class.from_coordinates(coordinates, self.middle_rate) | self.fixed
        about = self.law_class.parameters()
        return {name: np.clip(value, about[name].low, about[name].high) for name, value in values.items()}

    def nuisance_values(self, theta: np.ndarray) -> dict[str, Any]:
        """Return the nuisance parameters' values for coordinates, shape (..., p) to (...) each."""
        columns = np.moveaxis(np.asarray(theta, float)[..., len(self.free) :], -1, 0)
        return {
            key: np.exp(column) if prior.logarithmic else column
            for (key, prior), column in zip(self.nuisances.items(), columns, strict=True)
        }

    def values(self, theta: np.ndarray) -> dict[str, Any]:
        """Return the values of all parameters by name for coordinates, shape (..., p) to (...) each."""
        return self.asked_values(theta) | self.nuisance_values(theta)

    def about(self, name: str) -> Any:
        """Return what is declared of a parameter of the law, or of what readings share."""
        return self.law_class.parameters().get(name) or self.nuisances[name]

    def asked_values(self, theta: np.ndarray) -> dict[str, Any]:
        """Return the parameter values of the law that is asked about: of the median batch, or of the next one; with its error.

        A factor on every stress is one on every parameter with a stress in its unit: nothing else in a law has one.
        """
        values = self.law_values(theta)
        factors = [key for key in (LACK_OF_FIT, NEXT_BATCH) if key in self.nuisances]
        if not factors:
            return values
        nuisance, about = self.nuisance_values(theta), self.law_class.parameters()
        factor = np.prod([nuisance[key] for key in factors], axis=0)
        return {name: value * factor if about[name].unit.startswith("Pa") else value for name, value in values.items()}

    @trusted()
    def law(self, theta: np.ndarray) -> FlowLaw:
        """Return the law at coordinates; a stack of shape (k, p) gives a law with fields of shape (k,)."""
        return self.law_class(**{name: value[()] for name, value in self.law_values(theta).items()})

    @trusted()
    def laws(self, theta: np.ndarray) -> FlowLaw:
        """Return one law whose fields are those of a stack, shape (k, 1, 1), to broadcast against a map."""
        values = self.asked_values(theta)
        return self.law_class(**{name: np.broadcast_to(v, len(theta))[:, None, None] for name, v in values.items()})

    def coordinates(self, law: FlowLaw, nuisance: dict[str, float] | None = None) -> np.ndarray:
        """Return the coordinates of a law, the nuisance parameters at given values or in the middle of their priors."""
        values = self.law_class.to_coordinates({**law.values, **self.fixed}, self.middle_rate)
        free = [v for name, v in zip(self.law_class.parameters(), values, strict=True) if name in self.free]
        middles = [(nuisance or {}).get(key, prior.middle) for key, prior in self.nuisances.items()]
        logs = [prior.logarithmic for prior in self.nuisances.values()]
        return np.array(free + [np.log(v) if log else v for v, log in zip(middles, logs, strict=True)], float)

    # --- residuals ----------------------------------------------------------------------------------------------

    @trusted()
    def residuals(self, stack: np.ndarray) -> np.ndarray:
        """Return residuals for a stack of coordinates, shape (k, p) to (k, N): readings first, then priors."""
        stack = np.asarray(stack, float)
        law = self.law_class(**{name: np.asarray(value)[..., None] for name, value in self.law_values(stack).items()})
        nuisance = {key: value[:, None] for key, value in self.nuisance_values(stack).items()}
        rows = [None] * len(self.tests)
        for places in self._together:
            tests = [self.tests[place] for place in places]
            seen = self.of_batch(law, tests[0], nuisance)
            for place, test, predicted in zip(
                places, tests, tests[0].predict_together(tests, seen, nuisance), strict=True
            ):
                z = test.residuals(seen, nuisance, self.sizes[place], predicted)
                rows[place] = np.broadcast_to(z, (len(stack), z.shape[-1]))
        if self.run_slopes:  # none before the first estimate of their spread
            make_independent(self, rows)
        for place, prior in enumerate(self.nuisances.values(), len(self.free)):
            if np.isfinite(prior.spread):
                middle = np.log(prior.middle) if prior.logarithmic else prior.middle
                rows.append((stack[:, place, None] - middle) / prior.spread)
        return np.concatenate(rows, axis=1)

    def of_batch(self, law: FlowLaw, test: BenchTest, nuisance: dict[str, Any]) -> FlowLaw:
        """Return a law as the batch of a test has it, and the record where these differ."""
        return shifted(self, law, test, nuisance) if self.batches or self.record_spread > 0 else law

    @cached_property
    def _together(self):
        """Places of the tests that one search predicts, those of each search in a list."""
        found = {}
        for place, test in enumerate(self.tests):
            key = (type(test), test.alike, test.batch, *test.conditions, *test._factors.items())
            key = (place,) if test.alike is None or self.record_spread > 0 else key
            found.setdefault(key, []).append(place)
        return list(found.values())

    @cached_property
    def counts(self) -> list[int]:
        """Number of readings of each test."""
        return [len(test.readings) for test in self.tests]

    @cached_property
    def total(self) -> int:
        """Number of readings behind the rows: more than these where readings were gathered."""
        return sum(map(count_of, self.tests))

    @cached_property
    def free_without_prior(self) -> int:
        """Number of fitted parameters that no prior holds."""
        return len(self.free) + sum(not np.isfinite(prior.spread) for prior in self.nuisances.values())

    def jacobian(self, function: Callable, theta: np.ndarray, scales: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return a function of a stack, shape (k, p) to (k, N), and its derivatives (N, p) at one point, in one call."""
        low, high = self.box
        up, down = np.minimum(theta + STEP * scales, high), np.maximum(theta - STEP * scales, low)
        count = len(theta)
        stack = np.tile(theta, (2 * count + 1, 1))
        stack[1 + np.arange(count), np.arange(count)] = up
        stack[1 + count + np.arange(count), np.arange(count)] = down
        values = function(stack)
        return values[0], (values[1 : count + 1] - values[count + 1 :]).T / (up - down)
