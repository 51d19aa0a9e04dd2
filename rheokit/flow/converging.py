r"""What converging flow costs beyond shear flow: stretching and plastic work in tapers and steps.

With half angle α, ρ the diameter ratio, R and U radius and mean velocity at the narrow end, the excess over shear flow is

.. math:: 1.15\,\left(\tfrac{\alpha}{90°}\right)^{n^{0.35}} V\,(1 - \sin\alpha/\rho^3)
          + 0.65\,(1 + 0.55\,\alpha)\;2\sqrt3\,\tau_y \ln\rho,

V the viscous stretching stress of the law (Cogswell's form) and n its local index at the narrow end. An abrupt step has
α = 90° and no shear part of its own; the straight length in front of it runs to the step face.

The four coefficients were fitted to 360 finite-element cases of creeping axisymmetric flow computed for this project
(Newtonian, power law, Bingham and Herschel-Bulkley; 120 of them are held as tests); for any other law they are
extrapolated. Error of the excess, rms / max in %:
cones to 20° 1.3 / 3.9, 30-45° 2.6 / 6.3, 60° 2.8 / 6.8, abrupt 3.3 / 9.1; of a whole nozzle's pressure at most 1.4.
Fitted for n 0.2 to 1, Bingham number 0 to 100, ratio 2 to 24, angles to 60° and abrupt steps. Not in it: wall slip,
elasticity (a dough's extensional stress can be a hundred times its shear stress), inertia, rounded corners.
"""

import warnings
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from ..errors import ModelRangeWarning
from ..hints import Numbers
from ..laws.base import FlowLaw
from ..laws.criterion import UNIAXIAL
from ..laws.herschel_bulkley import HerschelBulkley
from ..nomenclature import number, with_decimals
from .budget import Part

MODEL = "converging flow, fitted to finite elements"
RIGHT_ANGLE = np.pi / 2
VISCOUS, OF_INDEX = (
    1.15,
    0.35,
)  # of the viscous stretching, and the power of the flow index that its angle goes with [-]
PLASTIC, OF_ANGLE = 0.65, 0.55  # of the plastic work, and what it grows by with the half angle [-, 1/rad]
FORMULA = (
    f"Δp = {VISCOUS:g} (α/(π/2))^(n^{OF_INDEX:g}) V (1 − sin α/ρ³) + {PLASTIC:g} (1 + {OF_ANGLE:g} α) 2√3 τ_y ln ρ, "
    "V = (2/(3n)) 3^((n+1)/2) K (2U/R)^n (1 − ρ^(−3n))"
)
"""The excess over shear flow, in print, for Herschel-Bulkley and its special cases."""
MEANT = (
    "α is the half angle in rad (π/2 at an abrupt step, which has no shear part of its own), ρ the wide over the narrow diameter, "
    "R and U radius and mean velocity Q/(πR²) at the narrow end, n the flow index (of another law its local index there, at the rate "
    "2√3 U/R, and V = 2√3 ∫ [τ(2√3 U/R) − τ_y] d ln R from narrow to wide)"
)
VERIFIED = (
    "Fitted to 360 finite-element cases of creeping flow computed for the project, 120 of them held as tests: n 0.2 to 1, Bingham "
    "number 0 to 100, ρ 2 to 24, α to 60° and abrupt steps. Largest error of the excess: 3.9 % in cones to 20°, 6.3 % at 30 to 45°, "
    "6.8 % at 60°, 9.1 % at an abrupt step; of the pressure of a whole nozzle 1.4 %. Not in it: wall slip, elasticity, inertia, rounded corners"
)
EXTRAPOLATED = 0.3
"""Error of the excess outside the range it was fitted for, 95 % either way [-]: several times the largest inside. Common practice, no source."""
WORTH_A_WORD = 0.01  # a part below this share of the pressure is not worth a warning


def plastic_factor(half_angle: Numbers, log_ratio: Numbers) -> Numbers:
    """Return the excess start pressure over τ_y [-] of a contraction with a half angle [rad] and ln of diameter ratio."""
    return PLASTIC * (1 + OF_ANGLE * half_angle) * 2 * UNIAXIAL * log_ratio


