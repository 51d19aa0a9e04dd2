"""Drying of a printed part: how fast the air takes the water, how long that lasts, how unevenly.

Water contents are on the dry basis: water over dry mass.
"""

from typing import NamedTuple

import numpy as np

from ..inputs import guarded, not_negative, positive, require, share
from ..roots import increasing_root
from ..units import ZERO_CELSIUS

CRITICAL_TEMPERATURE, CRITICAL_PRESSURE = 647.096, 22.064e6  # water [K], [Pa]
WAGNER = ((1, -7.85951783), (1.5, 1.84408259), (3, -11.7866497), (3.5, 22.6807411), (4, -15.9618719), (7.5, 1.80122502))
VAPOUR_CONSTANT = 461.5
"""Gas constant of water vapour [J/(kg K)]."""
HEAT_PER_VAPOUR = 1090.0
"""Heat over vapour transfer in air near 20 °C, ρ c_p Le^(2/3) [J/(m3 K)]; Chilton and Colburn, from memory."""
CONVECTION, RADIATION = 3.5, 5.5
"""Heat transfer in still room air: by the air, 3 to 4, and by radiation [W/(m2 K)]; common practice, no source."""
SERIES_FROM, TERMS = 0.05, 7  # of the slab series; at smaller Fourier numbers the half-space form is exact to 1e-9


# --- water in air ---------------------------------------------------------------------------------------------------


@guarded
def saturation_pressure(temperature):
    """Return the vapour pressure over liquid water.

    Parameters
    ----------
    temperature : float or array-like
        From 273.15 to 647.096; warmer or colder is refused. [K]

    Returns
    -------
    saturation_pressure : float or ndarray
        [Pa]

    References
    ----------
    .. [1] IAPWS SR1-86(1992), Saturation Properties of Ordinary Water Substance, eq. 1; W. Wagner and A. Pruss,
       J. Phys. Chem. Ref. Data 22 (1993) 783.
    """
    temperature = np.asarray(temperature, float)
    within = (temperature >= ZERO_CELSIUS) & (temperature <= CRITICAL_TEMPERATURE)
    why = "must be from 273.15 to 647.096 K; 22 °C is 295.15 K"
    require("saturation_pressure", "temperature", temperature, within, why)
    distance = 1 - temperature / CRITICAL_TEMPERATURE
    powers = sum(coefficient * distance**exponent for exponent, coefficient in WAGNER)
    return CRITICAL_PRESSURE * np.exp(CRITICAL_TEMPERATURE / temperature * powers)  # eq. 1


@guarded
def vapour_density(temperature, relative_humidity=1.0):
    """Return the mass of vapour in a volume of air [kg/m3], from its temperature [K] and relative humidity [-].

    Ideal gas; 0.1 % from the tables at 20 °C.
    """
    share("vapour_density", relative_humidity=relative_humidity)
    pressure = np.multiply(relative_humidity, saturation_pressure(temperature))
    return pressure / (VAPOUR_CONSTANT * np.asarray(temperature, float))


@guarded
def latent_heat(temperature):
    """Return the heat to evaporate water [J/kg] at a temperature [K], from 0 to 60 °C within 0.1 %.

    A straight line through the steam tables' 2500.9 kJ/kg at 0 °C and 2453.5 at 20 °C (from memory).
    """
    return 2500.9e3 - 2370.0 * (np.asarray(temperature, float) - ZERO_CELSIUS)


class Evaporation(NamedTuple):
    """What a wet surface loses [kg/(m2 s)], and the temperature that it takes [K]."""

    drying_flux: float
    surface_temperature: float


