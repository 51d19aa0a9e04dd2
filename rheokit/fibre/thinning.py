"""How a thread thins along its gap: viscosity, surface tension, weight and inertia, place by place."""

import numpy as np

from ..hints import Numbers
from ..inputs import trusted
from ..units import STANDARD_GRAVITY
from .draw import draw_ratio, exit_speed
from .evenness import stretching

STEPS, RAMP = 20, 8  # in which the weight is found, and up to which it is let grow
NEWTON = 2  # steps a step for the tension
NEAR = 0.02  # of ln: farther from its last step it was not found
FAR = 50.0  # the greatest logarithm that is followed


def thread_speeds(
    share: np.ndarray,
    viscosity: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    winding_speed: Numbers,
    gap: Numbers,
    surface_tension: Numbers,
    density: Numbers,
) -> tuple[np.ndarray, np.ndarray]:
    """Return the speed of a Newtonian thread that is drawn downwards, at shares of its gap, and whether it is taut.

    Parameters
    ----------
    share : ndarray
        From 0 at the nozzle to 1, along the last axis; the others broadcast with it. [-]
    viscosity : float or array-like
        In shear, the same all along. [Pa·s]
    flow_rate, bore, winding_speed, gap, surface_tension, density : float or array-like
        As for `unevenness_gain`. [m3/s], [m], [m/s], [m], [N/m], [kg/m3]

    Returns
    -------
    speed : ndarray
        [m/s]
    taut : ndarray of bool
        False where no tension was found, since it falls faster than it is wound, or the drum is slower than the flow: the
        speed then changes evenly in its ln.

    Notes
    -----
    With w = (v/v_0)^(1/2), 6 η Q w' = F w - γ (π Q/v_0)^(1/2), F = F_L - ρ Q (v_L - v) + ρ g ∫ A dz (derived for rheokit);
    without weight and inertia w = β + (1 - β) e^(φ z/L), β = b/φ, b and φ of `unevenness_gain`, of a heavy thread by halving the
    step between what is put in and what comes out. Within 0.3 % of the diameter of the whole spinline up to nine tenths of the taut length; of a
    law that thins, as good as its viscosity at the mean rate.
    """
    with trusted():
        begin = exit_speed(flow_rate, bore)
        ratio = np.asarray(draw_ratio(flow_rate=flow_rate, bore=bore, winding_speed=winding_speed))
        pull = surface_tension * gap / (3 * viscosity * bore * begin)
        per_force = gap / (6 * viscosity * flow_rate)
        weight = density * STANDARD_GRAVITY * np.pi / 4 * np.square(bore) * gap * per_force
        inertia = density * flow_rate * begin * per_force
        above = np.maximum(ratio, 1 + 1e-9)
        root, taut = _roots(share, above, pull, weight, inertia)
        drawn = np.where(taut & (ratio > 1), root, ratio ** (share / 2))
        return begin * drawn**2, np.where(ratio > 1, taut, ratio == 1)


def _roots(share, ratio, pull, weight, inertia):
    def summed(values):
        parts = (values[..., 1:] + values[..., :-1]) / 2 * np.diff(share)
        return np.concatenate([np.zeros_like(parts[..., :1]), np.cumsum(parts, axis=-1)], axis=-1)

    stretched = stretching(ratio, pull)
    held = pull / stretched
    root = new = held + (1 - held) * np.exp(stretched * share)
    wanted, last = np.log(ratio) / 2, 0.0
    for step in range(STEPS):
        section = summed(root**-2)
        force = weight * (section[..., -1:] - section) + inertia * (root**2 - ratio)
        carried = summed(force * min(1.0, (step + 1) / RAMP))
        stretched, last = stretched - (carried[..., -1:] - last), carried[..., -1:]
        for _ in range(NEWTON):
            grown = np.clip(stretched * share + carried, -FAR, FAR)
            less = np.exp(-grown)
            left = np.maximum(1 - pull * summed(less)[..., -1:], 1e-6)
            miss = grown[..., -1:] + np.log(left) - wanted
            stretched = stretched - np.clip(miss / (1 + pull * summed(share * less)[..., -1:] / left), -1.0, 1.0)
        grown = np.clip(stretched * share + carried, -FAR, FAR)
        new = np.maximum(np.exp(grown) * np.maximum(1 - pull * summed(np.exp(-grown)), 1e-6), 1e-3)
        root = np.sqrt(root * new)
    off = np.maximum(np.abs(np.log(new / root)).max(axis=-1, keepdims=True), np.abs(np.log(new[..., -1:]) - wanted))
    taut = off < NEAR
    return root, taut
