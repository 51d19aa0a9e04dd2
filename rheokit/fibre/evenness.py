"""How uneven a thread becomes on its way by drawing and surface tension, and where it breaks up into beads."""

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, not_negative, positive, require
from .draw import draw_ratio, exit_speed, wet_diameter

GAIN = 5.0
"""ln of how much more uneven a thread may arrive [-]: 0.7 % at the nozzle then is all of it. Quiet jets in a laboratory
bear 12 to 13 (from memory), rigs worked by hand less (common practice, no source)."""
MOST_GAIN = 100.0
STEPS = 5  # of Newton's method: 2e-12


def _pull(viscosity, flow_rate, bore, winding_speed, surface_tension, density):
    """Return what surface tension does to a thread per length of it [1/m], slowed by its inertia as Weber's jet is."""
    wound = wet_diameter(flow_rate=flow_rate, winding_speed=winding_speed) / 2
    inertia = np.sqrt(density * np.asarray(surface_tension) * wound) / viscosity  # 1/Oh
    return surface_tension / (3 * viscosity * bore * exit_speed(flow_rate, bore) * (1 + 0.4714 * inertia))


def _drawn(flow_rate, bore, winding_speed):
    """Return the draw ratio, just above 1 where nothing is drawn."""
    return np.maximum(draw_ratio(flow_rate=flow_rate, bore=bore, winding_speed=winding_speed), 1 + 1e-9)


def _asked(where, viscosity, flow_rate, winding_speed, surface_tension, density):
    positive(where, viscosity=viscosity, flow_rate=flow_rate, winding_speed=winding_speed, density=density)
    not_negative(where, surface_tension=surface_tension)


@guarded
def unevenness_gain(
    viscosity: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    winding_speed: Numbers,
    gap: Numbers,
    surface_tension: Numbers,
    density: Numbers,
) -> Numbers:
    """Return the ln of how much more uneven a thread arrives at the drum than it left the nozzle.

    Parameters
    ----------
    viscosity : float or array-like
        In shear, at the rate of stretching. [Pa·s]
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]
    gap : float or array-like
        Over which it is drawn. [m]
    surface_tension : float or array-like
        [N/m]
    density : float or array-like
        [kg/m3]

    Returns
    -------
    unevenness_gain : float or ndarray
        ½ ln D_R + φ, where (D_R^(1/2) φ - b) = (φ - b) e^φ and b = γ L/[6 η r_0 v_0 (1 + 0.4714/Oh)]. A thread that is
        not drawn is taken as D_R = 1. [-]

    Notes
    -----
    Exact for a Newtonian thread with surface tension, drawn over the gap at a steady speed (derived for rheokit: what was
    thinner at the nozzle stretches faster). The factor with Oh = η/(ρ γ r_w)^(1/2) is that of Weber's jet (Zeitschrift
    für angewandte Mathematik und Mechanik 11 (1931) 136, from memory).
    """
    _asked("unevenness_gain", viscosity, flow_rate, winding_speed, surface_tension, density)
    positive("unevenness_gain", gap=gap)
    ratio = _drawn(flow_rate, bore, winding_speed)
    pull = _pull(viscosity, flow_rate, bore, winding_speed, surface_tension, density) * gap
    return (np.log(ratio) / 2 + stretching(ratio, pull))[()]


def stretching(ratio: Numbers, pull: Numbers) -> Numbers:
    """Return the φ [-] of `unevenness_gain` at a draw ratio above 1 [-] and its b [-]: 6 η Q φ/L is the tension of the thread."""
    root = np.sqrt(ratio)
    part = np.log(np.log(root) + (root - 1) * pull) - pull  # ln(φ - b)
    for _ in range(STEPS):
        above = np.exp(part)
        q = root * (pull + above) - pull
        part = part - (pull + above + part - np.log(q)) / (1 + above - root * above / q)
    return pull + np.exp(part)


@guarded(gain="unevenness_gain")
def breakup_length(
    viscosity: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    winding_speed: Numbers,
    surface_tension: Numbers,
    density: Numbers,
    gain: Numbers = GAIN,
) -> Numbers:
    """Return the gap over which a thread breaks up into beads.

    Parameters
    ----------
    viscosity : float or array-like
        In shear, at the rate of stretching. [Pa·s]
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]
    surface_tension : float or array-like
        [N/m]
    density : float or array-like
        [kg/m3]
    gain : float or array-like
        `unevenness_gain` at which it counts as broken. [-]

    Returns
    -------
    breakup_length : float or ndarray
        Gap at which `unevenness_gain` reaches it: with φ = gain - ½ ln D_R, b = φ (e^φ - D_R^(1/2))/(e^φ - 1). 0 where
        drawing alone does that much, infinite without surface tension. [m]
    """
    _asked("breakup_length", viscosity, flow_rate, winding_speed, surface_tension, density)
    most = np.less_equal(gain, MOST_GAIN)
    require("breakup_length", "unevenness_gain", gain, most, "must be at most 100: no thread was ever as even")
    ratio = _drawn(flow_rate, bore, winding_speed)
    pull = _pull(viscosity, flow_rate, bore, winding_speed, surface_tension, density)
    left = np.maximum(gain - np.log(ratio) / 2, np.log(ratio) / 2)  # less of it does drawing alone
    with np.errstate(divide="ignore", invalid="ignore"):
        length = left * (np.exp(left) - np.sqrt(ratio)) / np.expm1(left) / pull
    return np.where(np.less(gain, np.log(ratio)), 0.0, np.where(np.equal(pull, 0), np.inf, length))[()]
