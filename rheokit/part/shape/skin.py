"""Skins and drainage: what becomes of the water of a line that waits."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require

KOZENY_CARMAN = 180.0
"""Kozeny-Carman constant of a packed bed [-]."""


@guarded
def skin_time(diffusivity: Numbers, skin_loss: Numbers, dry_density: Numbers, drying_flux: Numbers) -> Numbers:
    """Return the time after which the next layer no longer sticks.

    Parameters
    ----------
    diffusivity : float or array-like
        Of moisture in the paste, 1e-10 to 1e-9. [m2/s]
    skin_loss : float or array-like
        Fall of the water content at the surface that ends adhesion, from a touch test. [-]
    dry_density : float or array-like
        Dry mass over wet volume. [kg/m3]
    drying_flux : float or array-like
        Water lost from the surface. [kg/(m2 s)]

    Returns
    -------
    time : float or ndarray
        π D (Δu ρ_d/(2 j))²; infinite without drying. [s]

    Notes
    -----
    Constant flux from a half-space, whose surface falls by 2 (j/ρ_d) (t/(π D))^(1/2) (J. Crank, The Mathematics of
    Diffusion, from memory). Good while the dried skin is thin against the wall.
    """
    positive("skin_time", diffusivity=diffusivity, skin_loss=skin_loss, dry_density=dry_density)
    not_negative("skin_time", drying_flux=drying_flux)
    with np.errstate(divide="ignore"):
        return np.pi * diffusivity * np.square(np.multiply(skin_loss, dry_density) / np.multiply(2.0, drying_flux))


@guarded
def drainage_speed(
    porosity: ArrayLike, grain_diameter: ArrayLike, liquid_viscosity: ArrayLike, pressure: ArrayLike, length: ArrayLike
) -> Numbers:
    """Return the speed at which the liquid runs through the grains ahead of them.

    Parameters
    ----------
    porosity : float or array-like
        Volume share of liquid (not the void ratio of soil mechanics). [-]
    grain_diameter : float or array-like
        Surface-mean diameter, d_32. [m]
    liquid_viscosity : float or array-like
        Of the liquid between the grains, at low rate. [Pa·s]
    pressure : float or array-like
        Lost by the liquid; the whole pressure is its upper bound. [Pa]
    length : float or array-like
        Of the paste. [m]

    Returns
    -------
    speed : float or ndarray
        (k/μ) Δp/L with k = ε³ d²/(180 (1 - ε)²), Darcy and Kozeny-Carman (from memory); an order of magnitude, within
        a factor of 5. [m/s]
    """
    positive("drainage_speed", porosity=porosity, grain_diameter=grain_diameter, liquid_viscosity=liquid_viscosity)
    positive("drainage_speed", length=length)
    not_negative("drainage_speed", pressure=pressure)
    require("drainage_speed", "porosity", porosity, np.less(porosity, 1), "must be below 1: a paste has grains")
    solid = np.subtract(1.0, porosity)
    permeability = np.power(porosity, 3) * np.square(grain_diameter) / (KOZENY_CARMAN * np.square(solid))
    return permeability * np.divide(pressure, np.multiply(liquid_viscosity, length))
