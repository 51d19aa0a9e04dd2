"""Does the drum still pull the liquid fibre, or does it sag under its own weight?"""

from collections.abc import Callable

import numpy as np

from ..checking import Example
from ..fibre.taut import taut_length
from ..hints import Numbers
from .case import Case
from .draw_ratio import FASTER
from .drawn_liquid import DrawnLiquid
from .plain import DRAWN, EXIT, THERE, WARM, fibre

JUST_BROKEN = -1e-9


class TautThread(DrawnLiquid):
    """Liquid length in the air against the length at which it falls as fast as it is wound."""

    name = "taut thread"
    label = "liquid length against its own weight"
    unit = "m"
    model_error = 0.3
    needs = ("density",)
    formula = (
        "L ≤ (L_v^1.6 + L_c^1.6)^(1/1.6), held by viscosity and by surface tension, D_R = v_w/v_0 > 1: L_c = γ (1 - 1/√D_R)/(ρ g r_w), "
        "L_v = [3^((n+1)/2) K/((n+1) ρ g)]^(1/(n+1)) v_w^(n/(n+1)) ∫ u^(-1/n) (u^(-1/n) - 1)^(-1/(n+1)) du from 1/D_R to 1; "
        "slack where v_w ≤ v_0"
    )
    source = "force balance of a thread without inertia: exact without surface tension, 13 % with it; computed for the project"
    example = Example(
        given=fibre(DRAWN, EXIT, "winding_speed gap surface_tension density"),
        expected={"value": 1.7e-3, "high": 0.0305343813, "margin": 2.88822505, "margin with error": 2.58822505},
        source=(
            f"{WARM}; {THERE}; the integral by quadrature in 25 digits 2.39443389: L_v = 24.2979790 mm, L_c = 14.5720493 mm with 9.81; 0.3 for "
            "the formula"
        ),
    )
    remedy = "shorten the gap; draw into a bath"

    def remedy_for(self, case: Case) -> str:  # noqa: D102
        return FASTER if np.all(np.less_equal(case.draw_ratio, 1)) else self.remedy

    def margin(self, case: Case, normals: Callable | None = None) -> Numbers:
        """Return the margin of any limit; where the drum is no faster than the flow, less broken than the draw ratio, which is why."""
        margin, ratio = super().margin(case, normals), case.draw_ratio
        slow = np.less_equal(ratio, 1)
        if not np.any(slow):
            return margin
        return np.where(slow, np.minimum(np.log(ratio) / 2, JUST_BROKEN), margin)[()]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.free_length

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return taut_length(
            case.draw_consistency,
            case.draw_index,
            flow_rate=case.flow_rate,
            bore=case.bore,
            winding_speed=case.wound_speed,
            density=case.paste.density,
            surface_tension=case.paste.surface_tension,
        )
