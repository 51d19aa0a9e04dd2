"""The section of a line, and whether it keeps it."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive
from ...laws.criterion import UNIAXIAL
from ...units import STANDARD_GRAVITY as GRAVITY


@guarded
def line_section(width: Numbers, height: Numbers) -> Numbers:
    """Return the section [m2] of a line with flat top and foot and round sides (a stadium): (w - h) h + π h²/4.

    Width [m] over all, and height [m] of the layer.
    """
    not_negative("line_section", width=width, height=height)
    return (width - np.asarray(height, float)) * height + np.pi * np.square(height) / 4


@guarded
def line_width(section: ArrayLike, height: ArrayLike) -> Numbers:
    """Return the width [m] of a line of a section [m2], laid at a height [m]: the inverse of `line_section`.

    A/h + h (1 - π/4), by mass balance; narrower than the height where the flow is too small to fill a round line.
    """
    positive("line_width", height=height)
    not_negative("line_width", section=section)
    return np.divide(section, height) + np.multiply(height, 1 - np.pi / 4)


@guarded
def width_of_flow(flow_rate: ArrayLike, print_speed: ArrayLike, height: float) -> Numbers:
    """Return the width [m] of the line that a flow [m3/s] lays at a print speed [m/s] and a layer height [m]."""
    positive("width_of_flow", print_speed=print_speed)
    not_negative("width_of_flow", flow_rate=flow_rate)
    return line_width(np.divide(flow_rate, print_speed), height)


@guarded
def speed_ratio(section: ArrayLike, diameter: ArrayLike) -> Numbers:
    """Return the mean speed in the bore over the print speed [-], from the line's section [m2] and the bore [m].

    4 A/(π D²), by mass balance: it follows from the line and cannot be chosen as well.
    """
    positive("speed_ratio", diameter=diameter)
    not_negative("speed_ratio", section=section)
    return np.multiply(4 / np.pi, section) / np.square(diameter)


@guarded
def sag_stress(density: ArrayLike, height: ArrayLike) -> Numbers:
    """Return the least static yield stress [Pa] that carries a layer of a density [kg/m3] and height [m]: ρ g h/√3."""
    not_negative("sag_stress", density=density, height=height)
    return np.multiply(density, height) * (GRAVITY / UNIAXIAL)


@guarded
def line_holding_stress(height: ArrayLike, width: ArrayLike, density: ArrayLike, surface_tension: ArrayLike) -> Numbers:
    """Return the least static yield stress with which a fresh line keeps its section.

    Parameters
    ----------
    height, width : float or array-like
        Of the line. [m]
    density : float or array-like
        [kg/m3]
    surface_tension : float or array-like
        About 0.05 for wet pastes; 0 leaves it out. [N/m]

    Returns
    -------
    static_yield_stress : float or ndarray
        The greater of ρ g h/√3 and γ/w. [Pa]

    Notes
    -----
    The weight term is von Mises in uniaxial compression. The capillary term is an order of magnitude, within a factor
    of 2 (from memory: the pressure of a rounded line of that width). It governs thin soft lines.
    """
    positive("line_holding_stress", width=width)
    not_negative("line_holding_stress", surface_tension=surface_tension)
    return np.maximum(sag_stress(density, height), np.divide(surface_tension, width))
