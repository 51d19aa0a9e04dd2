"""Masses that change the water content of a batch."""

import numpy as np

from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require
from ..recipe import wet_basis


@guarded
def water_to_add(mass: Numbers, water_content: Numbers, water_change: Numbers) -> Numbers:
    """Return the water [kg] that raises the water content [-] of a mass of paste [kg] by a change [-], dry basis."""
    positive("water_to_add", mass=mass)
    not_negative("water_to_add", water_content=water_content)
    why = "is negative: add dry premix"
    require("water_to_add", "water_change", water_change, np.greater_equal(water_change, 0), why)
    return mass / np.add(1.0, water_content) * water_change


@guarded
def premix_to_add(mass: Numbers, water_content: Numbers, water_change: Numbers, moisture: Numbers = 0.0) -> Numbers:
    """Return the dry premix that lowers the water content of a batch.

    Parameters
    ----------
    mass : float or array-like
        Of the paste there is. [kg]
    water_content : float or array-like
        Of it, dry basis. [-]
    water_change : float or array-like
        Of the water content, negative. [-]
    moisture : float or array-like
        Water in the premix, over its mass. [-]

    Returns
    -------
    mass : float or ndarray
        (m_w/u' - m_d)/((1 - x_p) - x_p/u') with u' the water content wanted. [kg]
    """
    positive("premix_to_add", mass=mass, water_content=water_content)
    why = "is positive: add water"
    require("premix_to_add", "water_change", water_change, np.less_equal(water_change, 0), why)
    wanted = np.add(water_content, water_change)
    held = np.less(moisture, wet_basis(np.maximum(wanted, 0)))
    require("premix_to_add", "moisture", moisture, held, "of the premix is more than the paste is to hold")
    return premix(mass, water_content, water_change, moisture)


def premix(mass: Numbers, water_content: Numbers, water_change: Numbers, moisture: Numbers) -> Numbers:
    """Return what `premix_to_add` does, unchecked; for a change upward a mass below 0."""
    wanted = np.add(water_content, water_change)
    dry = mass / np.add(1.0, water_content)
    return (dry * water_content / wanted - dry) / (1 - moisture - np.divide(moisture, wanted))