def excess_pressure(
    law: FlowLaw, flow_rate: ArrayLike, inlet_radius: ArrayLike, outlet_radius: ArrayLike, half_angle: ArrayLike
) -> Numbers:
    """Return the pressure that a contraction costs beyond its shear flow.

    Parameters
    ----------
    law : FlowLaw
    flow_rate : array-like
        Volume flow. [m3/s]
    inlet_radius, outlet_radius : array-like
        Radii at the wide and the narrow end. [m]
    half_angle : array-like
        Angle between axis and wall, π/2 for an abrupt step. [rad]

    Returns
    -------
    pressure_drop : float or ndarray
        Zero where the radii are equal. [Pa]

    Notes
    -----
    Valid for the ranges in the module's text; `warn_outside_range` says where a case leaves them.
    """
    flow, inlet, outlet, angle = (np.asarray(a, float) for a in (flow_rate, inlet_radius, outlet_radius, half_angle))
    log_ratio = np.log1p((inlet - outlet) / outlet)
    rate = UNIAXIAL * 2 * np.maximum(flow, 1e-250) / (np.pi * outlet**3)
    exponent = law.local_index(rate) ** OF_INDEX
    stretching = law.stretching_stress(flow, inlet, outlet) * (1 - np.sin(angle) * np.exp(-3 * log_ratio))
    viscous = VISCOUS * (angle / RIGHT_ANGLE) ** exponent * stretching
    return (viscous + plastic_factor(angle, log_ratio) * law.yield_stress)[()]


def converging_part(
    name: str, inlet_diameter: ArrayLike, outlet_diameter: ArrayLike, half_angle: Numbers = RIGHT_ANGLE
) -> Part:
    """Return what a contraction between two diameters [m], with a half angle [rad], adds to a budget."""
    inlet, outlet = np.asarray(inlet_diameter) / 2, np.asarray(outlet_diameter) / 2
    factor = plastic_factor(half_angle, np.log1p((inlet - outlet) / outlet))
    contraction = (inlet, outlet, half_angle)
    return Part(name, MODEL, lambda law, flow_rate: excess_pressure(law, flow_rate, *contraction), factor, contraction)


def outside_range(
    law: FlowLaw, flow_rate: ArrayLike, inlet_radius: ArrayLike, outlet_radius: ArrayLike, half_angle: ArrayLike
) -> list[str]:
    """Return in words how a contraction leaves the range the excess was fitted for; an empty list where it does not."""
    flow, inlet, outlet = (np.asarray(a, float) for a in (flow_rate, inlet_radius, outlet_radius))
    ratio, degrees = inlet / outlet, np.degrees(half_angle)
    rate = np.maximum(flow, 1e-250) / (np.pi * outlet**3)  # U/R, on which the set's Bingham number stands
    index = law.local_index(2 * UNIAXIAL * rate)
    viscous = np.maximum(law.shear_stress(rate) - law.yield_stress, 1e-300)
    bingham = np.where(flow > 0, law.yield_stress / viscous, 0.0)
    words = []
    if HerschelBulkley.holding(law.plain) is None:
        words.append(
            f"flow law {law.plain.name or type(law.plain).__name__} (fitted for Herschel-Bulkley and its special cases)"
        )
    for value, low, high, what in (
        (index, 0.2, 1.0, "flow index"),
        (bingham, 0.0, 100.0, "Bingham number"),
        (ratio, 2.0, 24.0, "diameter ratio"),
    ):
        worst = np.max(value) if np.max(value) > high else np.min(value)
        if not low * (1 - 1e-6) <= worst <= high * (1 + 1e-6):
            words.append(f"{what} {number(worst)} (fitted for {with_decimals(low)} to {with_decimals(high)})")
    if np.any((degrees > 60 * (1 + 1e-6)) & (degrees < 90)):
        words.append(f"half angle {np.max(degrees):.0f}° (fitted to 60° and for abrupt steps)")
    return words


def warn_outside_range(part: str, words: Sequence[str], stacklevel: int = 4) -> None:
    """Warn that a part of a nozzle is computed outside the fitted range."""
    if words:
        warnings.warn(
            f"converging flow in {part}: {'; '.join(words)}. The loss there is extrapolated: measure it with a die of "
            "next to no length, or keep the share of this part small.",
            ModelRangeWarning,
            stacklevel=stacklevel,
        )
