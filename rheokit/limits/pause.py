"""Does a bare needle block while the flow stops?"""

from ..checking import Example
from ..fibre.setting import pause_limit
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .drawing import SETS
from .plain import fibre


class Pause(Limit):
    """Pause against the time in which the gel in a needle that nothing heats sets."""

    name = "pause"
    label = "pause of the flow in a bare needle"
    unit = "s"
    jobs = (FIBRE,)
    model_error = 0.3
    of_flow = True
    needs = SETS
    formula = "∫ dt/t_set(T(t)) ≤ 1, T falling to the air's with the time constant of the needle"
    source = "natural convection and radiation, 25 W/m²K (from memory); progress adds up: common practice, no source"
    example = Example(
        given=fibre(
            "bore throughput length needle_outer_diameter density heat_capacity barrel_temperature air_temperature",
            "gel_temperature setting_time setting_exponent pause",
            nozzle_temperature=None,
        ),
        expected={"value": 53.0, "high": 106.163859, "margin": 0.694691829, "margin with error": 0.394691829},
        source=(
            "by hand: exit 294.6 + 37*exp(-25*pi*1.29e-3*0.0127/(1087*3290*11.3e-9)) = 330.440461 K; time constant (1087*3290*0.87^2 + "
            "3.95e6*(1.29^2 - 0.87^2))e-3/(4*25*1.29) = 48.7619263 s; the root of the integral by quadrature; 0.3 for the formula"
        ),
    )
    remedy = "heat the needle, or purge: a needle that has blocked is changed, not blown free"
    caution = CAUTIONS["tip"]

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.pause is not None and case.is_bare

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.pause

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return pause_limit(
            case.exit_temperature,
            case.job.air_temperature,
            time_constant=case.needle_time_constant,
            gel_temperature=case.paste.gel_temperature,
            setting_time=case.paste.setting_time,
            setting_exponent=case.paste.setting_exponent,
        )
