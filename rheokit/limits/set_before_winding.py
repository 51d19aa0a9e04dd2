"""Has the fibre set before it reaches the drum?"""

from ..checking import Example
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .drawing import SETS
from .plain import WARM, fibre


class SetBeforeWinding(Limit):
    """Progress of setting in air and bath against a gel that is set."""

    name = "set before winding"
    label = "setting before the drum"
    jobs = (FIBRE,)
    model_error = 0.4
    of_flow = True
    needs = SETS
    formula = (
        "∫ dt/t_set(T(t)) over gap and bath ≥ 1, t_set = t_10 (10 K/(T_gel - T))^p below T_gel; warmer nothing sets"
    )
    source = (
        "progress adds up (Scheil): common practice, no source; air: Kase and Matsuo 1965 (from memory), half to 1.2 of it in "
        "still air; bath: a still cylinder in water of its own properties"
    )
    example = Example(
        given=fibre(
            "throughput length thermal_diffusivity nozzle_temperature barrel_temperature gel_temperature setting_time",
            "setting_exponent winding_speed bath_length bath_temperature",
        ),
        expected={"value": 1.42220329, "low": 1.0, "margin": 0.352207280, "margin with error": -0.0477927196},
        source=(
            f"{WARM}; no setting in the gap, above the gel point; in the bath by quadrature of ((304.4 - T)/10)^1.9/6.3 over "
            "0.31/0.113 s, T - 283.7 = (T_e - 283.7)(1 - e^-b (I_0(b) + I_1(b))), b = R^2/(2 a t); 0.4 for the formula"
        ),
    )
    remedy = "a longer or colder bath, wind slower"
    caution = CAUTIONS["bath"]

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.setting

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return 1.0
