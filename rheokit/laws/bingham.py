"""The Bingham law: a yield stress and a constant slope above it."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .herschel_bulkley import HerschelBulkley
from .newtonian import Newtonian
from .plain import TAPER


@dataclass(frozen=True, eq=False)
class Bingham(FlowLaw):
    """τ = τ_y + μ_p γ̇ above yield; at rest below. In a tube this is Buckingham and Reiner's flow."""

    name = "Bingham"
    source = "Bingham, Bulletin of the Bureau of Standards 13 (1916) 309; Buckingham (1921) for the tube"
    example = (
        Example(
            given=TAPER
            | {"yield_stress": 310.0, "plastic_viscosity": 6.2, "shear_rate": 4.0, "wall_shear_stress": 620.0},
            expected={
                "shear_stress": 334.8,
                "apparent_shear_rate": 35.4166667,
                "cone_stress_integral": 480.500530,
                "stretching_stress": 335.011886,
            },
            source=(
                "by hand: 310 + 6.2*4; Buckingham and Reiner with half of the wall stress: 620/6.2*(1 - 4/3/2 + 1/3/16) = 100*17/48; "
                "cone and stretching by quadrature in 18 digits: int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
            ),
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    plastic_viscosity: Numbers = parameter("μ_p", "Pa·s", "slope of stress against rate above yield", logarithmic=True)

    @property
    def general(self) -> HerschelBulkley:
        """The Herschel-Bulkley law of slope 1."""
        return HerschelBulkley(self.yield_stress, self.plastic_viscosity, 1.0)

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.shear_stress(shear_rate)

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.shear_rate(shear_stress)

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.local_index(shear_rate)

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.apparent_shear_rate(wall_shear_stress)

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self.general.wall_shear_stress(apparent_shear_rate)

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        return self.general.cone_stress_integral(flow_rate, inlet_radius, outlet_radius)

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        return self.general.stretching_stress(flow_rate, inlet_radius, outlet_radius)

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if type(smaller) is Newtonian:
            return {"yield_stress": 0.0, "plastic_viscosity": smaller.viscosity}
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the straight line through the curve, kept above zero at both ends."""
        rate, stress = np.asarray(shear_rate, float), np.asarray(shear_stress, float)
        slope = np.polyfit(rate, stress, 1)[0] if np.ptp(rate) > 0 else 0.0
        slope = max(slope, 1e-3 * np.mean(stress) / max(np.mean(rate), 1e-12))
        return cls(float(max(np.mean(stress) - slope * np.mean(rate), 0.1 * np.min(stress), 0.0)), float(slope))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {"plastic_viscosity": shear_rate}
