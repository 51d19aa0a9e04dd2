"""How warm the paste of a case leaves the nozzle, and its law there."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from ..fibre.thermal import air_cooled_outlet, outlet_temperature
from ..hints import Numbers
from ..laws import FlowLaw
from ..machine.extruder import Extruder
from ..part.job import FIBRE, PRINT, Job
from ..paste.properties import Paste

TEMPERATURE = "temperature error"


class Warm:
    """The part of a `Case` that asks for temperatures."""

    paste: Paste
    extruder: Extruder
    job: Job
    errors: Mapping[str, Numbers]
    if TYPE_CHECKING:

        @property
        def flow_rate(self) -> Numbers:
            """Flow [m3/s]."""

    def _error(self, name, spread):
        return self.errors[name] * spread if name in self.errors else 0.0

    @property
    def has_strength(self) -> bool:
        """Whether the law has a yield stress."""
        return bool(np.any(np.asarray(self.paste.static_yield_stress) > 0))

    @property
    def volumetric_heat(self) -> Numbers:
        """Heat to warm a volume of the paste [J/(m3 K)]."""
        return self.paste.density * self.paste.heat_capacity

    @property
    def is_bare(self) -> bool:
        """Whether a fibre leaves a needle that nothing heats."""
        return self.job.kind != PRINT and self.job.nozzle_temperature is None

    @property
    def lacks_heat(self) -> list[str]:
        """Names of what is not known and says how warm the paste leaves a bare needle."""
        if not self.is_bare:
            return []
        unknown = [name for name in ("density", "heat_capacity") if getattr(self.paste, name) is None]
        return unknown + (["needle_outer_diameter"] if self.job.needle_outer_diameter is None else [])

    @cached_property
    def exit_temperature(self) -> Numbers | None:
        """Temperature at which the paste leaves the nozzle, mean over the flow [K]; None where the job states none."""
        return self.temperature_after(sum(part.length for part in self.extruder.nozzle.segments))

    def temperature_after(self, length: Numbers) -> Numbers | None:
        """Return the temperature of the paste, mean over the flow, after a length of the nozzle [m]; None where not known [K]."""
        job, barrel = self.job, self.job.barrel_temperature
        if barrel is None or self.lacks_heat:
            return None
        along: dict[str, Any] = {"length": length, "flow_rate": self.flow_rate}
        if job.nozzle_temperature is not None:
            profile = "plug" if self.has_strength else "parabolic"
            along |= {"thermal_diffusivity": self.paste.thermal_diffusivity, "profile": profile}
            found = outlet_temperature(barrel, job.nozzle_temperature, **along)
        elif self.is_bare:
            along |= {"outer_diameter": job.needle_outer_diameter, "volumetric_heat": self.volumetric_heat}
            found = air_cooled_outlet(barrel, job.air_temperature, **along)
        else:
            found = barrel
        return found + self._error(TEMPERATURE, job.temperature_error)

    @cached_property
    def coldest(self) -> Numbers | None:
        """Temperature of the colder of barrel and exit [K]; None where the exit is not known."""
        found, barrel = self.exit_temperature, self.job.barrel_temperature
        if found is None or barrel is None:
            return found
        barrel = barrel + self._error(TEMPERATURE, self.job.temperature_error)
        return found if np.all(found <= barrel) else np.minimum(found, barrel)

    @property
    def has_set(self) -> bool:
        """Whether a gel sets before it is drawn, in the barrel or in the nozzle: its law says nothing of it then."""
        gel, coldest = self.paste.gel_temperature, self.coldest
        if self.job.kind != FIBRE or gel is None or coldest is None:
            return False
        return bool(np.all(np.less(coldest, gel)))

    @property
    def knows_temperature(self) -> bool:
        """Whether the law depends on the temperature, or the job states none."""
        return self.exit_temperature is None or "temperature" in self.paste.law.depends_on

    @cached_property
    def law(self) -> FlowLaw:
        """The law of the paste as it leaves the nozzle."""
        return self._law_at(self.exit_temperature)

    @cached_property
    def pressure_law(self) -> FlowLaw:
        """The law by which the pressure is computed: as stiff as the colder of barrel and exit, which is on the safe side."""
        return self.law if self.coldest is self.exit_temperature else self._law_at(self.coldest)

    def _law_at(self, temperature):
        return self.paste.law if temperature is None else self.paste.law.at(temperature=temperature)
