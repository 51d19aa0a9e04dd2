"""A thread in the air: how fast it cools, how far it sets on its way, and the way on which it sets."""

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, not_negative, positive, require
from .air import HOTTEST, WATER_ACTIVITY, course
from .curves import Curve
from .setting import lifted_speed, setting_speed
from .validity import warn_outside_range

CONDUCTIVITY, KINEMATIC_VISCOSITY = 0.0263, 1.6e-5
"""Of air at 300 K [W/(m K)], [m2/s]; from memory."""
WITHIN = (0.2, 200.0)  # of the Reynolds number of a thread, outside which its heat transfer is doubted


@guarded(diameter="thread_diameter", speed="thread_speed")
def thread_heat_transfer(diameter: Numbers, speed: Numbers, draught: Numbers = 0.0) -> Numbers:
    """Return the heat transfer from a thread that moves along itself to the air.

    Parameters
    ----------
    diameter : float or array-like
        Of the wet thread. [m]
    speed : float or array-like
        Along itself. [m/s]
    draught : float or array-like
        Speed of the air across it: a room has 0.05 to 0.15, which is 1.5 to 2.2 times the heat; 0 is on the safe
        side. [m/s]

    Returns
    -------
    heat_transfer : float or ndarray
        Nu k/d, Nu = 0.42 Re^0.334 [1 + (8 v_c/v)²]^0.167, Re = v d/ν. [W/(m2 K)]

    Warns
    -----
    ModelRangeWarning
        At a Reynolds number below 0.2 or above 200.

    Notes
    -----
    Kase and Matsuo, Journal of Polymer Science A 3 (1965) 2541 (from memory), made for fast fibres at Re 1 to 50. At Re 3
    still air gives from half of it (on a long slow thread) to 1.2 of it (natural convection): standard deviation of the ln 0.4.
    """
    known_as = {"diameter": "thread_diameter", "speed": "thread_speed"}
    positive("thread_heat_transfer", known_as, diameter=diameter, speed=speed)
    not_negative("thread_heat_transfer", draught=draught)
    reynolds = np.multiply(diameter, speed) / KINEMATIC_VISCOSITY
    warn_outside_range(
        "thread_heat_transfer",
        "thread_reynolds_number",
        reynolds,
        *WITHIN,
        "the formula was made for 1 to 50 and is stretched far; measure how fast it cools or sets",
    )
    across = (1 + np.square(8 * np.divide(draught, speed))) ** 0.167
    return 0.42 * reynolds**0.334 * across * CONDUCTIVITY / np.asarray(diameter)


@guarded(diameter="thread_diameter", speed="thread_speed")
def thread_time_constant(
    *, diameter: Numbers, speed: Numbers, volumetric_heat: Numbers, draught: Numbers = 0.0
) -> Numbers:
    """Return the time constant with which a thread would cool by convection alone.

    Parameters
    ----------
    diameter : float or array-like
        Of the wet thread. [m]
    speed : float or array-like
        Along itself. [m/s]
    volumetric_heat : float or array-like
        Density times heat capacity. [J/(m3 K)]
    draught : float or array-like
        As for `thread_heat_transfer`. [m/s]

    Returns
    -------
    thermal_time_constant : float or ndarray
        ρ c d/(4 h): the thread is as warm inside as at its surface, within 3 % of the time at 0.35 to 0.7 mm. [s]
    """
    positive("thread_time_constant", volumetric_heat=volumetric_heat)
    return volumetric_heat * np.asarray(diameter) / (4 * thread_heat_transfer(diameter, speed, draught))


def _not_hotter(where, start):
    start = np.asarray(start, float)
    require(where, "start", start, start <= HOTTEST, "is above 95 °C, where no gel is drawn", "temperature")


@guarded(start="temperature", end="temperature", diameter="thread_diameter", speed="thread_speed")
def cooling_time(
    start: Numbers,
    end: Numbers,
    *,
    diameter: Numbers,
    speed: Numbers,
    volumetric_heat: Numbers,
    air_temperature: Numbers,
    relative_humidity: Numbers,
    water_activity: Numbers = WATER_ACTIVITY,
    draught: Numbers = 0.0,
) -> Numbers:
    """Return how long a thread in the air cools from one temperature to another.

    Parameters
    ----------
    start, end : float or array-like
        Temperatures of the thread. [K]
    diameter, speed : float or array-like
        Of the thread as it is wound. [m], [m/s]
    volumetric_heat : float or array-like
        Density times heat capacity of the thread. [J/(m3 K)]
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    water_activity : float or array-like
        Of the thread. [-]
    draught : float or array-like
        As for `thread_heat_transfer`. [m/s]

    Returns
    -------
    time : float or ndarray
        0 where it is as cool from the start, infinite where the thread settles warmer (`settled_temperature`). [s]

    Notes
    -----
    Convection and evaporation, which takes most of the heat: see `fibre.air`. A whole `Spinline` cools on a way that is up
    to 3 % longer than speed times this time where it is drawn at the nozzle, 4 to 13 % where it is drawn all along, and
    sets within 5 % of `setting_length` (seen). What decides is the heat transfer, and with it what moves the air. A skin that
    dries and the warmer middle add 3 %.
    """
    _not_hotter("cooling_time", start)
    constant = thread_time_constant(diameter=diameter, speed=speed, volumetric_heat=volumetric_heat, draught=draught)
    way = course(air_temperature, relative_humidity, water_activity)
    time = np.maximum(way.time_at(end) - way.time_at(start), 0.0) * constant
    never = np.less_equal(end, way.settled) & np.less(end, start)
    return np.where(never, np.inf, time)[()]


