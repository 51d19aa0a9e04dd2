"""A thread in a cold bath: how warm it still is, how far it has set, and how long the bath must be."""

from functools import cache

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, not_negative, positive, require
from .curves import Curve
from .setting import lifted_speed, setting_speed

LONGEST = 60.0  # Fourier number at the end of the table; beyond it the thread is within 1/240 of the bath
STEPS = 96  # of the table, Fo = 60 y^4 with y evenly spaced


@guarded
def bath_temperature_left(fourier_number: Numbers) -> Numbers:
    """Return how much of the difference to the bath a thread still has.

    Parameters
    ----------
    fourier_number : float or array-like
        Thermal diffusivity times time over the square of the radius. [-]

    Returns
    -------
    temperature_left : float or ndarray
        1 - e^(-b) [I_0(b) + I_1(b)], b = 1/(2 Fo): mean over the thread. [-]

    Notes
    -----
    A long cylinder that is put into an endless bath at rest of its own conductivity and heat capacity (derived for rheokit;
    finite volumes agree to 1e-6). Water that is stirred, or that the thread drags past, takes the heat faster: on the safe side.
    """
    from scipy.special import i0e, i1e

    fourier = np.asarray(fourier_number, float)
    require("bath_temperature_left", "fourier_number", fourier, fourier >= 0, "must not be negative")
    with np.errstate(divide="ignore"):
        b = 1 / (2 * fourier)
    return np.where(b < np.inf, 1 - i0e(b) - i1e(b), 1.0)[()]


@cache
def _course():
    """Return what is left of the temperature difference at nodes and middles in turn, and the derivative of Fo there."""
    y = np.linspace(0.0, 1.0, 2 * STEPS + 1)
    return bath_temperature_left(LONGEST * y**4), 4 * LONGEST * y**3


class _Bath:
    """Setting in a bath in units of Fourier numbers: within the table, and beyond it where the thread is nearly as cold."""

    def __init__(self, start, bath, gel_temperature, setting_exponent):
        self.bath, self.warmer = np.asarray(bath, float), np.subtract(start, bath)
        left, slope = _course()
        temperature = self.bath[..., None] + np.asarray(self.warmer)[..., None] * left
        self.table = Curve.summed(slope * lifted_speed(temperature, gel_temperature, setting_exponent))
        self.reach = np.maximum(np.subtract(gel_temperature, bath), 0.0)
        self.speed = setting_speed(bath, gel_temperature, setting_exponent)
        with np.errstate(divide="ignore", invalid="ignore"):
            lag = setting_exponent * self.warmer / (4 * self.reach)
        self.lag = np.where(self.reach > 0, lag, 0.0)  # of the time lost while the rest of the heat leaves

    def at(self, fourier):
        inside = self.table.at(np.sqrt(np.sqrt(np.minimum(fourier, LONGEST) / LONGEST)))
        beyond = np.maximum(fourier, LONGEST)
        return inside + self.speed * np.maximum(beyond - LONGEST - self.lag * np.log(beyond / LONGEST), 0.0)

    def reached(self, total):
        inside = LONGEST * self.table.reached(total) ** 4
        with np.errstate(divide="ignore", invalid="ignore"):
            wanted = np.maximum(total - self.table.end, 0.0) / self.speed
        beyond = wanted = LONGEST + np.where(self.speed > 0, wanted, 0.0)
        for _ in range(30):
            beyond = wanted + self.lag * np.log(beyond / LONGEST)
        return np.where(np.isnan(inside), np.where(self.speed > 0, beyond, np.inf), inside)


@guarded(start="temperature", bath="bath_temperature", diameter="thread_diameter")
def bath_progress(
    time: Numbers,
    start: Numbers,
    bath: Numbers,
    *,
    diameter: Numbers,
    thermal_diffusivity: Numbers,
    gel_temperature: Numbers,
    setting_time: Numbers,
    setting_exponent: Numbers = 2.0,
) -> Numbers:
    """Return how far a thread has set in a bath.

    Parameters
    ----------
    time : float or array-like
        In the bath. [s]
    start, bath : float or array-like
        Temperatures of the thread as it enters, and of the bath. [K]
    diameter : float or array-like
        Of the wet thread. [m]
    thermal_diffusivity : float or array-like
        Of the thread. [m2/s]
    gel_temperature : float or array-like
        At which it stops to flow when cooled. [K]
    setting_time, setting_exponent : float or array-like
        As for `time_to_set`. [s], [-]

    Returns
    -------
    setting : float or ndarray
        ∫ dt/t_set(T(t)) with the mean temperature of `bath_temperature_left`; 1 where it is set. [-]

    Notes
    -----
    What only the rows of the table rest on (start, bath, gel) may be draws of shape (count, 1, 1) beside places of shape
    (rows, columns): a table is made for each of them, not for each place.
    """
    not_negative("bath_progress", time=time)
    seconds = _seconds("bath_progress", diameter, thermal_diffusivity, setting_time)
    table = _Bath(start, bath, gel_temperature, setting_exponent)
    return (table.at(np.divide(time, seconds)) * seconds / setting_time)[()]


@guarded(start="temperature", bath="bath_temperature", diameter="thread_diameter")
def bath_length(
    start: Numbers,
    bath: Numbers,
    *,
    winding_speed: Numbers,
    diameter: Numbers,
    thermal_diffusivity: Numbers,
    gel_temperature: Numbers,
    setting_time: Numbers,
    setting_exponent: Numbers = 2.0,
) -> Numbers:
    """Return the length of bath in which a thread sets.

    Parameters
    ----------
    start, bath : float or array-like
        Temperatures of the thread as it enters, and of the bath. [K]
    winding_speed : float or array-like
        [m/s]
    diameter : float or array-like
        Of the wet thread. [m]
    thermal_diffusivity : float or array-like
        Of the thread. [m2/s]
    gel_temperature : float or array-like
        At which it stops to flow when cooled. [K]
    setting_time, setting_exponent : float or array-like
        As for `time_to_set`. [s], [-]

    Returns
    -------
    bath_length : float or ndarray
        Winding speed times the time at which `bath_progress` is 1; infinite in a bath at or above the gel point. [m]
    """
    positive("bath_length", winding_speed=winding_speed)
    seconds = _seconds("bath_length", diameter, thermal_diffusivity, setting_time)
    table = _Bath(start, bath, gel_temperature, setting_exponent)
    return (table.reached(np.divide(setting_time, seconds)) * seconds * winding_speed)[()]


def _seconds(where, diameter, thermal_diffusivity, setting_time):
    """Return the time in which the Fourier number of a thread grows by 1 [s]."""
    known_as = {"diameter": "thread_diameter"}
    positive(where, known_as, diameter=diameter, thermal_diffusivity=thermal_diffusivity, setting_time=setting_time)
    return np.square(diameter) / 4 / thermal_diffusivity
