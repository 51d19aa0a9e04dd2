"""The mechanics of power screws: the efficiency of one of which only the thread and its friction are known."""

import numpy as np

from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded
from ..nomenclature import number


@guarded
def lead_angle(lead: Numbers, mean_diameter: Numbers) -> Numbers:
    """Return the angle [rad] at which a thread climbs, for its lead [m] and mean diameter [m]."""
    return np.arctan(lead / (np.pi * np.asarray(mean_diameter, float)))[()]


@guarded
def raising_torque(
    force: Numbers,
    *,
    lead: Numbers,
    mean_diameter: Numbers,
    friction: Numbers,
    thread_angle: Numbers = 0.0,
    collar_friction: Numbers = 0.0,
    collar_diameter: Numbers = 0.0,
) -> Numbers:
    r"""Return the torque that pushes a load with a screw.

    .. math:: M = \frac{F d_m}{2}\,\frac{\tan\lambda + f \sec\alpha}{1 - f \sec\alpha \tan\lambda}
              + \frac{F f_c d_c}{2}

    Parameters
    ----------
    force : array-like
        Load along the screw. [N]
    lead, mean_diameter : array-like
        Travel in one turn, and mean diameter of the thread. [m]
    friction : array-like
        Coefficient of friction in the thread. [-]
    thread_angle : array-like
        Half the angle between the flanks: 0 for a square thread, 14.5° for Acme, 15° for a metric trapezoid. [rad]
    collar_friction, collar_diameter : array-like
        Coefficient of friction [-] and mean diameter [m] of the thrust collar.

    Returns
    -------
    torque : float or ndarray
        On the screw. [N·m]

    Raises
    ------
    DataError
        If friction jams the thread at any torque.

    References
    ----------
    Textbook mechanics; checked against examples of Wentzell, Jindal and Shigley in the tests.
    """
    climb, drag = _slopes(lead, mean_diameter, friction, thread_angle)
    if np.any(climb * drag >= 1):
        raise DataError(
            f"raising_torque: friction {np.max(friction):g} jams a thread that climbs "
            f"{number(np.max(np.degrees(np.arctan(climb))))}°: no torque turns it. Check lead and friction."
        )
    return _torque(force, mean_diameter, climb, drag, collar_friction * collar_diameter)


@guarded
def lowering_torque(
    force: Numbers,
    *,
    lead: Numbers,
    mean_diameter: Numbers,
    friction: Numbers,
    thread_angle: Numbers = 0.0,
    collar_friction: Numbers = 0.0,
    collar_diameter: Numbers = 0.0,
) -> Numbers:
    """Return the torque that lets a load back down a screw; where it is positive, the screw holds the load by itself.

    Parameters
    ----------
    force : array-like
        Load along the screw. [N]
    lead, mean_diameter, friction, thread_angle, collar_friction, collar_diameter
        As in `raising_torque`.

    Returns
    -------
    torque : float or ndarray
        On the screw. [N·m]
    """
    climb, drag = _slopes(lead, mean_diameter, friction, thread_angle)
    return _torque(force, mean_diameter, -climb, drag, collar_friction * collar_diameter)  # down its own slope


@guarded
def screw_efficiency(
    *,
    lead: Numbers,
    mean_diameter: Numbers,
    friction: Numbers,
    thread_angle: Numbers = 0.0,
    collar_friction: Numbers = 0.0,
    collar_diameter: Numbers = 0.0,
) -> Numbers:
    """Return the share of the work [-] that a screw passes on: F lead / 2πM, with the arguments of `raising_torque`."""
    torque = raising_torque(
        1.0, lead=lead, mean_diameter=mean_diameter, friction=friction, thread_angle=thread_angle,
        collar_friction=collar_friction, collar_diameter=collar_diameter,
    )  # fmt: skip
    return lead / (2 * np.pi * torque)


def _slopes(lead, mean_diameter, friction, thread_angle):
    """Return the slope of a thread, and that at which a load would just slide on its flanks [-]."""
    return np.tan(lead_angle(lead, mean_diameter)), np.divide(friction, np.cos(thread_angle))


def _torque(force, mean_diameter, climb, drag, collar):
    """Return the torque [N·m] of a load [N] on a thread that climbs, downwards below 0, and on a collar's arm [m]."""
    thread = mean_diameter / 2 * (climb + drag) / (1 - climb * drag)
    return np.asarray(force, float)[()] * (thread + collar / 2)
