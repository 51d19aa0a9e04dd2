"""Do the readings behind the law cover the temperature at which the paste leaves the nozzle?"""

from ..checking import Example
from ..hints import Numbers
from .base import BOTH, Limit
from .case import Case
from .plain import WARM, fibre


class TemperatureRange(Limit):
    """Temperature at the exit of the nozzle against the temperatures that were read: outside, the law is extrapolated."""

    name = "temperatures read"
    label = "temperature at the exit against the readings"
    unit = "K"
    jobs = BOTH
    width = 10.0
    advice = True
    of_flow = True
    formula = "coldest read ≤ T_e ≤ warmest read"
    source = "the readings"
    example = Example(
        given=fibre(
            "throughput length thermal_diffusivity nozzle_temperature barrel_temperature",
            temperature_range=(303.15, 334.15),
        ),
        expected={"value": 312.414661558, "low": 303.15, "high": 334.15, "margin": 0.926466156},
        source=f"{WARM}; (T - 303.15)/10",
    )
    remedy = "measure at the temperature of use; until then the prediction is an extrapolation"

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.barrel_temperature is not None

    def lacks(self, case: Case) -> str:  # noqa: D102
        if not case.knows_temperature:
            return "the law does not depend on temperature"
        return "no temperature read" if case.temperature_range is None else super().lacks(case)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.exit_temperature

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return case.temperature_range[0]

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return case.temperature_range[1]
