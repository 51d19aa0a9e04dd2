"""Herschel and Bulkley's law with a Newtonian term: what pastes do over many decades, where a liquid takes over at the end."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .herschel_bulkley import HerschelBulkley
from .plain import TAPER
from .power_law import PowerLaw
from .power_sums import PowerSum, Terms
from .sisko import Sisko
from .starts import INDICES, LEAST, nonnegative
from .three_component import ThreeComponent


@dataclass(frozen=True, eq=False)
class HerschelBulkleyNewtonian(PowerSum):
    """τ = τ_y + K γ̇ⁿ + η_∞ γ̇ above yield; at rest below. Without its last term it is Herschel and Bulkley's law."""

    name = "Herschel-Bulkley with Newtonian term"
    source = "Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291; the Newtonian term is common practice, no source"
    stresses: ClassVar[tuple[str, ...]] = ("yield_stress", "final_viscosity")
    example = Example(
        given=TAPER
        | {
            "yield_stress": 330.0,
            "consistency": 66.0,
            "flow_index": 0.5,
            "final_viscosity": 2.5,
            "shear_rate": 4.0,
            "wall_shear_stress": 550.5,
        },
        expected={
            "shear_stress": 472.0,
            "apparent_shear_rate": 4.09390099,
            "cone_stress_integral": 718.707375,
            "stretching_stress": 955.589727,
        },
        source=(
            "by hand: 330 + 66*2 + 2.5*4; "
            "flow, cone and stretching by quadrature in 18 digits: "
            "4/tau_w^3 int tau^2 rate dtau, int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    consistency: Numbers = parameter("K", "Pa·sⁿ", "stress of the power-law term at 1 1/s", logarithmic=True)
    flow_index: Numbers = parameter("n", "-", "slope of the power-law term", low=0.02, high=1.0, widest=(0.0, 1.0))
    final_viscosity: Numbers = parameter("η_∞", "Pa·s", "viscosity at high rates")

    @property
    def terms(self) -> Terms:  # noqa: D102
        return [(self.consistency, self.flow_index), (self.final_viscosity, 1.0)]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if (plain := HerschelBulkley.holding(smaller)) is not None and np.all(plain["flow_index"] <= 1):
            return {**plain, "final_viscosity": 0.0}
        if (sisko := Sisko.holding(smaller)) is not None:
            return {
                "yield_stress": 0.0,
                "consistency": sisko["consistency"],
                "flow_index": sisko["flow_index"],
                "final_viscosity": sisko["final_viscosity"],
            }
        three = ThreeComponent.holding(smaller)
        if three is not None and np.all(three["yield_stress"] > 0):
            return {
                "yield_stress": three["yield_stress"],
                "consistency": three["yield_stress"] / np.sqrt(three["critical_rate"]),
                "flow_index": 0.5,
                "final_viscosity": three["final_viscosity"],
            }
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few flow indices, each with the three terms that come nearest to the curve."""
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        tried = [(*nonnegative([np.ones(len(rate)), rate**n, rate], stress), n) for n in INDICES]
        (tau_y, consistency, viscosity), _, n = min(tried, key=lambda one: one[1])
        consistency = max(consistency, LEAST * np.min(stress / rate**n))
        return cls(float(tau_y), float(consistency), float(n), float(viscosity))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {**PowerLaw.factors(values, shear_rate), "final_viscosity": shear_rate}

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the shares of the yield stress at the slowest rate and of the Newtonian term at the fastest, and ln stress at both."""
        tau_y, viscosity = values["yield_stress"], values["final_viscosity"]
        slow, fast = (tau_y + values["consistency"] * rate ** values["flow_index"] + viscosity * rate for rate in rates)
        return [tau_y / slow, viscosity * rates[1] / fast, np.log(slow), np.log(fast)]

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the parameter values; NaN where no power law joins what is left at both ends."""
        slow, fast = np.exp(coordinates[2]), np.exp(coordinates[3])
        tau_y, viscosity = coordinates[0] * slow, coordinates[1] * fast / rates[1]
        left, right = slow - tau_y - viscosity * rates[0], fast - tau_y - viscosity * rates[1]
        n = np.log(right / left) / np.log(rates[1] / rates[0])
        return {
            "yield_stress": tau_y,
            "consistency": left / rates[0] ** n,
            "flow_index": n,
            "final_viscosity": viscosity,
        }
