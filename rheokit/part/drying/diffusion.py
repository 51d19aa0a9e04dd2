"""Water held inside a wall by diffusion, and how unevenly the wall dries."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require
from ...roots import increasing_root

SERIES_FROM, TERMS = 0.05, 7  # of the slab series; at smaller Fourier numbers the half-space form is exact to 1e-9


@guarded
def slab_average(fourier_number: ArrayLike) -> Numbers:
    """Return the share of the water still in a slab that dries from both faces by diffusion.

    Parameters
    ----------
    fourier_number : float or array-like
        D t/b², b half the thickness. [-]

    Returns
    -------
    share : float or ndarray
        (u - u_e)/(u_0 - u_e), the mean over the slab. [-]

    Notes
    -----
    8/π² Σ exp(-(2k+1)² π² Fo/4)/(2k+1)²; below Fo = 0.05 the equal half-space form 1 - 2 (Fo/π)^(1/2). The surface is
    at equilibrium from the start: diffusion alone holds the water. J. Crank, The Mathematics of Diffusion, sec. 4.3
    (from memory).
    """
    fourier_number = np.asarray(fourier_number, float)
    require("slab_average", "fourier_number", fourier_number, fourier_number >= 0, "must not be negative")
    odd = 2 * np.arange(TERMS) + 1
    late = np.exp(-(np.pi**2) / 4 * odd**2 * np.maximum(fourier_number, SERIES_FROM)[..., None]) / odd**2
    series = 8 / np.pi**2 * late.sum(axis=-1)
    return np.where(fourier_number < SERIES_FROM, 1 - 2 * np.sqrt(fourier_number / np.pi), series)[()]


@guarded
def slab_time(remaining: ArrayLike, diffusivity: ArrayLike, half_thickness: ArrayLike) -> Numbers:
    """Return the time [s] in which diffusion leaves a share [-] of the water in a slab drying from both faces.

    Parameters
    ----------
    remaining : float or array-like
        (u - u_e)/(u_0 - u_e), above 0 and at most 1. [-]
    diffusivity : float or array-like
        [m2/s]
    half_thickness : float or array-like
        [m]

    Returns
    -------
    time : float or ndarray
        The inverse of `slab_average`. [s]
    """
    remaining = np.asarray(remaining, float)
    require("slab_time", "remaining", remaining, (remaining > 0) & (remaining <= 1), "must be above 0 and at most 1")
    positive("slab_time", diffusivity=diffusivity, half_thickness=half_thickness)
    early = np.pi / 4 * (1 - remaining) ** 2
    start = np.maximum(-4 / np.pi**2 * np.log(remaining * np.pi**2 / 8), SERIES_FROM)
    late = increasing_root(lambda fo: np.log(remaining / slab_average(np.maximum(fo, 0))), start, 0.1, 1e-12)
    return np.where(early < SERIES_FROM, early, late)[()] * np.square(half_thickness) / diffusivity


@guarded
def crack_index(
    drying_flux: ArrayLike, half_thickness: ArrayLike, dry_density: ArrayLike, diffusivity: ArrayLike
) -> Numbers:
    """Return an index of how unevenly a wall dries.

    Parameters
    ----------
    drying_flux : float or array-like
        [kg/(m2 s)]
    half_thickness : float or array-like
        Half the wall where both faces dry, else all of it. [m]
    dry_density : float or array-like
        [kg/m3]
    diffusivity : float or array-like
        Of moisture in the paste. [m2/s]

    Returns
    -------
    index : float or ndarray
        j b/(ρ_d D_e): twice the water content's difference between middle and face at constant rate. [-]

    Notes
    -----
    An index to calibrate, not a prediction: print walls of growing thickness, and note above which of their indices
    they crack. No value of it is safe for every paste. Keep it small by a cover and thin, even walls.
    """
    where = "crack_index"
    not_negative(where, drying_flux=drying_flux)
    positive(where, half_thickness=half_thickness, dry_density=dry_density, diffusivity=diffusivity)
    return np.multiply(drying_flux, half_thickness) / np.multiply(dry_density, diffusivity)
