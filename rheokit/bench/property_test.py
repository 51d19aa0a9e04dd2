"""What a bench test of a property is: it measures a number that a print needs and says nothing about the flow law."""

from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import ClassVar

import numpy as np

from ..errors import DataError
from ..hints import Numbers
from ..laws import FlowLaw
from ..nomenclature import number
from ..sampling import OF_STATED, by_scatter, widened
from .base import BenchTest, Nuisance, Shared, Values
from .measured import Property

SCATTERS = "times as much as their stated uncertainty"
HOW_WIDER = (
    f"Where N readings of a property scatter s times as much as their stated uncertainty, that counts as {OF_STATED} readings more which scatter as it says: limits "
    f"lie √(({OF_STATED} + (N - 1) s²)/({OF_STATED} + N - 1)) times as far, and t/1.96 times that, t the 97.5 % quantile of Student's t of {OF_STATED} + N - 1 "
    "degrees of freedom."
)
"""How the factor on the limits follows from the scatter, both of which an origin tells."""


@dataclass(frozen=True, kw_only=True, eq=False)
class PropertyTest(BenchTest):
    """Readings that give properties of a paste, named in `gives`; no fit of a flow law takes them.

    `model_error` is the part of the standard deviation of the ln of the property that more readings do not reduce.
    """

    of_paste: ClassVar[tuple[str, ...]] = ()  # a property may be read on dry powder, or in an oven
    usual_scatter: ClassVar[float] = 0.0  # sd of ln of what one reading gives, if nothing else tells; common practice
    usual_readings: ClassVar[tuple] = ()  # the least and the most of pastes on the `usual` apparatus; common practice

    def __post_init__(self):
        """Check what can only be checked once columns and dimensions are in order."""
        super().__post_init__()
        faults = []
        for f in fields(self):
            options = f.metadata.get("options")
            if options and getattr(self, f.name) not in options:
                given = str(getattr(self, f.name))[:40]
                faults.append(f"{f.name} = {given!r} must be {' or '.join(f'{option!r}' for option in options)}")
        if self.censored.any():
            rows = self.rows_where(self.censored != 0)
            faults.append(f"{self.reads} is a bound in {rows}, from which no property follows; leave such rows out")
        faults = faults or self.faults()
        if faults:
            told = "; ".join(faults)
            raise DataError(f"{self.name}: {told}" + ("" if told.endswith("?") else "."))

    def faults(self) -> list[str]:
        """Return what cannot be about the readings, a list of phrases that say what to do."""
        return []

    @property
    def in_logarithms(self) -> bool:
        """False: no reading is compared with a prediction, so nothing may be read as zero."""
        return False

    @abstractmethod
    def properties(self) -> dict[str, Property]:
        """Return what the readings give, a `Property` by its name."""

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:
        """Refuse: no law predicts these readings."""
        raise DataError(f"{self.name}: no flow law predicts it; it gives {' and '.join(self.gives)}, see properties().")

    def nuisances(self) -> dict[Shared, Nuisance]:
        """Return nothing: it shares nothing with the tests of a law."""
        return {}

    def settled(self, value_of: Callable[[np.ndarray], np.ndarray], of: str = "") -> Property:
        """Return the mean of what the readings give, with the standard deviation of its ln [-].

        `value_of` takes readings and returns one value each; `of` says in its origin what they are readings of.

        Their scatter counts, times Student's t over the normal quantile, so that few readings cover 95 % too; one reading, or
        readings that do not differ, have the usual scatter. What they were rounded to is added as it is of one reading: readings
        that round alike are wrong alike. With stated uncertainties the mean is weighted by them and as well known as they
        and the scatter say together, see `by_scatter`; where it is larger, the origin says so. The model error comes on top.
        """
        values, count, said = value_of(self.readings), len(self.readings), ""
        errors = value_of(self.readings + self.reading_errors) - values if self.error_is_known else np.zeros(count)
        if self.error_is_known and not self.rounding_alone:
            weights = 1 / errors**2
            value, error = np.sum(weights * values) / np.sum(weights), 1 / np.sqrt(np.sum(weights))
            error, said = self._at_least_as_scattered(error, np.sum(weights * (values - value) ** 2), count)
        else:
            value, scatter = np.mean(values), np.std(values, ddof=1) if count > 1 else 0.0
            if scatter > 1e-9 * value:
                error = scatter / np.sqrt(count) * widened(count - 1)
            else:
                error = self.usual_scatter * value / np.sqrt(count)
            error = np.hypot(error, np.sqrt(np.mean(errors**2)))
        origin = f"{self.name}, {count} reading{'s' * (count > 1)}{of}{said}"
        return Property(float(value), float(np.hypot(error / value, self.model_error)), origin)

    @staticmethod
    def _at_least_as_scattered(error, squares, count):
        """Return the error of a weighted mean whose readings lie `squares` about it, in stated uncertainties; and what to say of it."""
        size, freedom = by_scatter(squares, count - 1)
        wider, said = size * widened(freedom), ""
        if size > 1:
            scatter = np.sqrt(squares / (count - 1))
            said = f"; they scatter {number(scatter)} {SCATTERS}, so that limits lie {number(wider)} times as far"
        return error * wider, said
