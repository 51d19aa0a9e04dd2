"""Does surface tension pinch the liquid fibre into beads before its end?"""

from ..checking import Example
from ..fibre.evenness import breakup_length
from ..hints import Numbers
from .case import Case
from .drawn_liquid import EVENER, DrawnLiquid
from .plain import DRAWN, EXIT, THERE, WARM, fibre


class Beads(DrawnLiquid):
    """Liquid length in the air against the length on which unevenness grows into beads."""

    name = "beads"
    label = "liquid length against break-up into beads"
    unit = "m"
    model_error = 0.3
    needs = ("density",)
    formula = (
        "L ≤ b 6 η r_0 v_0 (1 + 0.4714/Oh)/γ, an unevenness of 0.7 % growing e⁵ times: b = φ (exp(φ) - √D_R)/(exp(φ) - 1), "
        "φ = 5 - ln(D_R)/2, D_R = v_w/v_0; 0 is the most where D_R > e⁵"
    )
    source = "a Newtonian thread with surface tension, exact; the Ohnesorge factor: Weber (from memory); e⁵: common practice, no source"
    example = Example(
        given=fibre(DRAWN, EXIT, "winding_speed gap surface_tension density"),
        expected={"value": 1.7e-3, "high": 0.0181032986, "margin": 2.36546592, "margin with error": 2.06546592},
        source=(
            f"{WARM}; {THERE}; eta = K (sqrt3*(113 - 19.0085967)/1.7)^-0.2 = 4.23175332; phi = 5 - ln(D_R)/2; "
            "b = phi (e^phi - sqrt(D_R))/(e^phi - 1); 0.3 for the formula"
        ),
    )
    remedy = EVENER

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.free_length

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return breakup_length(
            case.draw_viscosity,
            flow_rate=case.flow_rate,
            bore=case.bore,
            winding_speed=case.wound_speed,
            surface_tension=case.paste.surface_tension,
            density=case.paste.density,
        )
