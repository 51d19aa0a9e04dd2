"""Water in air: how fast a wet surface loses it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ...brief import brief
from ...errors import DataError
from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require, share
from ...roots import increasing_root
from ...units import ZERO_CELSIUS

CRITICAL_TEMPERATURE, CRITICAL_PRESSURE = 647.096, 22.064e6  # water [K], [Pa]
WAGNER = ((1, -7.85951783), (1.5, 1.84408259), (3, -11.7866497), (3.5, 22.6807411), (4, -15.9618719), (7.5, 1.80122502))
VAPOUR_CONSTANT = 461.5
"""Gas constant of water vapour [J/(kg K)]."""
HEAT_PER_VAPOUR = 1090.0
"""Heat over vapour transfer in air near 20 °C, ρ c_p Le^(2/3) [J/(m3 K)]; Chilton and Colburn, from memory."""
CONVECTION, RADIATION = 3.5, 5.5
"""Heat transfer in still room air: by the air, 3 to 4, and by radiation [W/(m2 K)]; common practice, no source."""
FROZEN = "must be at least 0 °C, 273.15 K: colder, water freezes, and what it gives to the air is not known"
WEIGHED = 1.1  # factor of the limits of a flux from a weighed plate; common practice, no source


@guarded
def saturation_pressure(temperature: ArrayLike) -> Numbers:
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
def vapour_density(temperature: ArrayLike, relative_humidity: ArrayLike = 1.0) -> Numbers:
    """Return the mass of vapour in a volume of air [kg/m3], from its temperature [K] and relative humidity [-].

    Ideal gas; 0.1 % from the tables at 20 °C.
    """
    share("vapour_density", relative_humidity=relative_humidity)
    pressure = np.multiply(relative_humidity, saturation_pressure(temperature))
    return pressure / (VAPOUR_CONSTANT * np.asarray(temperature, float))


@guarded
def latent_heat(temperature: ArrayLike) -> Numbers:
    """Return the heat to evaporate water [J/kg] at a temperature [K], from 0 to 60 °C within 0.1 %.

    A straight line through the steam tables' 2500.9 kJ/kg at 0 °C and 2453.5 at 20 °C (from memory).
    """
    return 2500.9e3 - 2370.0 * (np.asarray(temperature, float) - ZERO_CELSIUS)


class Evaporation(NamedTuple):
    """What a wet surface loses [kg/(m2 s)], and the temperature that it takes [K]."""

    drying_flux: Numbers
    surface_temperature: Numbers

    def __repr__(self):
        return brief(self)


@guarded
def evaporation(
    temperature: ArrayLike,
    relative_humidity: ArrayLike,
    *,
    convection: ArrayLike = CONVECTION,
    radiation: ArrayLike = RADIATION,
) -> Evaporation:
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
def measured_flux(mass_lost: ArrayLike, area: ArrayLike, time: ArrayLike) -> Numbers:
    """Return the drying flux [kg/(m2 s)] of a wet plate that loses a mass [kg] from an area [m2] in a time [s]."""
    not_negative("measured_flux", mass=mass_lost)
    positive("measured_flux", area=area, time=time)
    return np.divide(mass_lost, np.multiply(area, time))


def room_fluxes(temperature: float, relative_humidity: float, convections: tuple) -> tuple[float, ...]:
    """Return the drying flux of a wet surface in room air with its limits [kg/(m2 s)].

    Parameters
    ----------
    temperature : float
        [K]
    relative_humidity : float
        [-]
    convections : tuple of float
        Heat transfer by the air: usual, from, to. [W/(m2 K)]
    """
    found = tuple(float(evaporation(temperature, relative_humidity, convection=c).drying_flux) for c in convections)
    if not found[1] > 0:
        raise DataError(
            f"At {100 * relative_humidity:g} % relative humidity nothing dries; give a lower one, or weigh a wet plate."
        )
    return found


def weighed_fluxes(drying_flux: float) -> tuple[float, float, float]:
    """Return the drying flux of a weighed plate [kg/(m2 s)] with its limits."""
    return drying_flux, drying_flux / WEIGHED, drying_flux * WEIGHED
