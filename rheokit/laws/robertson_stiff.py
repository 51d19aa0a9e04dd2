r"""The Robertson-Stiff law: a power law whose rate starts from one of its own.

It is written with its yield stress: the rate that is added is (τ_y/K)^(1/n), and without a yield stress the law is a power law.
With :math:`x = \ln(\tau_w/\tau_y)/n` and m = 3n + 1 the flow through a tube is

.. math:: \dot\gamma_a = \tfrac43\,\dot\gamma_w \left(1 - \frac{1 - e^{-mx}}{m\,(1 - e^{-x})}\right),

Weissenberg and Rabinowitsch's integral over the rate. Derived for this package; the tests hold it to quadrature.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from .base import FlowLaw, parameter
from .bingham import Bingham
from .plain import TAPER
from .power_law import PowerLaw
from .starts import INDICES, LEAST, nonnegative

NEAR = 1.0  # of m x: below it a difference loses digits, and eight nodes are exact to rounding
FAR = 700.0  # of x: e^-x is nothing beyond
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
NODES, WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2


@dataclass(frozen=True, eq=False)
class RobertsonStiff(FlowLaw):
    """τ = K (γ̇ + γ̇_0)ⁿ with γ̇_0 = (τ_y/K)^(1/n) above yield; at rest below."""

    name = "Robertson-Stiff"
    source = "Robertson and Stiff, Society of Petroleum Engineers Journal 16 (1976) 31 (from memory)"
    example = Example(
        given=TAPER
        | {
            "yield_stress": 330.0,
            "consistency": 110.0,
            "flow_index": 0.5,
            "shear_rate": 16.0,
            "wall_shear_stress": 660.0,
        },
        expected={
            "shear_stress": 550.0,
            "apparent_shear_rate": 17.4,
            "cone_stress_integral": 628.816874,
            "stretching_stress": 688.13086,
        },
        source=(
            "by hand: 110*(16 + (330/110)^2)^0.5 = 110*5; 4/660^3 int t^2 ((t/110)^2 - 9) dt from 330 to 660 = 4*[0.2*(36 - 9/8) - 9*(7/8)/3]; "
            "cone and stretching by quadrature in 18 digits: "
            "int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    consistency: Numbers = parameter("K", "Pa·sⁿ", "stress at γ̇ + γ̇_0 = 1 1/s", logarithmic=True)
    flow_index: Numbers = parameter(
        "n", "-", "slope of ln τ against ln(γ̇ + γ̇_0)", low=0.02, high=5.0, widest=(0.0, np.inf)
    )

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        rate = np.asarray(shear_rate, float)
        stress = stress_at(rate, self.yield_stress, self.consistency, np.asarray(self.flow_index, float))
        return np.asarray(stress)[()]

    def _reach_of_stress(self, shear_stress):
        """Return x = ln(τ/τ_y)/n at and above yield: 0 there, infinite without a yield stress."""
        scale = np.where(shear_stress > 0, shear_stress, 1.0)
        above = np.clip((shear_stress - self.yield_stress) / scale, 0.0, 1.0)
        with np.errstate(divide="ignore"):
            return -np.log1p(-above) / self.flow_index

    def _reach_of_rate(self, shear_rate):
        """Return the same x = ln(1 + γ̇/γ̇_0) at a rate."""
        n = np.asarray(self.flow_index, float)
        with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
            over_yield = self.consistency * np.power(shear_rate, n) / np.asarray(self.yield_stress, float)
            return np.where(shear_rate > 0, np.log1p(over_yield ** (1 / n)), 0.0)

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        stress = np.maximum(np.asarray(shear_stress, float), 0.0)
        whole = (stress / self.consistency) ** (1 / np.asarray(self.flow_index))
        return np.where(stress > self.yield_stress, -whole * np.expm1(-self._reach_of_stress(stress)), 0.0)[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        x = self._reach_of_rate(np.asarray(shear_rate, float))
        seen = x > 0
        x = np.where(seen, x, 1.0)
        return np.where(seen, self.flow_index * np.expm1(-x) / np.expm1(-x * self.flow_index), 1.0)[()]

    def flow_at_wall_rate(self, wall_shear_rate: ArrayLike) -> tuple[Numbers, Numbers]:  # noqa: D102
        rate = np.asarray(wall_shear_rate, float)
        moving = moving_share(self._reach_of_rate(rate), 3 * np.asarray(self.flow_index, float) + 1)
        return (4 / 3 * rate * moving)[()], self.shear_stress(rate)

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if (power := PowerLaw.holding(smaller)) is not None:
            return {"yield_stress": 0.0, **power}
        if type(smaller) is Bingham:
            return {
                "yield_stress": smaller.yield_stress,
                "consistency": smaller.plastic_viscosity,
                "flow_index": 1.0,
            }
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the best of a few flow indices: τ^(1/n) is a straight line over the rate."""
        rate, stress = PowerLaw.positive(shear_rate, shear_stress)
        size = np.max(stress)
        tried = []
        for n in INDICES:
            (slope, offset), missed = nonnegative([rate, np.ones(len(rate))], (stress / size) ** (1 / n))
            tried.append((missed * n**2, size * offset**n, size * slope**n, n))
        _, tau_y, consistency, n = min(tried)
        return cls(float(tau_y), float(max(consistency, LEAST * np.min(stress / rate**n))), float(n))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return PowerLaw.factors(values, shear_rate)

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the share of the yield stress in the stress at the slowest rate, the ln of this, and the flow index."""
        slow = stress_at(rates[0], *(np.asarray(values[name], float) for name in cls.parameters()))
        return [values["yield_stress"] / slow, np.log(slow), values["flow_index"]]

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the parameter values; NaN for a share that is none."""
        share, slow, n = coordinates[0], np.exp(coordinates[1]), coordinates[2]
        consistency = slow * ((1 - share ** (1 / n)) / rates[0]) ** n
        return {"yield_stress": share * slow, "consistency": consistency, "flow_index": n}


def stress_at(shear_rate: Numbers, yield_stress: Numbers, consistency: Numbers, n: Numbers) -> Numbers:
    """Return (τ_y^(1/n) + K^(1/n) γ̇)ⁿ, the larger taken out, so that no power overflows."""
    viscous = consistency * np.power(shear_rate, n)
    most, least = np.maximum(viscous, yield_stress), np.minimum(viscous, yield_stress)
    share = least / np.where(most > 0, most, 1.0)
    return most * np.exp(n * np.log1p(share ** (1 / n)))


def moving_share(x: np.ndarray, m: np.ndarray) -> np.ndarray:
    """Return 1 - (1 - e^-mx)/(m (1 - e^-x)): 0 at x = 0, 1 - 1/m far from yield."""
    x, m = np.broadcast_arrays(x, m)
    seen = x > 0
    x = np.where(seen, np.minimum(x, FAR), 1.0)
    share = 1 - np.expm1(-m * x) / (m * np.expm1(-x))
    near = m * x < NEAR
    if near.any():
        s = np.where(near, x, 0.0)[..., None] * NODES
        between = np.sum(WEIGHTS * np.exp(-s) * -np.expm1(-(m - 1)[..., None] * s), -1)  # e^-s - e^-ms
        share = np.where(near, between * x / -np.expm1(-x), share)
    return np.where(seen, share, 0.0)
