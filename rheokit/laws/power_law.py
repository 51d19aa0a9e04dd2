"""The power law: a straight line of ln stress against ln rate."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from . import tube
from .base import FlowLaw, parameter
from .plain import TAPER


@dataclass(frozen=True, eq=False)
class PowerLaw(FlowLaw):
    """τ = K γ̇ⁿ. It has no yield stress, so it promises flow at any pressure: do not use it to ask what starts a paste."""

    name = "power law"
    source = "Ostwald, Kolloid-Zeitschrift 36 (1925) 99; de Waele (1923)"
    example = (
        Example(
            given=TAPER | {"consistency": 180.0, "flow_index": 0.37, "shear_rate": 4.0, "wall_shear_stress": 640.0},
            expected={
                "shear_stress": 300.631651,
                "apparent_shear_rate": 21.6231203,
                "cone_stress_integral": 543.255265,
                "stretching_stress": 1564.92391,
            },
            source=(
                "by hand: 180*4^0.37; 4*0.37/2.11*(640/180)^(1/0.37); "
                "cone and stretching by quadrature in 18 digits: int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
            ),
        ),
    )

    consistency: Numbers = parameter("K", "Pa·sⁿ", "stress at 1 1/s", logarithmic=True)
    flow_index: Numbers = parameter("n", "-", "slope of ln τ against ln γ̇", low=0.02, high=5.0, widest=(0.0, np.inf))

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (self.consistency * np.power(np.asarray(shear_rate, float), self.flow_index))[()]

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return (
            (np.maximum(np.asarray(shear_stress, float), 0.0) / self.consistency) ** (1 / np.asarray(self.flow_index))
        )[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (self.flow_index + 0 * np.asarray(shear_rate, float))[()]

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        n = np.asarray(self.flow_index)
        return (4 * n / (3 * n + 1) * self.shear_rate(wall_shear_stress))[()]

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return tube.power_wall_stress(np.asarray(apparent_shear_rate, float), self.consistency, self.flow_index)[()]

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        flow, inlet, outlet = (np.asarray(a, float) for a in (flow_rate, inlet_radius, outlet_radius))
        log_ratio = np.log1p((inlet - outlet) / outlet)
        return tube.power_cone(flow, inlet, log_ratio, self.consistency, self.flow_index)[()]

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        radii = inlet_radius, outlet_radius
        return tube.power_stretching(flow_rate, *radii, self.consistency, self.flow_index)[()]

    @staticmethod
    def positive(shear_rate: ArrayLike, shear_stress: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
        """Return the rates and stresses where both are positive; a single unit pair if there are none."""
        rate, stress = np.asarray(shear_rate, float), np.asarray(shear_stress, float)
        keep = (rate > 0) & (stress > 0)
        return (rate[keep], stress[keep]) if keep.any() else (np.ones(1), np.ones(1))

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the law of the straight line of ln stress against ln rate: a start, not an answer."""
        rate, stress = (np.log(a) for a in cls.positive(shear_rate, shear_stress))
        slope = np.polyfit(rate, stress, 1)[0] if np.ptp(rate) > 0 else 0.5
        slope = float(np.clip(slope, 0.05, 4.0))
        return cls(float(np.exp(np.mean(stress) - slope * np.mean(rate))), slope)

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {"consistency": shear_rate ** values["flow_index"]}
