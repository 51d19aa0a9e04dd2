"""How a paste or a liquid feels, what that is taken for, and the law of which readings are expected."""

from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from ..bench import BenchTest
from ..bench.tools import missing
from ..laws import FlowLaw
from ..laws.newtonian import Newtonian
from ..nomenclature import between
from .legible import law_of, legible

FEELS = MappingProxyType(
    {"pours": (1.0, 30.0), "spoons": (30.0, 200.0), "holds a peak": (100.0, 800.0), "can be cut": (500.0, 5000.0)}
)
"""Yield stress [Pa] of a paste by how it feels: a rule of thumb, good to a factor of two. Common practice, no source."""
LIQUIDS = MappingProxyType({"pours like honey": (1.0, 20.0), "sets on cooling": (0.5, 20.0)})
"""Viscosity [Pa·s], as it flows, of what has no yield stress, by how it feels: a rule of thumb. Common practice, no source."""
SORTS = MappingProxyType({"pours like honey": "liquid", "sets on cooling": "gel"})
"""What kinds of test call such a liquid in their `serves`; all else is a paste."""


class Asked(NamedTuple):
    """The tools at hand, the feel, and its range: of yield stresses [Pa], or of viscosities [Pa·s] of a liquid."""

    tools: tuple[str, ...]
    feel: str
    low: float
    high: float

    @property
    def sort(self) -> str:
        """A paste, a liquid or a gel."""
        return SORTS.get(self.feel, "paste")

    @property
    def liquid(self) -> bool:
        """Say whether it has no yield stress."""
        return self.feel in LIQUIDS

    def law(self, end: float) -> FlowLaw:
        """Return the law that readings are expected of at an end of the range."""
        return Newtonian(viscosity=end) if self.liquid else law_of(end)

    def taken_for(self) -> str:
        """Return in words what the feel is taken for."""
        what = "a viscosity of" if self.liquid else "a yield stress of"
        return f"{what} {between(self.low, self.high, 'Pa·s' if self.liquid else 'Pa')}"

    def serves(self, kind: type[BenchTest]) -> bool:
        """Say whether a kind is of use for what feels so."""
        return self.sort in kind.serves

    def has(self, kind: type[BenchTest]) -> bool:
        """Say whether all that a kind needs is at hand."""
        return not missing(kind.tools, self.tools)

    def ends(self, kind: type[BenchTest]) -> tuple[float, float]:
        """Return the part of the range that a kind reads on its usual apparatus; the first is above the second where none."""
        if self.liquid:
            return self.low, self.high
        low, high = max(self.low, kind.measures[0]), min(self.high, kind.measures[1])
        return (low, high) if kind.gives or low >= high else legible(kind, low, high)

    def share(self, kind: type[BenchTest]) -> float:
        """Return how much of the range of the feel a kind covers, by its ln [-]."""
        low, high = self.ends(kind)
        return max(float(np.log(high / low) / np.log(self.high / self.low)), 0.0)
