"""Does a line keep its section under its own weight and surface tension?"""

from typing import ClassVar

from ..shape import line_holding_stress
from .base import Limit


class LineHolds(Limit):
    """Static yield stress against what rounds and flattens a fresh line."""

    name: ClassVar[str] = "line holds"
    label: ClassVar[str] = "static yield stress against sagging of a line"
    unit: ClassVar[str] = "Pa"
    model_error: ClassVar[float] = 0.3
    needs: ClassVar[tuple] = ("density",)
    strength: ClassVar[bool] = True
    formula: ClassVar[str] = "τ_ys ≥ max(ρ g h/√3, γ/w)"
    source: ClassVar[str] = (
        "von Mises under its own weight; capillary pressure of a line, within a factor of 2 (common practice, no source)"
    )
    remedy: ClassVar[str] = "less water or more gum, thinner layers, cool a gel before it is laid"

    def value(self, case):  # noqa: D102
        return case.paste.static_yield_stress

    def low(self, case):  # noqa: D102
        return line_holding_stress(case.layer_height, case.line_width, case.paste.density, case.paste.surface_tension)
