"""The Casson law: a straight line of root stress against root rate."""

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from .base import FlowLaw, parameter


@dataclass(frozen=True, eq=False)
class Casson(FlowLaw):
    """√τ = √τ_y + √(μ_p γ̇) above yield; at rest below."""

    name: ClassVar[str] = "Casson"
    source: ClassVar[str] = "Casson, in Mill (ed.), Rheology of Disperse Systems, Pergamon (1959) 84"

    yield_stress: float = parameter("τ_y", "Pa", "stress below which it does not flow")
    plastic_viscosity: float = parameter("μ_p", "Pa·s", "square of the slope of √τ against √γ̇", logarithmic=True)

    def shear_stress(self, shear_rate):  # noqa: D102
        viscous = np.multiply(self.plastic_viscosity, np.asarray(shear_rate, float))
        return (self.yield_stress + viscous + 2 * np.sqrt(self.yield_stress * viscous))[()]

    def shear_rate(self, shear_stress):  # noqa: D102
        tau, tau_y = np.maximum(np.asarray(shear_stress, float), 0.0), np.asarray(self.yield_stress, float)
        root = np.sqrt(tau) + np.sqrt(tau_y)
        excess = np.maximum(tau - tau_y, 0.0) / np.where(root > 0, root, 1.0)  # √τ - √τ_y without lost digits
        return (excess**2 / self.plastic_viscosity)[()]

    def local_index(self, shear_rate):  # noqa: D102
        viscous = np.multiply(self.plastic_viscosity, np.asarray(shear_rate, float))
        mixed = np.sqrt(self.yield_stress * viscous)
        return ((viscous + mixed) / (viscous + 2 * mixed))[()]

    def apparent_shear_rate(self, wall_shear_stress):
        """Return 32Q/πD³ [1/s] at a wall shear stress [Pa].

        With s = √τ = √τ_y + z the flow integral is 8/(μ_p τ_w³) ∫ s⁵ z² dz: a polynomial in z with positive
        coefficients, so nothing cancels near the plug limit.
        """
        tau_w, tau_y = np.broadcast_arrays(np.maximum(wall_shear_stress, 0.0), np.asarray(self.yield_stress, float))
        wall = np.sqrt(np.where(tau_w > 0, tau_w, 1.0))
        a = np.minimum(np.sqrt(tau_y) / wall, 1.0)  # plug, as a share of √τ_w
        z = np.maximum(tau_w - tau_y, 0.0) / (wall**2 * (1 + a))
        series = sum(math.comb(5, k) * a ** (5 - k) * z**k / (k + 3) for k in range(6))
        return (8 * tau_w / self.plastic_viscosity * z**3 * series)[()]

    @classmethod
    def guess(cls, shear_rate, shear_stress):
        """Return the straight line of root stress against root rate, kept above zero at both ends."""
        rate, stress = np.sqrt(np.maximum(shear_rate, 0.0)), np.sqrt(np.maximum(np.asarray(shear_stress, float), 0.0))
        slope = np.polyfit(rate, stress, 1)[0] if np.ptp(rate) > 0 else 0.0
        slope = max(slope, 1e-3 * np.mean(stress) / max(np.mean(rate), 1e-12))
        return cls(float(max(np.mean(stress) - slope * np.mean(rate), 0.1 * np.min(stress)) ** 2), float(slope**2))

    @classmethod
    def viscous_scale(cls, values, shear_rate):  # noqa: D102
        return shear_rate
