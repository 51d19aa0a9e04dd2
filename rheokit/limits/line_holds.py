"""Does a line keep its section under its own weight and surface tension?"""

from ..checking import Example
from ..hints import Numbers
from ..part.shape import line_holding_stress
from .base import Limit
from .case import Case
from .plain import plain


class LineHolds(Limit):
    """Static yield stress against what rounds and flattens a fresh line."""

    name = "line holds"
    label = "static yield stress against sagging of a line"
    unit = "Pa"
    model_error = 0.3
    needs = ("density",)
    strength = True
    formula = "τ_ys ≥ max(ρ g h/√3, γ/w)"
    source = "von Mises under its own weight; capillary pressure of a line, within a factor of 2 (common practice, no source)"
    example = (
        Example(
            given=plain("yield_stress static_ratio density", layer_height=4.3e-3, line_width=9.1e-3),
            expected={"value": 434.0, "low": 27.5204340, "margin": 2.75811575, "margin with error": 2.45811575},
            idle=("line_width",),
            source="by hand, weight: 1.4*310 against 1130*9.81*4.3e-3/sqrt3; 0.3 for the formula",
        ),
        Example(
            given=plain("yield_stress static_ratio line_width", surface_tension=0.047),
            expected={"value": 434.0, "low": 20.4347826, "margin": 3.05580606, "margin with error": 2.75580606},
            source="by hand, surface tension: 0.047/2.3e-3",
        ),
    )
    remedy = "less water or more gum, thinner layers, cool a gel before it is laid"

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.paste.static_yield_stress

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return line_holding_stress(case.layer_height, case.line_width, case.paste.density, case.paste.surface_tension)
