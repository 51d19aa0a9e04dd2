"""The Newtonian law: stress proportional to rate."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .plain import TAPER
from .power_law import PowerLaw


@dataclass(frozen=True, eq=False)
class Newtonian(FlowLaw):
    """τ = η γ̇. In a tube this is Hagen-Poiseuille flow."""

    name = "Newtonian"
    source = "Newton, Principia (1687), book II section IX; Hagen (1839), Poiseuille (1840) for the tube"
    example = (
        Example(
            given=TAPER | {"viscosity": 4.7, "shear_rate": 3.0, "wall_shear_stress": 136.3},
            expected={
                "shear_stress": 14.1,
                "apparent_shear_rate": 29.0,
                "cone_stress_integral": 84.6535410,
                "stretching_stress": 253.960623,
            },
            source=(
                "by hand: 4.7*3; 136.3/4.7; with 1/0.8^3 - 1/2.1^3 = 1.845144 in 1/mm3, "
                "4*4.7*23/(3 pi)*1.845144 and 4*4.7*23/pi*1.845144"
            ),
        ),
    )

    viscosity: Numbers = parameter("η", "Pa·s", "shear stress over shear rate", logarithmic=True)

    @property
    def general(self) -> PowerLaw:
        """The power law of slope 1."""
        return PowerLaw(self.viscosity, 1.0)

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (self.viscosity * np.asarray(shear_rate, float))[()]

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return (np.maximum(np.asarray(shear_stress, float), 0.0) / self.viscosity)[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (1.0 + 0 * np.asarray(shear_rate, float) * self.viscosity)[()]

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return self.shear_rate(wall_shear_stress)

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.shear_stress(apparent_shear_rate)

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        return self.general.cone_stress_integral(flow_rate, inlet_radius, outlet_radius)

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        return self.general.stretching_stress(flow_rate, inlet_radius, outlet_radius)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:  # noqa: D102
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        return cls(float(np.exp(np.mean(np.log(stress / rate)))))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {"viscosity": shear_rate}
