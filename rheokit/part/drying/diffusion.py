"""What diffusion lets in and out of a wall and of a fibre, and how unevenly a wall dries."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require
from ...roots import increasing_root

SERIES_FROM, TERMS = 0.05, 7  # of the slab series; at smaller Fourier numbers the half-space form is exact to 1e-9
CYLINDER_FROM = 0.02  # of the cylinder's; at smaller Fourier numbers six terms of the other series are good to 3e-7
BESSEL_ZEROS = np.array(
    [
        *(2.404825557696, 5.520078110286, 8.653727912911, 11.791534439014, 14.930917708488, 18.071063967911),
        *(21.211636629879, 24.352471530749, 27.493479132040, 30.634606468432, 33.775820213574, 36.917098353664),
    ]
)
"""Of J_0 [-]; DLMF 10.21, as scipy computes them (a test says so)."""


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
def cylinder_uptake(fourier_number: ArrayLike) -> Numbers:
    """Return the share of an exchange by diffusion that a long cylinder has done.

    Parameters
    ----------
    fourier_number : float or array-like
        Diffusivity times time over the square of the radius. [-]

    Returns
    -------
    uptake : float or ndarray
        Mean over the section; 0 at the start, 1 in the end. [-]

    Notes
    -----
    1 - Σ 4/j_k² exp(-j_k² Fo), j_k the zeros of J_0; below Fo = 0.02 the series for short times
    4 (Fo/π)^(1/2) - Fo - Fo^(3/2)/(3 π^(1/2)) - Fo²/8 (J. Crank, The Mathematics of Diffusion, ch. 5, from memory)
    with its next two terms, -5 Fo^(5/2)/(24 π^(1/2)) - 13 Fo³/96, which follow from the known series of I_1/I_0. The surface
    is at equilibrium from the start.
    """
    fourier_number = np.asarray(fourier_number, float)
    require("cylinder_uptake", "fourier_number", fourier_number, fourier_number >= 0, "must not be negative")
    squares = BESSEL_ZEROS**2
    late = 1 - np.exp(-squares * np.maximum(fourier_number, CYLINDER_FROM)[..., None]) @ (4 / squares)
    short = np.minimum(fourier_number, CYLINDER_FROM)
    odd = np.sqrt(short / np.pi) * (4 - short / 3 - 5 / 24 * short**2)
    early = odd - short - short**2 / 8 - 13 / 96 * short**3
    return np.where(fourier_number < CYLINDER_FROM, early, late)[()]


@guarded
def cylinder_fourier(uptake: ArrayLike) -> Numbers:
    """Return the Fourier number [-] at which a long cylinder has done a share [-] of an exchange by diffusion.

    Parameters
    ----------
    uptake : float or array-like
        At least 0, below 1. [-]

    Returns
    -------
    fourier_number : float or ndarray
        The inverse of `cylinder_uptake`. [-]
    """
    uptake = np.asarray(uptake, float)
    require("cylinder_fourier", "uptake", uptake, (uptake >= 0) & (uptake < 1), "must be at least 0 and below 1")
    slowest = BESSEL_ZEROS[0] ** 2
    start = np.maximum(np.pi * uptake**2 / 16, np.log(4 / slowest / (1 - uptake)) / slowest)
    wanted = -np.log1p(-uptake)
    found = increasing_root(lambda fo: -np.log1p(-cylinder_uptake(np.maximum(fo, 0))) - wanted, start, 0.05, 1e-13)
    return np.where(uptake > 0, found, 0.0)[()]


@guarded(diameter="thread_diameter")
def exchange_time(uptake: ArrayLike, *, diameter: ArrayLike, diffusivity: ArrayLike) -> Numbers:
    """Return how long a wet fibre must lie in a liquid that it exchanges with.

    Parameters
    ----------
    uptake : float or array-like
        Share of the exchange wanted, below 1. [-]
    diameter : float or array-like
        Of the wet fibre. [m]
    diffusivity : float or array-like
        Of what is exchanged, in the gel: about 5e-10. [m2/s]

    Returns
    -------
    time : float or ndarray
        Mostly 10 to 30 s: on the drum, and not on the way through a bath. [s]

    Notes
    -----
    `cylinder_fourier` times the square of the radius over the diffusivity: the liquid outside stays as it is, and
    swelling or shrinkage meanwhile is left out.
    """
    positive("exchange_time", {"diameter": "thread_diameter"}, diameter=diameter, diffusivity=diffusivity)
    return np.divide(cylinder_fourier(uptake) * np.square(diameter) / 4, diffusivity)


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
