r"""The Casson law: a straight line of root stress against root rate.

With :math:`t = \sqrt{\tau_w/\tau_y} - 1` the flow through a tube is :math:`32Q/\pi D^3 = (8\tau_y/\mu_p)\,\Gamma`,

.. math:: \Gamma = \frac{t^3 P(t)}{(1+t)^6}, \qquad P = \sum_{k=0}^{5} \binom{5}{k} \frac{t^k}{k+3},

which is the integral of :math:`\tau^2\dot\gamma` over the stress, a polynomial with positive coefficients: nothing cancels near the plug
limit. ln Γ has a slope between 2 and 3 in ln t. As Γ goes with R^-3 at a fixed flow, the same t carries the integral
over the radius of a cone. Derived for this package; the tests hold it to quadrature over the stress alone.
"""

import math
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike

from ..checking import Example
from ..hints import Numbers
from . import tube
from .base import FlowLaw, parameter
from .blocks import by_blocks
from .newtonian import Newtonian
from .plain import TAPER

COEFFICIENTS = np.array([math.comb(5, k) / (k + 3) for k in range(6)])  # of P, the constant first
ROOTS = np.polynomial.polynomial.polyroots(COEFFICIENTS)
VISCOUS = 1e-34  # below this share of the wall stress not even the root of the yield stress has a digit left
NEAR_CYLINDER = 1e-2  # below this ln(R_in/R_out) the closed form loses digits, and three nodes are exact to rounding


