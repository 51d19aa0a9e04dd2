"""The Herschel-Bulkley law: a yield stress and a power law above it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from . import tube
from .base import FlowLaw, parameter
from .blocks import by_blocks
from .plain import TAPER
from .power_law import PowerLaw


@dataclass(frozen=True, eq=False)
class HerschelBulkley(FlowLaw):
    """τ = τ_y + K γ̇ⁿ above yield; at rest below."""

    name = "Herschel-Bulkley"
    source = "Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291"
    example = (
        Example(
            given=TAPER
            | {
                "yield_stress": 330.0,
                "consistency": 66.0,
                "flow_index": 0.5,
                "shear_rate": 4.0,
                "wall_shear_stress": 660.0,
            },
            expected={
                "shear_stress": 462.0,
                "apparent_shear_rate": 12.9166667,
                "cone_stress_integral": 665.370761,
                "stretching_stress": 820.504290,
            },
            source=(
                "by hand: 330 + 66*2; 4/660^3 int (s + 330)^2 (s/66)^2 ds from 0 to 330 = (330/66)^2/2*(1/5 + 2/4 + 1/3) = 25*31/60; "
                "cone and stretching by quadrature in 18 digits: int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
            ),
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    consistency: Numbers = parameter("K", "Pa·sⁿ", "stress above yield at 1 1/s", logarithmic=True)
    flow_index: Numbers = parameter(
        "n", "-", "slope of ln(τ - τ_y) against ln γ̇", low=0.02, high=5.0, widest=(0.0, np.inf)
    )

    @property
    def _triple(self):
        return self.yield_stress, self.consistency, self.flow_index

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (self.yield_stress + self.consistency * np.power(np.asarray(shear_rate, float), self.flow_index))[()]

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        excess = np.maximum(np.subtract(np.asarray(shear_stress, float), self.yield_stress), 0.0)
        return ((excess / self.consistency) ** (1 / np.asarray(self.flow_index)))[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return (self.flow_index + 0 * np.asarray(shear_rate, float))[()]

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        return by_blocks(tube.flow_from_wall_stress, wall_shear_stress, *self._triple)[()]

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return by_blocks(tube.wall_stress, apparent_shear_rate, *self._triple)[()]

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        return by_blocks(tube.cone, flow_rate, inlet_radius, outlet_radius, *self._triple)[()]

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        radii = inlet_radius, outlet_radius
        return tube.power_stretching(flow_rate, *radii, self.consistency, self.flow_index)[()]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        power = PowerLaw.holding(smaller)
        return super().holding(smaller) if power is None else {"yield_stress": 0.0, **power}

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few yield stresses below the least stress, each with the line of what is above it."""
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        best, least = None, np.inf
        for share in (0.02, 0.2, 0.4, 0.6, 0.8, 0.95):
            tau_y = share * float(np.min(shear_stress))
            above = PowerLaw.guess(rate, stress - tau_y)
            law = cls(max(tau_y, 0.0), above.consistency, above.flow_index)
            miss = np.sum(np.log(law.shear_stress(rate) / stress) ** 2)
            if miss < least:
                best, least = law, miss
        return best

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return PowerLaw.factors(values, shear_rate)

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the share of the yield stress in the stress at the slowest rate, and ln stress at both ends."""
        tau_y = values["yield_stress"]
        slow, fast = (tau_y + values["consistency"] * rate ** values["flow_index"] for rate in rates)
        return [tau_y / slow, np.log(slow), np.log(fast)]

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the parameter values; NaN for a curve that falls with the rate."""
        share, slow, fast = coordinates[0], np.exp(coordinates[1]), np.exp(coordinates[2])
        tau_y = share * slow
        n = np.log((fast - tau_y) / (slow - tau_y)) / np.log(rates[1] / rates[0])
        consistency = (slow - tau_y) / rates[0] ** n
        return {"yield_stress": tau_y, "consistency": consistency, "flow_index": n}
