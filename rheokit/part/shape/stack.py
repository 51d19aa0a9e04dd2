"""A stack of layers: how high it grows before its foot yields, and how fast it may."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require
from ...laws.criterion import UNIAXIAL
from ...units import STANDARD_GRAVITY as GRAVITY


@guarded
def plastic_height(
    static_yield_stress: ArrayLike,
    density: ArrayLike,
    *,
    build_up_rate: ArrayLike = 0.0,
    build_up_time: ArrayLike = 0.0,
    rise_speed: ArrayLike = np.inf,
    stack_factor: ArrayLike = UNIAXIAL,
) -> Numbers:
    """Return the height at which the lowest layer yields under what stands on it.

    Parameters
    ----------
    static_yield_stress : float or array-like
        When the layer is laid. [Pa]
    density : float or array-like
        [kg/m3]
    build_up_rate : float or array-like
        Growth of the static yield stress at rest. [Pa/s]
    build_up_time : float or array-like
        Longest rest over which that growth was measured: no strength is counted beyond it. [s]
    rise_speed : float or array-like
        At which the part grows; infinite: all at once, without ageing. [m/s]
    stack_factor : float or array-like
        √3 for rings and columns, 2 for a long straight wall. [-]

    Returns
    -------
    height : float or ndarray
        Always finite. [m]

    Notes
    -----
    ρ g H ≤ k (τ_ys + A min(H/v, t_b)): load and strength at the age of the foot. Below its yield stress a paste still
    creeps, so a tall part may sag later. Roussel, Cement and Concrete Research 112 (2018) 76 (from memory), with a
    saturation.
    """
    not_negative(
        "plastic_height",
        static_yield_stress=static_yield_stress,
        build_up_rate=build_up_rate,
        build_up_time=build_up_time,
    )
    positive("plastic_height", density=density, stack_factor=stack_factor)
    require("plastic_height", "rise_speed", rise_speed, np.greater(rise_speed, 0), "must be above 0; inf: all at once")
    weight = np.multiply(density, GRAVITY / np.asarray(stack_factor, float))
    at_rest = np.divide(np.add(static_yield_stress, np.multiply(build_up_rate, build_up_time)), weight)
    excess = weight - np.divide(build_up_rate, rise_speed)  # load of a metre more, less its growth
    growing = np.where(excess > 0, static_yield_stress / np.where(excess > 0, excess, 1.0), np.inf)
    return np.minimum(growing, at_rest)[()]


@guarded(endless=("height",))
def greatest_rise_speed(
    height: ArrayLike,
    static_yield_stress: ArrayLike,
    density: ArrayLike,
    *,
    build_up_rate: ArrayLike,
    build_up_time: ArrayLike = np.inf,
    stack_factor: ArrayLike = UNIAXIAL,
) -> Numbers:
    """Return the greatest speed [m/s] at which a part may grow to a height [m] without its foot yielding.

    The other side of `plastic_height`, with its arguments: infinite where no ageing is needed, 0 where no speed will
    do. Of an infinite height with strength that grows for ever it is the speed below which strength outruns the load.
    """
    not_negative("greatest_rise_speed", static_yield_stress=static_yield_stress, build_up_rate=build_up_rate)
    positive("greatest_rise_speed", density=density, stack_factor=stack_factor)
    require("greatest_rise_speed", "height", height, np.greater(height, 0), "must be above 0")
    lasts = np.greater_equal(build_up_time, 0)
    require("greatest_rise_speed", "build_up_time", build_up_time, lasts, "must not be negative; inf: it never ends")
    weight = np.multiply(density, GRAVITY / np.asarray(stack_factor, float))
    missing = weight - np.divide(static_yield_stress, height)
    speed = np.where(missing > 0, build_up_rate / np.where(missing > 0, missing, 1.0), np.inf)
    with np.errstate(invalid="ignore"):
        grown = np.where(np.equal(build_up_rate, 0), 0.0, np.multiply(build_up_rate, build_up_time))
    enough = np.add(static_yield_stress, grown) >= np.multiply(weight, height)
    return np.where(enough | np.isinf(grown), speed, 0.0)[()]
