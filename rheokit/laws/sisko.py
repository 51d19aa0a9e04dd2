"""The Sisko law: a power law that ends on a constant viscosity."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .plain import TAPER
from .power_law import PowerLaw
from .power_sums import PowerSum, Terms
from .starts import INDICES, LEAST, nonnegative


@dataclass(frozen=True, eq=False)
class Sisko(PowerSum):
    """τ = η_∞ γ̇ + K γ̇ⁿ. It has no yield stress: do not use it to ask what starts a paste."""

    name = "Sisko"
    source = "Sisko, Industrial and Engineering Chemistry 50 (1958) 1789 (from memory)"
    stresses: ClassVar[tuple[str, ...]] = ("final_viscosity",)
    example = Example(
        given=TAPER
        | {
            "final_viscosity": 1.5,
            "consistency": 300.0,
            "flow_index": 0.4,
            "shear_rate": 32.0,
            "wall_shear_stress": 3064.5,
        },
        expected={
            "shear_stress": 1248.0,
            "apparent_shear_rate": 187.523917,
            "cone_stress_integral": 1011.87283,
            "stretching_stress": 2910.88855,
        },
        source=(
            "by hand: 1.5*32 + 300*32^0.4 = 48 + 300*4; "
            "flow, cone and stretching by quadrature in 18 digits: "
            "4/tau_w^3 int tau^2 rate dtau, int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    final_viscosity: Numbers = parameter("η_∞", "Pa·s", "viscosity at high rates")
    consistency: Numbers = parameter("K", "Pa·sⁿ", "stress of the power-law term at 1 1/s", logarithmic=True)
    flow_index: Numbers = parameter("n", "-", "slope of the power-law term", low=0.02, high=1.0, widest=(0.0, 1.0))

    @property
    def terms(self) -> Terms:  # noqa: D102
        return [(self.consistency, self.flow_index), (self.final_viscosity, 1.0)]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        power = PowerLaw.holding(smaller)
        if power is not None and np.all(power["flow_index"] <= 1):
            return {"final_viscosity": 0.0, **power}
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few flow indices, each with the two terms that come nearest to the curve."""
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        tried = [(*nonnegative([rate, rate**n], stress), n) for n in INDICES]
        (viscosity, consistency), _, n = min(tried, key=lambda one: one[1])
        return cls(float(viscosity), float(max(consistency, LEAST * np.min(stress / rate**n))), float(n))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {**PowerLaw.factors(values, shear_rate), "final_viscosity": shear_rate}

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the share of the Newtonian term at the fastest rate, and ln stress at both ends."""
        slow, fast = (
            values["final_viscosity"] * rate + values["consistency"] * rate ** values["flow_index"] for rate in rates
        )
        return [values["final_viscosity"] * rates[1] / fast, np.log(slow), np.log(fast)]

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the parameter values; NaN where no power law joins what is left at both ends."""
        slow, fast = np.exp(coordinates[1]), np.exp(coordinates[2])
        viscosity = coordinates[0] * fast / rates[1]
        left, right = slow - viscosity * rates[0], fast - viscosity * rates[1]
        n = np.log(right / left) / np.log(rates[1] / rates[0])
        return {"final_viscosity": viscosity, "consistency": left / rates[0] ** n, "flow_index": n}
