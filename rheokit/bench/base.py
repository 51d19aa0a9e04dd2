"""What a bench test is: readings with their geometry, and the reading that a law predicts.

A new test is one file with one frozen dataclass: its geometry as `dimension` fields, its columns as `column` fields, the
one it reads named in `reads`, and `expected(law, nuisance)`: the reading in the units that were read. Everything else
(the reader, the fit, the checks, the contract tests) follows from that.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, ClassVar, Self, TypeAlias

import numpy as np

from ..checking import Check, Example
from ..flow.channel import in_a_row
from ..flow.nozzles import Nozzle
from ..hints import Numbers
from ..inputs import trusted
from ..laws import FlowLaw, Shifted
from ..laws.condition_words import CONDITIONS
from ..machine.extruder import Extruder
from .declared import Nuisance, Passage, Shared, choice, column, dimension, nuisance, quantity_of
from .described import Assembly, Way
from .gathered import counts_of
from .measured import Property
from .record import Record
from .tools import Tool
from .usual_corrections import Usual

__all__ = ["BenchTest", "Nuisance", "Passage", "Shared", "choice", "column", "dimension", "nuisance", "quantity_of"]

Values: TypeAlias = Mapping[str, Numbers]
"""Values of nuisance parameters, by key."""

NOTHING: Mapping = MappingProxyType({})
CRITERION_ERROR = 0.08  # sd of ln: von Mises against other criteria, one factor for every test that is not simple shear
STATIC_RATIO = (1.3, 0.3)  # median and sd of ln of static over dynamic yield stress; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class BenchTest(Record, ABC):
    """Readings of one bench test on one apparatus, and what a law predicts of them."""

    state: ClassVar[str] = "dynamic"
    simple_shear: ClassVar[bool] = True
    measures: ClassVar[tuple[float, float]] = (0.0, np.inf)  # yield stresses it is of use for [Pa]; common practice
    theory: ClassVar[bool] = True  # the reading needs a theory that is never exact, so a model error of 0 is doubtful
    default_model_error: ClassVar[float] = 0.0
    usual_minutes: ClassVar[float] = (
        5.0  # of work a reading, a fresh filling and cleaning with it; common practice, no source
    )
    usual_scatter: ClassVar[float] = 0.05  # of readings by hand, as a share of them [-]; common practice, no source
    usual_resolution: ClassVar[float] = (
        0.0  # standard uncertainty below which nothing is read, unit read; common practice, no source
    )
    source: ClassVar[str] = ""
    formula: ClassVar[str] = ""
    artefacts: ClassVar[tuple[str, ...]] = ()
    cheap: ClassVar[str] = ""  # how it is made where it settles a yield stress cheaply, in words
    tools: ClassVar[tuple[Tool, ...]] = ()  # what it is made with; of a tuple among them one will do
    protocol: ClassVar[str] = ""  # how it is made, in two to four sentences; {height} stands for that of `usual`
    usual: ClassVar[Mapping[str, Any]] = (
        NOTHING  # dimensions and settings of the protocol, SI, by name; common practice
    )
    caution: ClassVar[str] = ""  # what can hurt
    serves: ClassVar[tuple[str, ...]] = (
        "paste",
    )  # of what it is made: "paste", "liquid" or "gel", a liquid that sets on cooling
    example: ClassVar[Example | tuple[Example, ...]] = ()  # a number from outside the code, one for each branch
    gives: ClassVar[tuple[str, ...]] = ()  # names of the properties that it measures; it then informs no flow law
    of_paste: ClassVar[tuple[str, ...]] = CONDITIONS  # what its specimen states of these holds for what it reads
    of_apparatus: ClassVar[bool] = False  # what it gives is of its apparatus, and not of the paste
    assembly: ClassVar[Assembly | None] = None  # where a field is an object that a folder describes by dimensions
    ways: ClassVar[Mapping[str, tuple[Way, ...]]] = NOTHING  # others, to give a column or dimension in a folder
    nozzle: ClassVar[Nozzle | None] = None  # what paste is pushed through
    extruder: ClassVar[Extruder | None] = None  # what pushes it
    pressure_rating: ClassVar[float | None] = None  # printed on the barrel [Pa]; None where it is not known
    unstated: ClassVar[Mapping[str, tuple[float, float]]] = NOTHING  # value and its uncertainty, by dimension

    # --- what a law predicts ------------------------------------------------------------------------------------

    @classmethod
    def usual_model_error(cls, tests: Sequence[Self]) -> float:
        """Return the model error [-] of this kind of test where a folder states none; `tests` are all of the kind."""
        return cls.default_model_error

    @abstractmethod
    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Return the readings that a law gives in this test's own theory, before model, criterion and static factors."""

    @trusted()
    def predict(self, law: FlowLaw, nuisance: Values = NOTHING) -> np.ndarray:
        """Return the readings a law predicts, in the unit that was read.

        Parameters
        ----------
        law : FlowLaw
            Its parameters may have shape (k, 1): then the result has shape (k, N).
        nuisance : mapping of str to array-like
            Values of `nuisances`, each in the unit of its own; one that is missing takes the middle of its prior.

        Returns
        -------
        readings : ndarray, shape (N,) or (k, N)
        """
        return np.broadcast_arrays(self.expected(self._seen(law, nuisance), nuisance), self.readings)[0]

    def at_its_condition(self, law: FlowLaw) -> FlowLaw:
        """Return a law at the temperature, water content and age of the readings, as far as it depends on them and they are known."""
        return law.at(**self.conditions) if law.depends_on else law

    def at_reference(self, law: FlowLaw, shear_rate: Numbers, shear_stress: Numbers) -> tuple[Numbers, Numbers]:
        """Return shear rates [1/s] and stresses [Pa] of its readings as they would be at the law's reference, both (N,)."""
        seen = self.at_its_condition(law)
        if seen is law or not isinstance(seen, Shifted) or not np.size(shear_stress):
            return shear_rate, shear_stress
        return np.multiply(shear_rate, seen.rate_factor), np.divide(shear_stress, seen.stress_factor)

    def _seen(self, law, nuisance, others=()):
        """Return the law as this test sees it: at its condition, those of `others` behind, with the factors of its theory."""
        law = law.at(**_conditions_of((self, *others), law.depends_on)) if law.depends_on else law
        factor = 1.0
        for key, prior in self._factors.items():
            value = nuisance.get(key, prior.middle)
            factor = factor * (np.where(self.static_rows, value, 1.0) if key.name == "static_ratio" else value)
        return law if np.ndim(factor) == 0 and factor == 1.0 else Shifted(law, factor)

    @property
    def alike(self) -> tuple | None:
        """What several records must have in common for `expected_together`; None where each is predicted alone."""
        return None

    @classmethod
    def expected_together(cls, tests: Sequence[Self], law: FlowLaw, nuisance: Values) -> Sequence[Numbers]:
        """Return `expected` of several records that are `alike`, in one search for all of them."""
        return [test.expected(law, nuisance) for test in tests]

    @staticmethod
    @trusted()
    def predict_together(tests: "Sequence[BenchTest]", law: FlowLaw, nuisance: Values = NOTHING) -> list[np.ndarray]:
        """Return `predict` of several records that are `alike`, an array each."""
        found = tests[0].expected_together(tests, tests[0]._seen(law, nuisance, tests[1:]), nuisance)
        return [np.broadcast_arrays(one, test.readings)[0] for one, test in zip(found, tests, strict=True)]

    def nuisances(self) -> dict[Shared, Nuisance]:
        """Return what the record shares with others, a `Nuisance` by name: equal names are one parameter."""
        return self._factors | self.own_nuisances()

    def own_nuisances(self) -> dict[Shared, Nuisance]:
        """Return the nuisance parameters of this test's apparatus; none by default."""
        return {}

    def own_nuisance(self, name: str, middle: Numbers, **more: float) -> dict[Shared, Nuisance]:
        """Return the nuisance parameter of a dimension, if its standard uncertainty ``name_uncertainty`` is not 0."""
        spread = getattr(self, f"{name}_uncertainty")
        return {self.shared(name): nuisance(name, middle, spread, **more)} if spread else {}

    @cached_property
    def _factors(self):
        found = {}
        if self.model_error > 0:
            found[Shared("model_factor", self.kind)] = nuisance("model_factor", 1.0, self.model_error, logarithmic=True)
            if not self.simple_shear:
                found[Shared("criterion_factor")] = nuisance("criterion_factor", 1.0, CRITERION_ERROR, logarithmic=True)
        if self.static_rows.any():
            found[Shared("static_ratio")] = nuisance("static_ratio", *STATIC_RATIO, logarithmic=True)
        return found

    @property
    def static_rows(self) -> np.ndarray:
        """Where a reading sees the static yield stress, shape (N,)."""
        return np.full(self.readings.shape, self.state == "static")

    def shared(self, name: str) -> Shared:
        """Return the key of a nuisance of this apparatus: ``name[apparatus]``."""
        return Shared(name, self.apparatus_name)

    @property
    def apparatus_name(self) -> str:
        """Its apparatus, or its kind where none is named."""
        return self.apparatus or self.kind

    @property
    def passage(self) -> Passage | None:
        """What grains must pass or fill; None where it is not known."""
        return None

    # --- how far a reading is from a prediction -----------------------------------------------------------------

    @property
    def window(self) -> tuple[float, float]:
        """Least and greatest reading at which the test means anything, in the unit read."""
        return 0.0, np.inf

    @cached_property
    def bounds(self) -> tuple[np.ndarray, np.ndarray]:
        """Per reading the bound it stands for: (side, limit), side 0 a number, -1 at most, +1 at least the limit."""
        low, high = self.window
        limit = np.array(self.readings)
        side = np.array(self.censored)
        below, above = (side == 0) & (limit < low), (side == 0) & (limit > high)
        side[below], side[above] = -1, 1
        limit = np.where(below, self.smallest(low), np.where(above, high, limit))
        return side, limit

    def smallest(self, low: float) -> np.ndarray:
        """Return the bound that a reading below the window's low end stands for."""
        return np.full(self.readings.shape, low)

    def residuals(
        self, law: FlowLaw, nuisance: Values = NOTHING, error_size: Numbers = 1.0, predicted: np.ndarray | None = None
    ) -> np.ndarray:
        """Return how far each reading lies from its prediction, in standard uncertainties, shape (..., N).

        `error_size` is the size of an unknown error, relative [-] or in the unit read; `predicted` is what `predict` returns,
        where that is known already. A bound enters as one smooth
        residual √(-2 ln Φ(z)), which is nothing well inside it. A mean of m readings counts m times.
        """
        predicted = self.predict(law, nuisance) if predicted is None else predicted
        side, limit = self.bounds
        if self.in_logarithms:
            size = error_size if self.relative_uncertainty is None else self.relative_uncertainty
            z = np.log(np.maximum(predicted, 1e-300) / np.maximum(limit, 1e-300)) / size
        else:
            amount = error_size if self.uncertainty is None else self.uncertainty
            share = 0.0 if self.relative_uncertainty is None else self.relative_uncertainty
            z = (predicted - limit) / np.hypot(amount, share * limit)
        if side.any():
            from scipy.special import log_ndtr

            z = np.where(side == 0, z, np.sqrt(np.maximum(-2 * log_ndtr(side * z), 0.0)))
        counts = counts_of(self)
        return z if counts is None else z * np.sqrt(counts)

    # --- what it tells before any fit ---------------------------------------------------------------------------

    def rough_curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Return (shear rates [1/s], stresses [Pa]) read off without any fit, to start one from; empty by default."""
        return np.empty(0), np.empty(0)

    def shear_rates(self, law: FlowLaw) -> np.ndarray:
        """Return the shear rates [1/s] that the readings cover; empty for a test of the yield stress alone."""
        return np.empty(0)

    def curve_points(self, law: FlowLaw, nuisance: Values) -> tuple[Numbers, Numbers]:
        """Return (shear rates [1/s], stresses [Pa]) of the readings on a flow curve, corrected with the fitted law.

        By default the rough curve; a test of the yield stress gives none (see `yield_stresses`).
        """
        return self.rough_curve()

    @property
    def own_yield_stress(self) -> float | None:
        """Median of the yield stresses that its readings give alone [Pa]; None where they give none."""
        found = self.yield_stresses()
        return float(np.median(found)) if len(found) else None

    def yield_stresses(self) -> np.ndarray:
        """Return the yield stress [Pa] that each reading gives alone, of the test's own state; empty where none."""
        return np.empty(0)

    def properties(self) -> dict[str, Property]:
        """Return what the readings give of the paste, a `Property` by each name in `gives`; none by default."""
        return {}

    def questions(self, law: FlowLaw, nuisance: Values, errors: Values | None = None) -> list[Check]:
        """Return `Check` rows that only this test can answer, for the fitted law and the standard uncertainties of its nuisance as fitted; none by default."""
        return []

    def corrections(self) -> tuple[Usual, ...]:
        """Return the corrections that are usual of this kind, with what became of each; by default what its theory counts is in its formula."""
        return ()


def _conditions_of(tests, names):
    """Return conditions of the readings of tests by name: one number, or those of each reading in a row."""
    found = {}
    for name in names:
        known = [test.conditions[name] for test in tests if name in test.conditions]
        if not known:
            continue
        alike = len({float(value) for value in known if not np.ndim(value)}) == 1 and not any(map(np.ndim, known))
        found[name] = known[0] if alike else in_a_row(known, [len(test.readings) for test in tests])
    return found