class _Air:
    """Setting in an air in units of scaled time: along the course, and on at its settled temperature."""

    def __init__(self, way, gel_temperature, setting_exponent):
        self.way = way
        rows = np.broadcast(way.settled, gel_temperature, setting_exponent).size
        temperature, slope = way.along(rows)
        self.table = Curve.summed(slope * lifted_speed(temperature, gel_temperature, setting_exponent))
        self.speed = setting_speed(way.settled, gel_temperature, setting_exponent)

    def at(self, time):
        """Return the setting [-] at a scaled time [-]."""
        end = self.way.end
        inside = self.table.at(np.sqrt(np.minimum(time, end) / end))
        return inside + self.speed * np.maximum(time - end, 0.0)

    def reached(self, setting):
        """Return the scaled time [-] at which a setting above 0 [-] is reached, infinite where never."""
        inside = self.way.end * self.table.reached(setting) ** 2
        with np.errstate(divide="ignore", invalid="ignore"):
            beyond = self.way.end + (setting - self.table.end) / self.speed
        return np.where(np.isnan(inside), np.where(self.speed > 0, beyond, np.inf), inside)


@guarded(start="temperature", diameter="thread_diameter", speed="thread_speed")
def setting_progress(
    time: Numbers,
    start: Numbers,
    *,
    diameter: Numbers,
    speed: Numbers,
    volumetric_heat: Numbers,
    air_temperature: Numbers,
    relative_humidity: Numbers,
    gel_temperature: Numbers,
    setting_time: Numbers,
    setting_exponent: Numbers = 2.0,
    water_activity: Numbers = WATER_ACTIVITY,
    draught: Numbers = 0.0,
) -> Numbers:
    """Return how far a thread has set in the air.

    Parameters
    ----------
    time : float or array-like
        In the air. [s]
    start : float or array-like
        Temperature of the thread at the nozzle; one that is colder than it settles is taken as settled. [K]
    diameter, speed : float or array-like
        Of the thread as it is wound. [m], [m/s]
    volumetric_heat : float or array-like
        Density times heat capacity of the thread. [J/(m3 K)]
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    gel_temperature : float or array-like
        At which the gel stops to flow when cooled. [K]
    setting_time, setting_exponent : float or array-like
        As for `time_to_set`. [s], [-]
    water_activity : float or array-like
        Of the thread. [-]
    draught : float or array-like
        As for `thread_heat_transfer`. [m/s]

    Returns
    -------
    setting : float or ndarray
        ∫ dt/t_set(T(t)); 1 where it is set. [-]

    Notes
    -----
    As good as `cooling_time`, to which Scheil's rule adds (what has set adds up; common practice, no source). One table
    serves each draw of air and gel, whatever start, diameter, speed and time.
    """
    _not_hotter("setting_progress", start)
    not_negative("setting_progress", time=time)
    positive("setting_progress", setting_time=setting_time, setting_exponent=setting_exponent)
    constant = thread_time_constant(diameter=diameter, speed=speed, volumetric_heat=volumetric_heat, draught=draught)
    table = _Air(course(air_temperature, relative_humidity, water_activity), gel_temperature, setting_exponent)
    begins = table.way.time_at(start)
    set_by = table.at(begins + np.divide(time, constant)) - table.at(begins)
    return (set_by * (constant / setting_time))[()]


@guarded(start="temperature", diameter="thread_diameter", speed="thread_speed")
def setting_length(
    start: Numbers,
    *,
    diameter: Numbers,
    speed: Numbers,
    volumetric_heat: Numbers,
    air_temperature: Numbers,
    relative_humidity: Numbers,
    gel_temperature: Numbers,
    setting_time: Numbers,
    setting_exponent: Numbers = 2.0,
    water_activity: Numbers = WATER_ACTIVITY,
    draught: Numbers = 0.0,
) -> Numbers:
    """Return the way in the air on which a thread sets.

    Parameters
    ----------
    start : float or array-like
        Temperature of the thread at the nozzle. [K]
    diameter, speed : float or array-like
        Of the thread as it is wound. [m], [m/s]
    volumetric_heat : float or array-like
        Density times heat capacity of the thread. [J/(m3 K)]
    air_temperature : float or array-like
        [K]
    relative_humidity : float or array-like
        [-]
    gel_temperature : float or array-like
        At which the gel stops to flow when cooled. [K]
    setting_time, setting_exponent : float or array-like
        As for `time_to_set`. [s], [-]
    water_activity : float or array-like
        Of the thread. [-]
    draught : float or array-like
        As for `thread_heat_transfer`. [m/s]

    Returns
    -------
    length : float or ndarray
        Speed times the time at which `setting_progress` is 1; infinite where the thread settles at or above the gel
        point. Uncertain by what moves the air: half again as much or as little heat is -19 or +27 %. [m]
    """
    _not_hotter("setting_length", start)
    positive("setting_length", setting_time=setting_time, setting_exponent=setting_exponent)
    constant = thread_time_constant(diameter=diameter, speed=speed, volumetric_heat=volumetric_heat, draught=draught)
    table = _Air(course(air_temperature, relative_humidity, water_activity), gel_temperature, setting_exponent)
    begins = table.way.time_at(start)
    reached = table.reached(np.divide(setting_time, constant) + table.at(begins))
    return ((reached - begins) * constant * speed)[()]
