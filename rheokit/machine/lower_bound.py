"""A number that the truth is not below, and what is not known that would tell it better."""

from collections.abc import Sequence

import numpy as np

from ..hints import Numbers
from ..nomenclature import written

STATIC = "it uses the dynamic yield stress; after a rest the static one is 1.2 to 3 times higher"
NO_YIELD_STRESS = "the law has no yield stress; a loaded plate or a slump reads whether the paste has one"
BREAK_LOOSE = "it uses the plunger friction of gliding; the peak that breaks it loose is higher"


class LowerBound(float):
    """A number that the truth is not below, with the reason in its text."""

    def __new__(cls, value, unit, reason):
        """Name a value with its unit a lower bound, for a reason."""
        bound = super().__new__(cls, value)
        bound.unit, bound.reason = unit, reason
        return bound

    def __getnewargs__(self):
        """Return what a copy is made of."""
        return float(self), self.unit, self.reason

    def __repr__(self):
        return f"at least {written(self, self.unit)} (lower bound: {self.reason})"

    __str__ = __repr__


RIGID = LowerBound(
    0.0, "m3/Pa", "how far barrel and plunger give way is not known; squeeze the sealed barrel full of water"
)
"""A compliance that was not measured."""


def lower_bound(value: Numbers, unit: str, reasons: Sequence[str]) -> Numbers:
    """Return a value with its unit as a `LowerBound`, with the reasons; without any, and of an array, as it is."""
    return LowerBound(value, unit, "; ".join(reasons)) if reasons and np.ndim(value) == 0 else value
