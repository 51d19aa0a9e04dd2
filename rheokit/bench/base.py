"""What a bench test is: readings with their geometry, and the reading that a law predicts.

A new test is one file with one frozen dataclass: its geometry as `dimension` fields, its columns as `column` fields, the
one it reads named in `reads`, and `expected(law, nuisance)`: the reading in the units that were read. Everything else
(the reader, the fit, the checks, the contract tests) follows from that.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import ClassVar

import numpy as np

from ..inputs import trusted
from ..laws import Shifted
from .declared import Nuisance, Passage, Shared, choice, column, dimension, nuisance, quantity_of
from .gathered import counts_of
from .record import Record

__all__ = ["BenchTest", "Nuisance", "Passage", "Shared", "choice", "column", "dimension", "nuisance", "quantity_of"]

NOTHING = MappingProxyType({})
CRITERION_ERROR = 0.08  # sd of ln: von Mises against other criteria, one factor for every test that is not simple shear
STATIC_RATIO = (1.3, 0.3)  # median and sd of ln of static over dynamic yield stress; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class BenchTest(Record, ABC):
    """Readings of one bench test on one apparatus, and what a law predicts of them."""

    state: ClassVar[str] = "dynamic"
    simple_shear: ClassVar[bool] = True
    measures: ClassVar[tuple] = (0.0, np.inf)  # yield stresses it is of use for [Pa]; common practice, no source
    theory: ClassVar[bool] = True  # the reading needs a theory that is never exact, so a model error of 0 is doubtful
    default_model_error: ClassVar[float] = 0.0
    source: ClassVar[str] = ""
    formula: ClassVar[str] = ""
    artefacts: ClassVar[tuple] = ()
    cheap: ClassVar[str] = ""  # how it is made where it settles a yield stress cheaply, in words
    gives: ClassVar[tuple] = ()  # properties of the paste that it measures, by name; such a test informs no flow law
    assembly: ClassVar[object] = None  # an `Assembly` where a field is an object that a folder describes by dimensions
    ways: ClassVar[dict] = NOTHING  # other ways to give a column or dimension in a folder: a tuple of `Way` by its name
    nozzle: ClassVar[object] = None  # what paste is pushed through
    extruder: ClassVar[object] = None  # what pushes it
    pressure_rating: ClassVar[float | None] = None  # printed on the barrel [Pa]; None where it is not known
    passage: ClassVar[object] = None  # the `Passage` that grains must pass or fill; None where it is not known
    unstated: ClassVar[dict] = NOTHING  # (value, standard uncertainty) of a dimension that a folder does not state

    # --- what a law predicts ------------------------------------------------------------------------------------

    @classmethod
    def usual_model_error(cls, tests):
        """Return the model error [-] of this kind of test where a folder states none; `tests` are all of the kind."""
        return cls.default_model_error

    @abstractmethod
    def expected(self, law, nuisance):
        """Return the readings that a law gives in this test's own theory, before model, criterion and static factors."""

    @trusted()
    def predict(self, law, nuisance=NOTHING):
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

    def _seen(self, law, nuisance):
        """Return the law as this test sees it: with the factors of its theory."""
        factor = 1.0
        for key, prior in self._factors.items():
            value = nuisance.get(key, prior.middle)
            factor = factor * (np.where(self.static_rows, value, 1.0) if key.name == "static_ratio" else value)
        return law if np.ndim(factor) == 0 and factor == 1.0 else Shifted(law, factor)

    @property
    def alike(self):
        """What several records must have in common for `expected_together`; None where each is predicted alone."""
        return None

    @classmethod
    def expected_together(cls, tests, law, nuisance):
        """Return `expected` of several records that are `alike`, in one search for all of them."""
        return [test.expected(law, nuisance) for test in tests]

    @staticmethod
    @trusted()
    def predict_together(tests, law, nuisance=NOTHING):
        """Return `predict` of several records that are `alike`, an array each."""
        found = tests[0].expected_together(tests, tests[0]._seen(law, nuisance), nuisance)
        return [np.broadcast_arrays(one, test.readings)[0] for one, test in zip(found, tests, strict=True)]

    def nuisances(self):
        """Return what the record shares with others, a `Nuisance` by name: equal names are one parameter."""
        return self._factors | self.own_nuisances()

    def own_nuisances(self):
        """Return the nuisance parameters of this test's apparatus; none by default."""
        return {}

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
    def static_rows(self):
        """Where a reading sees the static yield stress, shape (N,)."""
        return np.full(self.readings.shape, self.state == "static")

    def shared(self, name):
        """Return the key of a nuisance of this apparatus: ``name[apparatus]``."""
        return Shared(name, self.apparatus_name)

    @property
    def apparatus_name(self):
        """Its apparatus, or its kind where none is named."""
        return self.apparatus or self.kind

    # --- how far a reading is from a prediction -----------------------------------------------------------------

    @property
    def window(self):
        """Least and greatest reading at which the test means anything, in the unit read."""
        return 0.0, np.inf

    @cached_property
    def bounds(self):
        """Per reading the bound it stands for: (side, limit), side 0 a number, -1 at most, +1 at least the limit."""
        low, high = self.window
        limit = np.array(self.readings)
        side = np.array(self.censored)
        below, above = (side == 0) & (limit < low), (side == 0) & (limit > high)
        side[below], side[above] = -1, 1
        limit = np.where(below, self.smallest(low), np.where(above, high, limit))
        return side, limit

    def smallest(self, low):
        """Return the bound that a reading below the window's low end stands for."""
        return np.full(self.readings.shape, low)

    def residuals(self, law, nuisance=NOTHING, error_size=1.0, predicted=None):
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

    def rough_curve(self):
        """Return (shear rates [1/s], stresses [Pa]) read off without any fit, to start one from; empty by default."""
        return np.empty(0), np.empty(0)

    def shear_rates(self, law):
        """Return the shear rates [1/s] that the readings cover; empty for a test of the yield stress alone."""
        return np.empty(0)

    def curve_points(self, law, nuisance):
        """Return (shear rates [1/s], stresses [Pa]) of the readings on a flow curve, corrected with the fitted law.

        By default the rough curve; a test of the yield stress gives none (see `yield_stresses`).
        """
        return self.rough_curve()

    def yield_stresses(self):
        """Return the yield stress [Pa] that each reading gives alone, of the test's own state; empty where none."""
        return np.empty(0)

    def properties(self):
        """Return what the readings give of the paste, a `Property` by each name in `gives`; none by default."""
        return {}

    def questions(self, law, nuisance):
        """Return `Check` rows that only this test can answer, for the fitted law; none by default."""
        return []
