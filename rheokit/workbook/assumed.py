"""A number of a paste or a machine that somebody assumed, or that readings tell where nobody typed it."""

from __future__ import annotations

from typing import NamedTuple

from ..nomenclature import number, with_limits, with_unit
from ..nomenclature.measures import Unit
from ..sampling import limits_of_spread
from .entry import Entry


class Assumed(NamedTuple):
    """What a plan assumes of a paste: value in SI, standard deviation of its ln or None, where it comes from; limits, where they are of a fit."""

    value: float
    spread: float | None
    origin: str
    limits: tuple[float, float] | None = None

    def written_as(self, entry: Entry) -> str:
        """Return the value with its 95 % limits in the unit of its entry, as far as they are known."""
        ends = self.limits or limits_of_spread(self.value, self.spread or 0.0)
        value, low, high = (float(entry.from_si(one)) for one in (self.value, *ends))
        unit = "" if entry.unit == "-" else entry.unit
        if not low < high:
            return with_unit(number(value), unit)
        return with_limits(value, low, high, Unit(unit, 1.0), before="")
