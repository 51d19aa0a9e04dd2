"""How much smaller a part is when it is dry, and how much larger its model must be.

Shrinkage is on the wet size; water contents are on the dry basis.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, not_negative, positive, require, share
from ..nomenclature import number
from ..sampling import LEVEL, SURE

WATER_DENSITY = 998.0
"""Water at 20 °C [kg/m3]."""

PACKING = 0.05  # relative standard uncertainty of the ratio of the solid fractions; common practice, no source


class Shrinkage(NamedTuple):
    """A shrinkage [-] on the wet size, with the ends of its interval."""

    value: Numbers
    low: Numbers
    high: Numbers

    def __repr__(self):
        return brief(self)

    @property
    def linear(self) -> Shrinkage:
        """The linear shrinkage of an isotropic volume shrinkage."""
        return Shrinkage(*map(linear_shrinkage, self))

    @property
    def scale(self) -> Shrinkage:
        """The factor on a length of the model, 1/(1 - S), with the ends of its interval [-]."""
        return Shrinkage(*map(scale_factor, self))


@guarded
def volume_shrinkage(
    wet_solid_fraction: ArrayLike,
    dry_solid_fraction: ArrayLike,
    relative_uncertainty: ArrayLike = 0.0,
    coverage: ArrayLike = SURE,
) -> Shrinkage:
    """Return the shrinkage of the volume from the solids in it before and after.

    Parameters
    ----------
    wet_solid_fraction, dry_solid_fraction : float or array-like
        Volume share of solids, dissolved gum included. [-]
    relative_uncertainty : float or array-like
        Standard, of the ratio of the two. [-]
    coverage : float
        Standard uncertainties to either side. [-]

    Returns
    -------
    Shrinkage
        1 - φ_w/φ_d with its interval; ``.linear.scale`` is the factor on an isotropic model. [-]
    """
    where = "volume_shrinkage"
    positive(where, wet_solid_fraction=wet_solid_fraction)
    share(where, dry_solid_fraction=dry_solid_fraction)
    not_negative(where, relative_uncertainty=relative_uncertainty)
    ratio = np.divide(wet_solid_fraction, dry_solid_fraction)
    require(where, "wet_solid_fraction", wet_solid_fraction, ratio <= 1, "is above the dry part's: it would swell")
    spread = np.exp(np.multiply(coverage, relative_uncertainty))
    return Shrinkage(1 - ratio, 1 - ratio * spread, 1 - ratio / spread)


@guarded
def linear_shrinkage(volume_shrinkage: ArrayLike) -> Numbers:
    """Return the linear shrinkage [-], on the wet length, of a part that loses a share of its volume [-] evenly."""
    volume = np.asarray(volume_shrinkage, float)
    require("linear_shrinkage", "volume_shrinkage", volume, volume < 1, "must be below 1; give 8 % as 0.08")
    return (1 - np.cbrt(1 - volume))[()]


@guarded
def scale_factor(shrinkage: ArrayLike) -> Numbers:
    """Return the factor on a length of the model that makes up for a linear shrinkage [-] on the wet length: 1/(1 - S).

    One an axis: printed parts commonly shrink more in height than in plane (common practice, no source).
    """
    shrinkage = np.asarray(shrinkage, float)
    require("scale_factor", "shrinkage", shrinkage, shrinkage < 1, "must be below 1; give 8 % as 0.08")
    return (1 / (1 - shrinkage))[()]


@guarded
def stated_shrinkage(shrinkage: float, standard_uncertainty: float) -> Shrinkage:
    """Return a linear shrinkage [-] with the limits of its standard uncertainty [-], at equal ratios, as a `Material` spreads it."""
    half = SURE * standard_uncertainty
    if not shrinkage > 0:
        return Shrinkage(shrinkage, shrinkage - half, shrinkage + half)
    ratio = np.exp(half / shrinkage)
    return Shrinkage(shrinkage, shrinkage / ratio, shrinkage * ratio)


@guarded(wet_lengths="wet_length", dry_lengths="dry_length", level="confidence_level")
def measured_shrinkage(wet_lengths: Numbers, dry_lengths: Numbers, level: Numbers = LEVEL) -> Shrinkage:
    """Return the linear shrinkage along one axis from marks measured wet and dry.

    Parameters
    ----------
    wet_lengths, dry_lengths : array-like, shape (N,)
        The same marks in the same order, at least two. [m]
    level : float
        Confidence. [-]

    Returns
    -------
    Shrinkage
        Mean of 1 - dry/wet with its t interval; ``.scale`` is the factor on the model. [-]
    """
    from scipy.special import stdtrit

    positive("measured_shrinkage", length=wet_lengths)
    positive("measured_shrinkage", length=dry_lengths)
    each = 1 - np.divide(dry_lengths, wet_lengths)
    why = "has no interval from one pair of marks; measure at least two"
    require("measured_shrinkage", "shrinkage", np.mean(each), each.size > 1, why)
    half = stdtrit(each.size - 1, (1 + level) / 2) * each.std(ddof=1) / np.sqrt(each.size)
    return Shrinkage(each.mean(), each.mean() - half, each.mean() + half)


# --- where it ends ----------------------------------------------------------------------------------------------------


@guarded
def critical_water_content(
    dry_solid_fraction: Numbers,
    solid_density: Numbers,
    *,
    air_content: Numbers = 0.0,
    wet_solid_fraction: Numbers = 1.0,
) -> Numbers:
    """Return the water content at which the grains touch: shrinkage ends there and the rate begins to fall.

    Parameters
    ----------
    dry_solid_fraction : float or array-like
        Volume share of solids in the dry part. [-]
    solid_density : float or array-like
        Mean density of the solids themselves. [kg/m3]
    air_content : float or array-like
        Volume share of air in the fresh paste; it takes room that water does not. [-]
    wet_solid_fraction : float or array-like
        Volume share of solids in the fresh paste with that air; needed with it. [-]

    Returns
    -------
    critical_water : float or ndarray
        ρ_w (1/φ_d - 1 - ε_a/φ_w)/ρ_s: the pores of the dry part full of water, but for the air. [-]
    """
    where = "critical_water_content"
    positive(where, dry_solid_fraction=dry_solid_fraction, wet_solid_fraction=wet_solid_fraction)
    positive(where, solid_density=solid_density)
    share(where, dry_solid_fraction=dry_solid_fraction, wet_solid_fraction=wet_solid_fraction, air_content=air_content)
    pores = np.divide(1.0, dry_solid_fraction) - 1 - np.divide(air_content, wet_solid_fraction)
    require(where, "air_content", air_content, pores >= 0, "is more than all the pores of the dry part")
    return WATER_DENSITY * pores / solid_density


@guarded
def dried_can_be(wet_solids: float, air_content: float, dry_solids: float) -> None:
    """Raise `DataError` where no part can dry from a fresh paste to these solids; all by volume, the paste with its air [-]."""
    dry = f"the dry part with φ_d = {number(dry_solids)}"
    if wet_solids > dry_solids:
        raise DataError(
            f"The fresh paste holds {number(wet_solids)} of solids by volume, more than {dry}: it would swell. Take a greater "
            "water content, or correct the solids in the dry part."
        )
    if 1 / dry_solids - 1 < air_content / wet_solids:
        raise DataError(
            f"Air in the paste, ε_a = {number(100 * air_content)} %, is more than all the pores of {dry}. Correct one of them."
        )


@guarded(moist_mass="wet_mass", moist_volume="volume", dry_volume="volume", water_density="density")
def shrinkage_limit(
    moist_mass: Numbers,
    dry_mass: Numbers,
    moist_volume: Numbers,
    dry_volume: Numbers,
    water_density: Numbers = 1000.0,
) -> Numbers:
    """Return the water content [-] below which a soil no longer shrinks.

    (m_1 - m_2)/m_2 - (V_1 - V_2) ρ_w/m_2 from masses [kg] and volumes [m3] of one moist and dried pat, without
    container (Das, Geotechnical Engineering, sec. 4.4).
    """
    positive("shrinkage_limit", dry_mass=dry_mass)
    positive("shrinkage_limit", volume=moist_volume)
    positive("shrinkage_limit", volume=dry_volume)
    lost = np.subtract(moist_mass, dry_mass)
    return (lost - water_density * np.subtract(moist_volume, dry_volume)) / dry_mass
