"""Weight against tension: from which way on a thread hangs slack, and what a drop weighs that falls off a tip."""

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, not_negative, positive
from ..laws.criterion import UNIAXIAL
from ..units import STANDARD_GRAVITY
from .draw import draw_ratio, wet_diameter
from .tension import with_index
from .validity import possible_index, warn_outside_range

NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)
SHARES, SHARE_WEIGHTS = (NODES + 1) / 2, WEIGHTS / 2  # on 0 to 1
TOGETHER = 1.6  # exponent of how viscous tension and surface tension add up; fitted to the whole equation
DROP = (1.0, -0.9121, -2.109, 13.38, -27.29, 27.53, -13.58, 2.593)
"""Share of a hanging drop that falls, in powers of r/V^(1/3) [-]: fit of Lee, Chan and Pogaku, Chemical Engineering
Research and Design 86 (2008) 1175 to Harkins and Brown, Journal of the American Chemical Society 41 (1919) 499 (both from memory)."""
DROP_RANGE = (0.4, 1.15)  # of r/V^(1/3), where fit and table agree to 0.5 %


def _speeding_up(index, ratio):
    """Return ∫ u^(-1/n) (u^(-1/n) - 1)^(-1/(n+1)) du from 1/D_R to 1 [-], for a trailing axis of nodes."""
    index, ratio = np.broadcast_arrays(_once(index), ratio)
    n, slow = index[..., None], 1 / ratio[..., None]
    power = (n + 1) / n
    u = 1 - (1 - slow) * SHARES**power
    grown = u ** (-1 / n)
    weights = power * (1 - slow) * SHARES ** (power - 1)
    return (weights * grown * (grown - 1) ** (-1 / (n + 1))) @ SHARE_WEIGHTS


def _once(index):
    """Return an index with one place for each axis along which it stays as it is: a power law's does not follow the map."""
    index = np.asarray(index, float)
    for axis in range(index.ndim):
        first = index.take([0], axis)
        index = first if np.allclose(index, first, rtol=1e-12, atol=0.0) else index
    return index


@guarded
def taut_length(
    consistency: Numbers,
    flow_index: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    winding_speed: Numbers,
    density: Numbers,
    surface_tension: Numbers = 0.0,
    surrounding_density: Numbers = 0.0,
) -> Numbers:
    """Return the way from which a vertical thread falls as fast as it is wound, so that it hangs slack.

    Parameters
    ----------
    consistency : float or array-like
        Of the power law, a viscosity where n = 1. [Pa·s^n]
    flow_index : float or array-like
        [-]
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]
    density, surrounding_density : float or array-like
        Of the thread, and of what is around it: air 0, a bath 998. [kg/m3]
    surface_tension : float or array-like
        [N/m]

    Returns
    -------
    taut_length : float or ndarray
        (L_v^1.6 + L_c^1.6)^(1/1.6), L_c = γ (1 - D_R^(-1/2))/(Δρ g r_w) and L_v = [3^((n+1)/2) K/((n+1) Δρ g)]^(1/(n+1))
        v_w^(n/(n+1)) ∫ u^(-1/n) (u^(-1/n) - 1)^(-1/(n+1)) du from 1/D_R to 1; n = 1: (6 η v_w/Δρ g)^(1/2)
        arccos(D_R^(-1/2)). 0 where nothing is drawn, infinite where the thread does not sink. [m]

    Notes
    -----
    Without surface tension exact for weight and viscous tension (derived for rheokit). With it, against the whole equation,
    within 5 % for n = 1; up to 13 % too short for n down to 0.4; too long, which is the unsafe side, by up to 6 % for n up to
    1.25 and 10 % for n up to 1.5. Inertia adds 1 to 24 %: it is on the safe side.
    """
    where = "taut_length"
    possible_index(where, flow_index)
    positive(where, consistency=consistency, density=density, winding_speed=winding_speed)
    not_negative(where, surface_tension=surface_tension, surrounding_density=surrounding_density)
    ratio = draw_ratio(flow_rate=flow_rate, bore=bore, winding_speed=winding_speed)
    drawn = np.greater(ratio, 1)
    ratio = np.where(drawn, ratio, 2.0)
    wound = wet_diameter(flow_rate=flow_rate, winding_speed=winding_speed) / 2
    weight = STANDARD_GRAVITY * np.asarray(np.subtract(density, surrounding_density), float)
    sinks = weight > 0
    weight = np.where(sinks, weight, 1.0)
    index = np.asarray(flow_index, float)
    shape = with_index(index, 2 * np.arccos(1 / np.sqrt(ratio)), lambda n: _speeding_up(n, ratio))
    resistance = UNIAXIAL ** (index + 1) * consistency / ((index + 1) * weight)
    viscous = (resistance * np.power(winding_speed, index)) ** (1 / (index + 1)) * shape
    capillary = surface_tension * (1 - 1 / np.sqrt(ratio)) / (weight * wound)
    length = (viscous**TOGETHER + capillary**TOGETHER) ** (1 / TOGETHER)
    return np.where(drawn, np.where(sinks, length, np.inf), 0.0)[()]


def falling_share(slenderness: Numbers) -> Numbers:
    """Return the share of what surface tension can hold at a tip that falls as a drop [-], by r/V^(1/3) of tip and drop [-]."""
    return np.polynomial.polynomial.polyval(slenderness, DROP)


@guarded(outer_diameter="needle_outer_diameter")
def drop_mass(*, outer_diameter: Numbers, density: Numbers, surface_tension: Numbers) -> Numbers:
    """Return the mass of a drop that falls off a tip which it wets to its outer edge.

    Parameters
    ----------
    outer_diameter : float or array-like
        Of the tip, 2.5 to 5 mm. [m]
    density : float or array-like
        Of the liquid. [kg/m3]
    surface_tension : float or array-like
        [N/m]

    Returns
    -------
    drop_mass : float or ndarray
        2 π r γ f(r/V^(1/3))/g, slower than one drop in 5 s. [kg]

    Warns
    -----
    ModelRangeWarning
        Where r/V^(1/3) leaves 0.4 to 1.15: the tip is too fine or too wide.
    """
    positive("drop_mass", density=density, surface_tension=surface_tension)
    radius = np.asarray(outer_diameter, float) / 2
    positive("drop_mass", {"outer_diameter": "needle_outer_diameter"}, outer_diameter=outer_diameter)
    whole = 2 * np.pi * radius * surface_tension / STANDARD_GRAVITY
    mass = 0.65 * whole
    for _ in range(60):  # 1e-14
        slender = radius / np.cbrt(mass / density)
        mass = whole * falling_share(slender)
    warn_outside_range(
        "drop_mass", "slenderness", slender, *DROP_RANGE, "the fit does not hold there; take a tip of 2.5 to 5 mm"
    )
    return mass[()]
