"""How a law declares its parameters: symbol, unit, meaning, bounds, and how each is fitted."""

from __future__ import annotations

from dataclasses import field, fields
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ..nomenclature import ANY, QUANTITIES, Quantity

if TYPE_CHECKING:
    from .base import FlowLaw


class Parameter(NamedTuple):
    """What one parameter of a law is: symbol, unit, meaning, the bounds of a search, and how it is fitted.

    `size` is a usual value, of one that may be nothing: steps of a search are no smaller. [its unit] `widest` are its
    least and greatest value where `low` and `high` are the farthest that a search goes: a limit found there is none.
    """

    symbol: str
    unit: str
    meaning: str
    low: float
    high: float
    logarithmic: bool
    size: float = 0.0
    widest: tuple[float, float] | None = None

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the greatest value that it can have, in its unit: limits that say nothing."""
        return self.widest or (self.low, self.high)

    @property
    def middle(self) -> float:
        """Its natural size where its value is nothing, in its unit."""
        return self.size or 1.0

    @property
    def spread(self) -> float:
        """Infinite: nothing is known of it before any reading, as of what readings share."""
        return np.inf


def parameter(
    symbol: str,
    unit: str,
    meaning: str,
    low: float = 0.0,
    high: float = np.inf,
    logarithmic: bool = False,
    widest: tuple[float, float] | None = None,
) -> Any:
    """Declare one parameter of a law as a field of its dataclass.

    Parameters
    ----------
    symbol, unit, meaning : str
        As they appear in tables; ``"-"`` for no unit.
    low, high : float
        Mathematical bounds, ends included. That a value is implausible is a check's business, not a bound's. [-]
    logarithmic : bool
        Fit the logarithm of the stress this parameter stands for (a viscosity, a consistency): never zero or negative,
        and uncorrelated with the flow index where the readings are. Without it the parameter is fitted as it is, and a
        bound is a wall at which an estimate may rest.
    widest : (float, float), optional
        Least and greatest value, where ``low`` and ``high`` are the farthest that a search goes: a limit there is none. [its unit]
    """
    return field(metadata={"parameter": Parameter(symbol, unit, meaning, low, high, logarithmic, widest=widest)})


def _quantity(name, about):
    """Return the `Quantity` of a parameter: bounds are this class's own business, where it is likely the table's."""
    likely = QUANTITIES[name].likely if name in QUANTITIES else ANY
    return Quantity(about.symbol, about.unit, about.meaning, likely, ANY)


@cache
def parameters_of(law_class: type[FlowLaw]) -> dict[str, Parameter]:
    """Return the `Parameter` of each field of a class of laws, by its name; a fit asks for them thousands of times."""
    return {f.name: f.metadata["parameter"] for f in fields(law_class) if "parameter" in f.metadata}


@cache
def quantities_of(law_class: type[FlowLaw]) -> dict[str, Quantity]:
    """Return the `Quantity` of each parameter of a class of laws, by its name."""
    return {name: _quantity(name, about) for name, about in parameters_of(law_class).items()}
