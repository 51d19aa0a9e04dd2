"""Speeds and diameters of a thread that is drawn from a nozzle and wound on a drum: what flows out is wound.

The swell behind the nozzle is left out, which raises the true draw ratio.
"""

import numpy as np

from ..hints import Numbers
from ..inputs import guarded, positive, require
from ..part.shrinkage import WATER_DENSITY

RESIDUAL_MOISTURE = 0.12
"""Water in a fibre of gelatin in room air, over its total mass [-]; common practice, no source."""


@guarded
def exit_speed(flow_rate: Numbers, bore: Numbers) -> Numbers:
    """Return the mean speed [m/s] of a flow [m3/s] in a bore [m], 4 Q/(π D²)."""
    positive("exit_speed", bore=bore)
    return np.divide(flow_rate, np.pi / 4 * np.square(bore))


@guarded
def draw_ratio(*, flow_rate: Numbers, bore: Numbers, winding_speed: Numbers) -> Numbers:
    """Return the draw ratio of a thread.

    Parameters
    ----------
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]

    Returns
    -------
    draw_ratio : float or ndarray
        Winding speed over the mean speed in the bore. [-]
    """
    positive("draw_ratio", flow_rate=flow_rate)
    return np.divide(winding_speed, exit_speed(flow_rate, bore))


@guarded
def wet_diameter(*, flow_rate: Numbers, winding_speed: Numbers) -> Numbers:
    """Return the diameter of a thread as it is wound.

    Parameters
    ----------
    flow_rate : float or array-like
        [m3/s]
    winding_speed : float or array-like
        [m/s]

    Returns
    -------
    wet_diameter : float or ndarray
        (4 Q/(π v_w))^(1/2): what flows out is wound. [m]
    """
    positive("wet_diameter", winding_speed=winding_speed)
    return np.sqrt(np.divide(flow_rate, np.pi / 4 * np.asarray(winding_speed, float)))


@guarded
def dry_section(
    *,
    dry_mass_fraction: Numbers,
    solid_density: Numbers,
    density: Numbers,
    residual_moisture: Numbers = RESIDUAL_MOISTURE,
) -> Numbers:
    """Return the section of a dry fibre over that of the wet one, on a drum that holds its length.

    Parameters
    ----------
    dry_mass_fraction : float or array-like
        Dry mass over total mass of the wet gel. [-]
    solid_density : float or array-like
        Of what stays. [kg/m3]
    density : float or array-like
        Of the wet gel. [kg/m3]
    residual_moisture : float or array-like
        Water left in the dry fibre over its total mass, below 1. [-]

    Returns
    -------
    dry_section : float or ndarray
        ρ x_s [1/ρ_s + r/((1 - r) 998)]: volumes add up. [-]
    """
    positive("dry_section", dry_mass_fraction=dry_mass_fraction, solid_density=solid_density, density=density)
    left = np.asarray(residual_moisture, float)
    require("dry_section", "residual_moisture", left, (left >= 0) & (left < 1), "must be at least 0 and below 1")
    return np.multiply(density, dry_mass_fraction) * (np.divide(1.0, solid_density) + left / (1 - left) / WATER_DENSITY)


def _power(held):
    return 1 / 2 if held else 1 / 3


@guarded(wet="wet_diameter")
def dry_diameter(wet: Numbers, dry_section: Numbers, held: bool = True) -> Numbers:
    """Return the diameter of a fibre when it is dry.

    Parameters
    ----------
    wet : float or array-like
        Its diameter as it is wound. [m]
    dry_section : float or array-like
        As `dry_section` gives it, or the property of the paste. [-]
    held : bool
        True where a drum holds its length, so that only the section shrinks; False where it shrinks freely.

    Returns
    -------
    dry_diameter : float or ndarray
        d φ^(1/2) held, d φ^(1/3) free. [m]
    """
    positive("dry_diameter", dry_section=dry_section)
    return np.multiply(wet, np.power(dry_section, _power(held)))


@guarded
def winding_speed(dry_diameter: Numbers, *, flow_rate: Numbers, dry_section: Numbers, held: bool = True) -> Numbers:
    """Return the winding speed that gives a dry diameter.

    Parameters
    ----------
    dry_diameter : float or array-like
        That is wanted. [m]
    flow_rate : float or array-like
        [m3/s]
    dry_section : float or array-like
        As for `dry_diameter`. [-]
    held : bool
        As for `dry_diameter`.

    Returns
    -------
    winding_speed : float or ndarray
        4 Q/(π d²), d the wet diameter that dries to it. [m/s]
    """
    positive("winding_speed", dry_diameter=dry_diameter, dry_section=dry_section)
    return exit_speed(flow_rate, np.divide(dry_diameter, np.power(dry_section, _power(held))))


@guarded
def drum_speed(winding_speed: Numbers, drum_diameter: Numbers) -> Numbers:
    """Return the turns of a drum per time [1/s] that wind at a speed [m/s], from its diameter [m]."""
    positive("drum_speed", drum_diameter=drum_diameter)
    return np.divide(winding_speed, np.pi * np.asarray(drum_diameter, float))
