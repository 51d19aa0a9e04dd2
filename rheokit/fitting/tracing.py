"""A law that notes the shear rates it is asked for: how a prediction knows that it leaves the readings."""

from dataclasses import dataclass, field

import numpy as np

from ..laws import FlowLaw
from ..laws.condition_words import CONDITIONS


@dataclass(frozen=True, eq=False)
class TracedLaw(FlowLaw):
    """Any law, with a note of the wall rates it was asked for, of its yield stress, and of parameters read by name."""

    law: FlowLaw
    rates: list = field(default_factory=list)
    parameters_asked: set = field(default_factory=set)
    conditions_asked: list = field(default_factory=list)
    passed_over: list = field(default_factory=list)  # conditions asked for by name, on which the law does not depend

    def __getattr__(self, name):
        """Pass everything else on to the law."""
        law = object.__getattribute__(self, "law")
        if name in law.parameters():
            self.parameters_asked.add(name)
        return getattr(law, name)

    @property
    def yield_stress(self):
        """The law's yield stress [Pa]; asking for it alone is asking about rest."""
        self.parameters_asked.add("yield_stress")
        return self.law.yield_stress

    @property
    def plain(self):
        """The law itself."""
        return self.law.plain

    @property
    def rest(self):
        """Whether the yield stress was asked for, and nothing else but rates."""
        return self.parameters_asked == {"yield_stress"}

    @property
    def values(self):
        """The law's parameter values by name."""
        self.parameters_asked.update(self.law.values)
        return self.law.values

    def at(self, temperature=None, water_content=None, age=None):
        """Return the law at a condition, which goes on noting here what it is asked for."""
        law = self.law.at(temperature, water_content, age)
        self.conditions_asked.append(law.condition)
        asked = zip(CONDITIONS, (temperature, water_content, age), strict=True)
        self.passed_over.extend(one for one in asked if one[1] is not None and one[0] not in self.law.depends_on)
        return TracedLaw(law, self.rates, self.parameters_asked, self.conditions_asked, self.passed_over)

    def lifted(self):  # noqa: D102
        return self.law.lifted()

    def _note(self, rates):
        rates = np.asarray(rates, float)
        self.rates.extend(rates[np.isfinite(rates) & (rates > 0)].ravel()[:: max(1, rates.size // 50)])

    def shear_stress(self, shear_rate):  # noqa: D102
        self._note(shear_rate)
        return self.law.shear_stress(shear_rate)

    def shear_rate(self, shear_stress):  # noqa: D102
        rate = self.law.shear_rate(shear_stress)
        self._note(rate)
        return rate

    def local_index(self, shear_rate):  # noqa: D102
        return self.law.local_index(shear_rate)

    def apparent_shear_rate(self, wall_shear_stress):  # noqa: D102
        self._note(self.law.shear_rate(wall_shear_stress))
        return self.law.apparent_shear_rate(wall_shear_stress)

    def wall_shear_stress(self, apparent_shear_rate):  # noqa: D102
        stress = self.law.wall_shear_stress(apparent_shear_rate)
        self._note(self.law.shear_rate(stress))
        return stress

    def cone_stress_integral(self, flow_rate, inlet_radius, outlet_radius):  # noqa: D102
        for radius in (inlet_radius, outlet_radius):
            self.wall_shear_stress(4 * np.asarray(flow_rate, float) / (np.pi * np.power(radius, 3)))
        return self.law.cone_stress_integral(flow_rate, inlet_radius, outlet_radius)

    def stretching_stress(self, flow_rate, inlet_radius, outlet_radius):  # noqa: D102
        return self.law.stretching_stress(flow_rate, inlet_radius, outlet_radius)

    @property
    def range(self):
        """Least and greatest rate asked for [1/s], or None where only rest was asked about."""
        return (min(self.rates), max(self.rates)) if self.rates else None