@guarded
def evaporation(temperature, relative_humidity, *, convection=CONVECTION, radiation=RADIATION):
    """Return how fast a wet surface dries in room air, and how cool it becomes.

    Parameters
    ----------
    temperature : float or array-like
        Of air and room. [K]
    relative_humidity : float or array-like
        [-]
    convection : float or array-like
        Heat transfer by the air: 3 to 4 in still air; a fan, 10 to 20, takes about 2 to 4 times the water (common
        practice, no source). [W/(m2 K)]
    radiation : float or array-like
        Heat transfer by radiation between surface and room. [W/(m2 K)]

    Returns
    -------
    Evaporation
        ``drying_flux`` [kg/(m2 s)] and ``surface_temperature`` [K].

    Notes
    -----
    j = h_m (ρ_v(T_s) - RH ρ_v(T)) with h_m = h_c/1090, and (h_c + h_r)(T - T_s) = j h_fg: the balance of a wet bulb,
    with radiation, which brings heat but carries no vapour. The analogy of heat and vapour transfer is good to a
    tenth. For as long as the surface is wet; a plate of the same wet paste weighed beside the part is better
    (`measured_flux`).
    """
    share("evaporation", relative_humidity=relative_humidity)
    positive("evaporation", convection=convection)
    not_negative("evaporation", radiation=radiation)
    room = np.asarray(temperature, float)
    in_air = vapour_density(room, relative_humidity)
    transfer = np.divide(convection, HEAT_PER_VAPOUR)
    heat = np.add(convection, radiation)
    shape = np.broadcast_shapes(room.shape, np.shape(in_air), np.shape(heat))

    def flux(surface):
        return transfer * (vapour_density(np.clip(surface, ZERO_CELSIUS, CRITICAL_TEMPERATURE)) - in_air)

    def excess(surface):
        return flux(surface) * latent_heat(surface) - heat * (room - surface)

    coolest = np.maximum(excess(np.full(shape, ZERO_CELSIUS)), 0.0)
    require("evaporation", "temperature", room, coolest <= 0, "is so cold and dry that the surface would freeze")
    surface = increasing_root(excess, np.broadcast_to(room, shape), step=4.0, tolerance=1e-9)
    return Evaporation(flux(surface)[()], surface[()])


@guarded(mass_lost="mass")
def measured_flux(mass_lost, area, time):
    """Return the drying flux [kg/(m2 s)] of a wet plate that loses a mass [kg] from an area [m2] in a time [s]."""
    not_negative("measured_flux", mass=mass_lost)
    positive("measured_flux", area=area, time=time)
    return np.divide(mass_lost, np.multiply(area, time))


# --- how long -------------------------------------------------------------------------------------------------------


class DryingTimes(NamedTuple):
    """The time at a constant rate, with nearly all the shrinkage, and the time after it [s], both at the flux given.

    Under a cover both are longer: hold a part covered by its mass (`remaining_mass`), not by a time in open air.
    """

    constant_rate: float
    falling_rate: float

    @property
    def total(self):
        """Both together [s]."""
        return self.constant_rate + self.falling_rate


@guarded
def drying_times(dry_mass, area, drying_flux, *, start_water, critical_water, final_water, equilibrium_water):
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


@guarded
def remaining_mass(water_content, start_water):
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
def time_under_cover(time, open_flux, covered_flux):
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


@guarded
def slab_average(fourier_number):
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
def slab_time(remaining, diffusivity, half_thickness):
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
def crack_index(drying_flux, half_thickness, dry_density, diffusivity):
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


@guarded(moist_mass="wet_mass", oven_dry_mass="dry_mass", container_mass="tare_mass")
def oven_water_content(moist_mass, oven_dry_mass, container_mass=0.0):
    """Return the water content [-], dry basis, from masses [kg] before and after the oven, container and all.

    105 °C for minerals; 60 to 70 °C in vacuum for what chars or loses more than water; until two weighings agree
    (common practice in the manner of ASTM D2216, from memory).
    """
    dry = np.subtract(oven_dry_mass, container_mass)
    require("oven_water_content", "dry_mass", dry, dry > 0, "must be above 0: the container weighs as much as all")
    water = np.subtract(moist_mass, oven_dry_mass)
    require("oven_water_content", "mass", moist_mass, water >= 0, "is less than after the oven")
    return water / dry