@dataclass(frozen=True, eq=False)
class Casson(FlowLaw):
    """√τ = √τ_y + √(μ_p γ̇) above yield; at rest below."""

    name = "Casson"
    source = "Casson, in Mill (ed.), Rheology of Disperse Systems, Pergamon (1959) 84"
    example = (
        Example(
            given=TAPER
            | {"yield_stress": 290.0, "plastic_viscosity": 3.5, "shear_rate": 7.0, "wall_shear_stress": 1160.0},
            expected={
                "shear_stress": 483.082324,
                "apparent_shear_rate": 63.0676020,
                "cone_stress_integral": 683.285010,
                "stretching_stress": 981.255952,
            },
            source=(
                "by hand: (sqrt(290) + sqrt(3.5*7))^2; 4/1160^3 int t^2 (sqrt(t) - sqrt(290))^2/3.5 dt from 290 to 1160 = "
                "290/3.5/16*[255/4 - 2*127/3.5 + 63/3]; "
                "cone and stretching by quadrature in 18 digits: int tau_w dR/R, and 2 sqrt3 int [tau(2 sqrt3 Q/pi R^3) - tau_y] dR/R"
            ),
        ),
    )

    yield_stress: Numbers = parameter("τ_y", "Pa", "stress below which it does not flow")
    plastic_viscosity: Numbers = parameter("μ_p", "Pa·s", "square of the slope of √τ against √γ̇", logarithmic=True)

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        viscous = np.multiply(self.plastic_viscosity, np.asarray(shear_rate, float))
        return (self.yield_stress + viscous + 2 * np.sqrt(self.yield_stress * viscous))[()]

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:  # noqa: D102
        tau, tau_y = np.maximum(np.asarray(shear_stress, float), 0.0), np.asarray(self.yield_stress, float)
        root = np.sqrt(tau) + np.sqrt(tau_y)
        excess = np.maximum(tau - tau_y, 0.0) / np.where(root > 0, root, 1.0)  # √τ - √τ_y without lost digits
        return (excess**2 / self.plastic_viscosity)[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        viscous = np.sqrt(np.multiply(self.plastic_viscosity, np.asarray(shear_rate, float)))
        plastic = np.sqrt(self.yield_stress)
        whole = viscous + 2 * plastic
        return np.where(whole > 0, (viscous + plastic) / np.where(whole > 0, whole, 1.0), 1.0)[()]

    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:
        """Return 32Q/πD³ [1/s] at a wall shear stress [Pa], with every digit it has above the yield stress."""
        tau_w, tau_y = np.broadcast_arrays(np.maximum(wall_shear_stress, 0.0), np.asarray(self.yield_stress, float))
        wall = np.sqrt(np.where(tau_w > 0, tau_w, 1.0))
        a = np.minimum(np.sqrt(tau_y) / wall, 1.0)  # plug, as a share of √τ_w
        z = np.maximum(tau_w - tau_y, 0.0) / (wall**2 * (1 + a))
        series = sum(c * a ** (5 - k) * z**k for k, c in enumerate(COEFFICIENTS))
        return (8 * tau_w / self.plastic_viscosity * z**3 * series)[()]

    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return by_blocks(wall_stress, apparent_shear_rate, self.yield_stress, self.plastic_viscosity)[()]

    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        values = self.yield_stress, self.plastic_viscosity
        return by_blocks(cone, flow_rate, inlet_radius, outlet_radius, *values)[()]

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:
        """Return the viscous stretching term [Pa]: above yield the law is the sum of two power laws."""
        ends = flow_rate, inlet_radius, outlet_radius
        mixed = 2 * np.sqrt(np.multiply(self.yield_stress, self.plastic_viscosity))
        return (tube.power_stretching(*ends, self.plastic_viscosity, 1.0) + tube.power_stretching(*ends, mixed, 0.5))[
            ()
        ]

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:  # noqa: D102
        if type(smaller) is Newtonian:
            return {"yield_stress": 0.0, "plastic_viscosity": smaller.viscosity}
        return super().holding(smaller)

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the straight line of root stress against root rate, kept above zero at both ends."""
        rate, stress = np.sqrt(np.maximum(shear_rate, 0.0)), np.sqrt(np.maximum(np.asarray(shear_stress, float), 0.0))
        slope = np.polyfit(rate, stress, 1)[0] if np.ptp(rate) > 0 else 0.0
        slope = max(slope, 1e-3 * np.mean(stress) / max(np.mean(rate), 1e-12))
        return cls(float(max(np.mean(stress) - slope * np.mean(rate), 0.1 * np.min(stress)) ** 2), float(slope**2))

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return {"plastic_viscosity": shear_rate}


def solve(ln_gamma: ArrayLike) -> np.ndarray:
    """Return t at which ln Γ takes a value, to rounding error: four of Newton's steps in ln t from the larger asymptote."""
    x = np.maximum((ln_gamma + np.log(3)) / 3, (ln_gamma + np.log(8)) / 2)
    for _ in range(4):
        t = np.exp(x)
        polynomial, steepness = np.zeros_like(t), np.zeros_like(t)
        for k in range(5, -1, -1):
            polynomial = polynomial * t + COEFFICIENTS[k]
            steepness = steepness * t + k * COEFFICIENTS[k]  # t P'
        miss = 3 * x + np.log(polynomial) - 6 * np.log1p(t) - ln_gamma
        x = x - miss / (3 + steepness / polynomial - 6 * t / (1 + t))
    return np.exp(x)


def plastic_flow(
    apparent_shear_rate: Numbers, yield_stress: Numbers, viscosity: Numbers
) -> tuple[np.ndarray, np.ndarray]:
    """Return (ln Γ, where the yield stress still shows beside the viscous stress); ln Γ is 0 where it does not."""
    viscous = viscosity * np.maximum(apparent_shear_rate, tube.NO_FLOW)
    plastic = yield_stress > VISCOUS * viscous
    return np.where(plastic, np.log(viscous / 8) - np.log(np.where(plastic, yield_stress, viscous / 8)), 0.0), plastic


def wall_stress(apparent_shear_rate: Numbers, yield_stress: Numbers, viscosity: Numbers) -> np.ndarray:
    """Return the wall stress in a tube; the yield stress itself where nothing flows."""
    ln_gamma, plastic = plastic_flow(apparent_shear_rate, yield_stress, viscosity)
    t = solve(ln_gamma)
    stress = np.where(plastic, yield_stress + yield_stress * t * (2 + t), viscosity * apparent_shear_rate)
    return np.where(np.greater(apparent_shear_rate, 0), stress, yield_stress)


def antiderivative(t: Numbers) -> np.ndarray:
    """Return G(t) with ∫ τ_w d ln Γ = τ_y G: 3 ln t + t² + ... + Σ (1+r)² ln(t - r) over the roots r of P."""
    total = 3 * np.log(t) + t * (t + 10 + np.sum(ROOTS).real)
    for root in ROOTS:
        if root.imag >= 0:  # the other of each pair is its mirror image
            total = total + (1 + (root.imag > 0)) * ((1 + root) ** 2 * np.log(t - root)).real
    return total


def cone(
    flow_rate: Numbers,
    inlet_radius: Numbers,
    outlet_radius: Numbers,
    yield_stress: Numbers,
    viscosity: Numbers,
) -> np.ndarray:
    """Return ∫ τ_w d ln R between two radii, without a seam at the cylinder, at no yield stress or at no flow."""
    log_ratio = np.log1p((inlet_radius - outlet_radius) / outlet_radius)
    outlet = 4 * flow_rate / (np.pi * outlet_radius**3)
    ln_gamma, plastic = plastic_flow(outlet, yield_stress, viscosity)
    out = yield_stress / 3 * (antiderivative(solve(ln_gamma)) - antiderivative(solve(ln_gamma - 3 * log_ratio)))
    out = np.where(plastic, out, tube.power_cone(flow_rate, inlet_radius, log_ratio, viscosity, 1.0))
    near = log_ratio < NEAR_CYLINDER
    if near.any():
        out = np.where(near, tube.nearly_cylinder(log_ratio, outlet, wall_stress, (yield_stress, viscosity)), out)
    return np.where(np.greater(flow_rate, 0), out, yield_stress * log_ratio)
