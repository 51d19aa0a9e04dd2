"""Any law with its stresses and rates shifted: temperature, batch spread, water and build-up in one."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ..hints import Numbers
from ..inputs import trusted
from ..things import a
from .base import FlowLaw, parameter


@dataclass(frozen=True, eq=False)
class Shifted(FlowLaw):
    """τ(γ̇) = f τ_law(a γ̇), exact for every law."""

    name = "shifted"
    source = "Ferry, Viscoelastic Properties of Polymers, Wiley: shift factors (from memory)"

    law: FlowLaw
    stress_factor: Numbers = parameter("f", "-", "factor on every stress of the law", logarithmic=True)
    rate_factor: Numbers = parameter("a", "-", "factor on every rate of the law", logarithmic=True)

    def __init__(self, law: FlowLaw, stress_factor: ArrayLike = 1.0, rate_factor: ArrayLike = 1.0) -> None:
        """Shift a law by a factor on its stresses and one on its rates [-]."""
        a("FlowLaw", "Shifted", "law", law)
        for name, value in (("law", law), ("stress_factor", stress_factor), ("rate_factor", rate_factor)):
            object.__setattr__(self, name, value)
        self.__post_init__()

    def of(self, law: FlowLaw) -> FlowLaw:
        """Return another law, shifted as this one is."""
        return Shifted(self.law.of(law), self.stress_factor, self.rate_factor)

    @property
    def yield_stress(self) -> Numbers:
        """The yield stress of the shifted law [Pa]."""
        return self.stress_factor * self.law.yield_stress

    @property
    def plain(self) -> FlowLaw:
        """The law that is shifted, itself plain."""
        return self.law.plain

    @property
    def left_open(self) -> str:
        """What is left open of the law that is shifted."""
        return self.law.left_open

    @property
    def alike(self) -> FlowLaw | None:
        """The laws alike of the law that is shifted, shifted."""
        laws = self.law.alike
        return None if laws is None else Shifted(laws, self.stress_factor, self.rate_factor)

    @property
    def depends_on(self) -> tuple[str, ...]:
        """What the law that is shifted depends on."""
        return self.law.depends_on

    @property
    def effects(self) -> dict[str, Numbers]:
        """How conditions act on the law that is shifted."""
        return self.law.effects

    @property
    def condition(self) -> dict[str, Numbers]:
        """The condition of the law that is shifted."""
        return self.law.condition

    def at(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> FlowLaw:
        """Return the law that is shifted at a condition, shifted as it is."""
        law = self.law.at(temperature, water_content, age)
        return self if law is self.law else Shifted(law, self.stress_factor, self.rate_factor)

    def lifted(self) -> FlowLaw:  # noqa: D102
        with trusted():
            return replace(super().lifted(), law=self.law.lifted())  # type: ignore[call-arg]  # it is a Shifted

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.stress_factor * self.law.shear_stress(np.multiply(self.rate_factor, shear_rate))

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return self.law.shear_rate(np.divide(shear_stress, self.stress_factor)) / self.rate_factor

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.law.local_index(np.multiply(self.rate_factor, shear_rate))

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return self.law.apparent_shear_rate(np.divide(wall_shear_stress, self.stress_factor)) / self.rate_factor

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.stress_factor * self.law.wall_shear_stress(np.multiply(self.rate_factor, apparent_shear_rate))

    def flow_at_wall_rate(self, wall_shear_rate: ArrayLike) -> tuple[Numbers, Numbers]:  # noqa: D102
        apparent, stress = self.law.flow_at_wall_rate(np.multiply(self.rate_factor, wall_shear_rate))
        return apparent / self.rate_factor, self.stress_factor * stress

    @property
    def searches_rate(self) -> bool:  # noqa: D102
        return self.law.searches_rate

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        flow = np.multiply(self.rate_factor, flow_rate)
        return self.stress_factor * self.law.cone_stress_integral(flow, inlet_radius, outlet_radius)

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        flow = np.multiply(self.rate_factor, flow_rate)
        return self.stress_factor * self.law.stretching_stress(flow, inlet_radius, outlet_radius)
