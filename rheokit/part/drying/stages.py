"""How long a part dries, at a constant and then at a falling rate, and what it weighs meanwhile."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ...brief import brief
from ...errors import DataError
from ...framed import framed
from ...hints import Numbers, Table
from ...inputs import guarded, not_negative, positive, require

POINTS = 30  # of the course of the falling rate
WITHIN = 2.0
"""Factor within which drying times hold [-]; common practice, no source."""


class DryingTimes(NamedTuple):
    """The time at a constant rate, with nearly all the shrinkage, and the time after it [s], both at the flux given.

    Under a cover both are longer: hold a part covered by its mass (`remaining_mass`), not by a time in open air.
    """

    constant_rate: Numbers
    falling_rate: Numbers

    def __repr__(self):
        return brief(self, constant_rate="time", falling_rate="time")

    @property
    def total(self) -> Numbers:
        """Both together [s]."""
        return self.constant_rate + self.falling_rate


@guarded
def drying_times(
    dry_mass: ArrayLike,
    area: ArrayLike,
    drying_flux: ArrayLike,
    *,
    start_water: ArrayLike,
    critical_water: ArrayLike,
    final_water: ArrayLike,
    equilibrium_water: ArrayLike,
) -> DryingTimes:
    """Return how long a part dries at a constant rate and then at a falling one.

    Parameters
    ----------
    dry_mass : float or array-like
        Of the part. [kg]
    area : float or array-like
        That meets the air. [m2]
    drying_flux : float or array-like
        While the surface is wet. [kg/(m2 s)]
    start_water, critical_water, final_water, equilibrium_water : float or array-like
        At the start, where the rate begins to fall, wanted at the end, and left by the air in the end. [-]

    Returns
    -------
    DryingTimes
        ``constant_rate`` and ``falling_rate`` [s], with their ``total``.

    Notes
    -----
    t_1 = m_d (u_0 - u_cr)/(j A); t_2 = m_d (u_cr - u_e)/(j A) ln[(u_cr - u_e)/(u_f - u_e)]: the rate falls in
    proportion to the water above equilibrium. Good within a factor of 2; a thick wall is held up by diffusion, see
    `slab_average`. Coulson and Richardson vol. 2 ch. 16; Geankoplis sec. 9.7.
    """
    where = "drying_times"
    positive(where, dry_mass=dry_mass, area=area, drying_flux=drying_flux, critical_water=critical_water)
    not_negative(where, start_water=start_water, final_water=final_water, equilibrium_water=equilibrium_water)
    reached, turns = np.greater(final_water, equilibrium_water), np.greater(critical_water, equilibrium_water)
    require(where, "final_water", final_water, reached, "is never reached: the air leaves more in the part")
    require(where, "final_water", final_water, np.less_equal(final_water, start_water), "is wetter than the start")
    require(where, "critical_water", critical_water, turns, "is drier than the air leaves the part")
    pace = np.divide(dry_mass, np.multiply(drying_flux, area))
    constant = pace * np.maximum(np.subtract(start_water, np.maximum(critical_water, final_water)), 0.0)
    above = np.subtract(critical_water, equilibrium_water)
    begins = np.minimum(start_water, critical_water) - equilibrium_water
    ends = np.minimum(final_water, critical_water) - equilibrium_water
    return DryingTimes(constant, pace * above * np.log(begins / ends))


def drying_course(
    times: DryingTimes, *, start_water: float, critical_water: float, final_water: float, equilibrium_water: float
) -> Table:
    """Return the water content against time, a DataFrame of time [s] and water [-].

    Parameters
    ----------
    times : DryingTimes
        As `drying_times` returned them for the same four water contents.
    start_water, critical_water, final_water, equilibrium_water : float
        Dry basis. [-]
    """
    if not final_water < start_water:
        raise DataError(
            f"drying_course: final_water = {final_water:g} is not drier than start_water = {start_water:g}."
        )
    turn = min(max(critical_water, final_water), start_water)
    first, after = float(times.constant_rate), float(times.falling_rate)
    time, water = np.array([0.0, first]), np.array([start_water, turn])
    if after > 0:
        above = np.geomspace(turn - equilibrium_water, final_water - equilibrium_water, POINTS)
        share = np.log(above[0] / above) / np.log(above[0] / above[-1])
        time = np.append(time, first + share[1:] * after)
        water = np.append(water, equilibrium_water + above[1:])
    return framed({"time": time, "water": water})


@guarded
def remaining_mass(water_content: ArrayLike, start_water: ArrayLike) -> Numbers:
    """Return the mass of a drying part over its mass at the start.

    What to cover a part by: it holds whatever the air and the cover do to the hours.

    Parameters
    ----------
    water_content, start_water : float or array-like
        Asked for, such as that at which shrinkage ends (`shrinkage.critical_water_content`), and at the start. [-]

    Returns
    -------
    share : float or ndarray
        (1 + u)/(1 + u_0), since the dry mass stays. [-]
    """
    not_negative("remaining_mass", water_content=water_content, start_water=start_water)
    return np.add(1.0, water_content) / np.add(1.0, start_water)


@guarded(open_flux="drying_flux", covered_flux="drying_flux")
def time_under_cover(time: ArrayLike, open_flux: ArrayLike, covered_flux: ArrayLike) -> Numbers:
    """Return how long a stage lasts under a cover that lets less water go.

    Parameters
    ----------
    time : float or array-like
        That it lasts in the open. [s]
    open_flux, covered_flux : float or array-like
        Drying fluxes of a wet surface, both weighed (`measured_flux`): no formula tells what a cover lets through.
        [kg/(m2 s)]

    Returns
    -------
    time : float or ndarray
        In proportion to open over covered flux, while the surface is wet and the air alone governs. [s]
    """
    not_negative("time_under_cover", time=time)
    positive("time_under_cover", drying_flux=open_flux)
    positive("time_under_cover", drying_flux=covered_flux)
    return np.multiply(time, np.divide(open_flux, covered_flux))


@guarded(moist_mass="wet_mass", oven_dry_mass="dry_mass", container_mass="tare_mass")
def oven_water_content(moist_mass: ArrayLike, oven_dry_mass: ArrayLike, container_mass: ArrayLike = 0.0) -> Numbers:
    """Return the water content [-], dry basis, from masses [kg] before and after the oven, container and all.

    105 °C for minerals; 60 to 70 °C in vacuum for what chars or loses more than water; until two weighings agree
    (common practice in the manner of ASTM D2216, from memory).
    """
    dry = np.subtract(oven_dry_mass, container_mass)
    require("oven_water_content", "dry_mass", dry, dry > 0, "must be above 0: the container weighs as much as all")
    water = np.subtract(moist_mass, oven_dry_mass)
    require("oven_water_content", "mass", moist_mass, water >= 0, "is less than after the oven")
    return water / dry
