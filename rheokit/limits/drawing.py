"""How the fibre of a case is drawn and sets: ratio, diameters, the law at the rate of the draw, progress in air and bath."""

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from ..fibre.air import HOTTEST, heat_lost
from ..fibre.airgap import setting_length, setting_progress, thread_time_constant
from ..fibre.bath import bath_progress
from ..fibre.draw import draw_ratio, dry_diameter, wet_diameter
from ..fibre.tension import DrawnLaw, drawn_law
from ..fibre.thermal import needle_time_constant
from ..hints import Numbers
from ..laws.newtonian import Newtonian
from ..laws.power_law import PowerLaw
from ..part.drying.air import vapour_density
from .warm import Warm

WINDING, FLOW = "winding speed error", "flow error"
GEL = ("gel_temperature", "setting_time")
SETS = ("density", "heat_capacity", *GEL)  # what the setting of a fibre rests on


class Drawing(Warm):
    """The part of a `Case` that a `FibreJob` asks for."""

    if TYPE_CHECKING:

        @property
        def bore(self) -> Numbers:
            """Bore of the nozzle as it is [m]."""

    @property
    def lacks_setting(self) -> list[str]:
        """Names of what is not known and says how a fibre sets on its way."""
        unknown = [name for name in SETS if getattr(self.paste, name) is None]
        return unknown + [name for name in self.lacks_heat if name not in unknown]

    @cached_property
    def wound_speed(self) -> Numbers:
        """Winding speed as it is [m/s]."""
        return self.job.winding_speed * np.exp(self._error(WINDING, self.job.speed_error))

    @cached_property
    def draw_ratio(self) -> Numbers:
        """Winding speed over the mean speed in the bore [-]."""
        return draw_ratio(flow_rate=self.flow_rate, bore=self.bore, winding_speed=self.wound_speed)

    @cached_property
    def wet_diameter(self) -> Numbers:
        """Diameter of the fibre as it is wound [m]."""
        return wet_diameter(flow_rate=self.flow_rate, winding_speed=self.wound_speed)

    @cached_property
    def dry_diameter(self) -> Numbers:
        """Diameter of the dry fibre [m]."""
        return dry_diameter(self.wet_diameter, self.paste.dry_section, held=self.job.held)

    @cached_property
    def drawn_law(self) -> DrawnLaw:
        """The power law that the law follows where it is drawn, as if all of it happened in the gap and as warm as at the exit."""
        return self._drawn_at(self._fastest if isinstance(self.law.plain, Newtonian) else self.wound_speed)

    def _drawn_at(self, speed):
        there = {"flow_rate": self.flow_rate, "bore": self.bore, "gap": self.job.gap}
        return drawn_law(self.law, winding_speed=speed, **there)

    @property
    def _fastest(self):
        """One winding speed [m/s] for all that is one power of the rate, the same at any: on a map it costs a row, not all."""
        return np.max(self.wound_speed)

    @cached_property
    def _power(self):
        return self._drawn_at(self._fastest) if isinstance(self.law.plain, PowerLaw) else self.drawn_law

    @property
    def draw_index(self) -> Numbers:
        """Flow index at the mean rate of the draw [-]."""
        return self._power.flow_index

    @property
    def draw_consistency(self) -> Numbers:
        """Consistency of the power law that touches the law there [Pa s^n]."""
        return self._power.consistency

    @property
    def draw_viscosity(self) -> Numbers:
        """Shear stress over shear rate there [Pa s]."""
        return self.drawn_law.viscosity

    # --- setting ----------------------------------------------------------------------------------------------------

    @property
    def _gel(self):
        return {name: getattr(self.paste, name) for name in (*GEL, "setting_exponent")}

    @property
    def _in_air(self):
        job = self.job
        return self._gel | {
            "diameter": self.wet_diameter,
            "speed": self.wound_speed,
            "volumetric_heat": self.volumetric_heat,
            "air_temperature": job.air_temperature,
            "relative_humidity": job.relative_humidity,
            "water_activity": self.paste.water_activity,
            "draught": job.draught,
        }

    @cached_property
    def _enters_air(self):
        """Temperature with which the fibre begins its way in the air [K]."""
        return np.minimum(self.exit_temperature, HOTTEST)

    @property
    def _stays_liquid(self):
        """Whether it is above its gel point all over the gap even if it went on to cool as fast as it begins."""
        if np.any(self._enters_air < self.paste.gel_temperature):
            return False
        job, about = self.job, self._in_air
        thread = {name: about[name] for name in ("diameter", "speed", "volumetric_heat", "draught")}
        vapour = vapour_density(job.air_temperature, job.relative_humidity)
        excess = heat_lost(self._enters_air, job.air_temperature, vapour, self.paste.water_activity)
        falls = excess / thread_time_constant(**thread) * job.gap / self.wound_speed
        return np.all(self._enters_air - np.maximum(falls, 0.0) >= self.paste.gel_temperature)

    @cached_property
    def set_in_air(self) -> Numbers:
        """How far the fibre has set at the end of the gap [-]."""
        if self._stays_liquid:  # as over the gap of a few mm before a bath: no table is asked
            return 0.0
        return setting_progress(self.job.gap / self.wound_speed, self._enters_air, **self._in_air)

    @cached_property
    def setting(self) -> Numbers:
        """How far it has set before it is wound [-]: in the gap and in the bath, into which it comes as warm as from the nozzle."""
        job = self.job
        if not job.has_bath:
            return self.set_in_air
        in_bath = {"diameter": self.wet_diameter, "thermal_diffusivity": self.paste.thermal_diffusivity}
        time = job.bath_length / self.wound_speed
        return self.set_in_air + bath_progress(
            time, self.exit_temperature, job.bath_temperature, **in_bath, **self._gel
        )

    @cached_property
    def free_length(self) -> Numbers:
        """Length over which the fibre is liquid in the air [m]: the gap, or less where it sets before."""
        gap = self.job.gap
        if self.lacks_setting or not np.any(self.set_in_air >= 1):
            return gap
        return np.minimum(gap, setting_length(self._enters_air, **self._in_air))

    @cached_property
    def needle_time_constant(self) -> Numbers:
        """Time in which a bare needle loses all but 1/e of its excess over the air, while nothing flows [s]."""
        outer = self.job.needle_outer_diameter
        return needle_time_constant(bore=self.bore, outer_diameter=outer, volumetric_heat=self.volumetric_heat)
