"""A line that bridges the gap between two supports."""

import numpy as np

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive
from ...laws.criterion import UNIAXIAL
from ...units import STANDARD_GRAVITY as GRAVITY

SPAN_STIFFNESS = 1.4
"""Least G/(ρ g D (L/D)⁴) of a bridge that sags by less than D/20 [-]; the beam gives 25/18 = 1.389."""


@guarded
def stiff_span(modulus: Numbers, density: Numbers, diameter: Numbers) -> Numbers:
    """Return the span [m] over which a line sags by a twentieth of its diameter.

    L = D (E/(3 · 1.4 ρ g D))^(1/4), from Young's modulus [Pa], density [kg/m3] and diameter [m]. Smay, Cesarano and
    Lewis, Langmuir 18 (2002) 5429 (from memory): G ≥ 1.4 ρ g s⁴ D; a simply supported beam with E = 3 G gives 1.389.
    """
    positive("stiff_span", modulus=modulus, density=density, diameter=diameter)
    return diameter * np.power(np.divide(modulus, 3 * SPAN_STIFFNESS * GRAVITY * np.multiply(density, diameter)), 0.25)


@guarded
def strong_span(static_yield_stress: Numbers, density: Numbers, diameter: Numbers) -> Numbers:
    """Return the span [m] at which a line first yields by bending.

    L = (√3 τ_ys D/(ρ g))^(1/2), from static yield stress [Pa], density [kg/m3] and diameter [m]: the outer fibre of a
    simply supported round beam under its own weight, M = ρ g A L²/8 against σ π D³/32.
    """
    not_negative("strong_span", static_yield_stress=static_yield_stress)
    positive("strong_span", density=density, diameter=diameter)
    return np.sqrt(UNIAXIAL / GRAVITY * np.multiply(static_yield_stress, diameter) / density)


@guarded
def greatest_span(modulus: Numbers, static_yield_stress: Numbers, density: Numbers, diameter: Numbers) -> Numbers:
    """Return the longest bridge that a line spans between two supports.

    Parameters
    ----------
    modulus : float or array-like
        Young's modulus, three times the shear modulus. [Pa]
    static_yield_stress : float or array-like
        [Pa]
    density : float or array-like
        [kg/m3]
    diameter : float or array-like
        Of the line, about that of the bore. [m]

    Returns
    -------
    span : float or ndarray
        The smaller of `stiff_span` and `strong_span`; how far the paste stretches before it tears is not judged. [m]
    """
    return np.minimum(stiff_span(modulus, density, diameter), strong_span(static_yield_stress, density, diameter))
