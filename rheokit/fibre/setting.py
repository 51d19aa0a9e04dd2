"""How fast a gel sets below its gel point, and how long the flow may pause before a needle blocks."""

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, positive
from ..roots import increasing_root

NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)
HALVES, HALF_WEIGHTS = (NODES + 1) / 2, WEIGHTS / 2  # on 0 to 1


def setting_speed(temperature: Numbers, gel_temperature: Numbers, setting_exponent: Numbers) -> Numbers:
    """Return how fast a gel sets [-] at a temperature [K], over how fast 10 K below its gel point [K]."""
    below = np.maximum(np.subtract(gel_temperature, temperature), 0.0) / 10
    return np.square(below) if np.all(np.equal(setting_exponent, 2.0)) else below**setting_exponent


def lifted_speed(temperature: np.ndarray, gel_temperature: Numbers, setting_exponent: Numbers) -> Numbers:
    """Return `setting_speed` [-] at temperatures [K] with one more trailing axis than gel point [K] and exponent [-] have."""
    gel, exponent = (np.asarray(one, float)[..., None] for one in (gel_temperature, setting_exponent))
    return setting_speed(temperature, gel, exponent)


@guarded
def time_to_set(
    temperature: Numbers, *, gel_temperature: Numbers, setting_time: Numbers, setting_exponent: Numbers = 2.0
) -> Numbers:
    """Return how long a gel takes to set at one temperature.

    Parameters
    ----------
    temperature : float or array-like
        [K]
    gel_temperature : float or array-like
        At which it stops to flow when cooled. [K]
    setting_time : float or array-like
        That it takes 10 K below its gel point. [s]
    setting_exponent : float or array-like
        Fall of the ln of the time with the ln of the kelvins below the gel point. [-]

    Returns
    -------
    time : float or ndarray
        t_10 (10 K/(T_gel - T))^p; infinite at and above the gel point. [s]

    Notes
    -----
    A local rule between the temperatures that were measured (common practice, no source): gels of gelatin set fast close
    above their freezing point and take for ever close below their gel point.
    """
    positive("time_to_set", setting_time=setting_time, setting_exponent=setting_exponent)
    with np.errstate(divide="ignore"):
        return np.divide(setting_time, setting_speed(temperature, gel_temperature, setting_exponent))


def _stretch(span, first, exponent):
    """Return ∫ (1 - e_0 exp(-s))^p ds from 0 to a span, for e_0 up to 1: setting in a thing that cools, scaled."""
    end = np.exp(-span)[..., None]
    inner = 1 - (1 - end) * HALVES**2  # of exp(-s): closest where a gel only begins to set
    lacking = (1 - np.maximum(1 - first[..., None] * inner, 0.0) ** exponent[..., None]) / inner
    return span - (2 * (1 - end) * lacking * HALVES) @ HALF_WEIGHTS


@guarded(start="temperature", air="air_temperature", time_constant="thermal_time_constant")
def pause_limit(
    start: Numbers,
    air: Numbers,
    *,
    time_constant: Numbers,
    gel_temperature: Numbers,
    setting_time: Numbers,
    setting_exponent: Numbers = 2.0,
) -> Numbers:
    """Return how long the flow may pause before the gel in a bare needle has set.

    Parameters
    ----------
    start, air : float or array-like
        Temperatures of the needle when the flow stops, and of the air. [K]
    time_constant : float or array-like
        As `needle_time_constant` gives it. [s]
    gel_temperature : float or array-like
        At which the gel stops to flow when cooled. [K]
    setting_time, setting_exponent : float or array-like
        As for `time_to_set`. [s], [-]

    Returns
    -------
    time : float or ndarray
        At which ∫ dt/t_set(T(t)) is 1 while it cools; infinite in air at or above the gel point. [s]

    Notes
    -----
    What has set so far adds up from temperature to temperature (Scheil's rule; common practice, no source).
    """
    where = "pause_limit"
    positive(where, thermal_time_constant=time_constant, setting_time=setting_time, setting_exponent=setting_exponent)
    given = (start, air, time_constant, gel_temperature, setting_time, setting_exponent)
    start, air, constant, gel, set_in, exponent = np.broadcast_arrays(*(np.asarray(one, float) for one in given))
    sets = gel > air
    reach = np.where(sets, gel - air, 1.0)  # of temperature, in which it sets
    first = (start - air) / reach
    wait = np.log(np.maximum(first, 1.0))  # until it is at its gel point
    first = np.minimum(first, 1.0)
    wanted = np.log(set_in / constant * (10 / reach) ** exponent)
    guess = np.maximum(wanted, (wanted + np.log1p(exponent)) / (1 + exponent))
    span = increasing_root(lambda s: np.log(_stretch(np.exp(s), first, exponent)) - wanted, guess, 0.5, 1e-12)
    return np.where(sets, constant * (wait + np.exp(span)), np.inf)[()]
