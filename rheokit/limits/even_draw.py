"""Does the draw stay even, or does the diameter begin to swing?"""

from ..checking import Example
from ..fibre.tension import capillary_number, critical_draw_ratio
from ..hints import Numbers
from .case import Case
from .drawn_liquid import EVENER, DrawnLiquid
from .plain import DRAWN, EXIT, THERE, WARM, fibre


class EvenDraw(DrawnLiquid):
    """Draw ratio against the one from which on the diameter swings by itself (draw resonance)."""

    name = "even draw"
    label = "draw ratio against the critical one"
    model_error = 0.15
    formula = "v_w/v_0 ≤ D_c(n, C), C = γ/[r_0 3^((n+1)/2) K (v_0/L)ⁿ]"
    source = "linear stability of an isothermal thread with surface tension, computed for the project: 20.218 at n = 1, C = 0"
    example = Example(
        given=fibre(DRAWN, EXIT, "winding_speed gap surface_tension"),
        expected={"value": 5.94467870, "high": 7.18233397, "margin": 0.189127913, "margin with error": 0.0391279132},
        source=(
            f"{WARM}; {THERE}; C = 0.552889385; critical 7.46423229 at C = 0.5 and 6.94021375 at 0.6 by shooting with the linearised "
            "equations, straight in the ln between; 0.15 for the formula"
        ),
    )
    remedy = EVENER

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.draw_ratio

    def high(self, case: Case) -> Numbers:  # noqa: D102
        number = capillary_number(
            case.draw_consistency,
            case.draw_index,
            flow_rate=case.flow_rate,
            bore=case.bore,
            gap=case.job.gap,
            surface_tension=case.paste.surface_tension,
        )
        return critical_draw_ratio(case.draw_index, number)
