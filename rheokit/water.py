"""Water and stiffness: how the yield stress falls with the water content, and what to add to set it right."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from .errors import DataError
from .inputs import not_negative, positive, require
from .recipe import dry_basis, wet_basis

FIRST_SHARE = 2 / 3
"""Share of a correction to add before the next test [-]; common practice, no source."""

CLAY_DECADE = np.log(35.0)
"""Fall of ln strength from plastic to liquid limit; Vardanega and Haigh, Can. Geotech. J. 51 (2014) 1079."""


class Correction(NamedTuple):
    """What to add to a batch [kg], with its interval, what of it first, and what it should hold then."""

    what: str
    mass: float
    low: float
    high: float
    first: float
    water_content: float

    def __str__(self):
        masses = (1e3 * mass for mass in (self.mass, self.low, self.high, self.first))
        amount, low, high, first = (f"{mass:.3g} g" for mass in masses)
        if not self.mass:
            return "The batch is as wanted: add nothing."
        return (
            f"Add {amount} of {self.what} in all ({low} to {high}, by the slope's interval). Add {first} of it first, "
            "mix, rest and test as before, then work out again what is left."
        )


@dataclass(frozen=True, kw_only=True)
class WaterLaw:
    """ln τ_y = a - b u, near the water contents it was fitted to.

    Parameters
    ----------
    slope : float
        b, the fall of ln yield stress with the water content on the dry basis: 2 to 6 for pastes near u = 1 (common
        practice, no source). [-]
    low, high : float, optional
        Ends of its interval. [-]
    intercept : float, optional
        a, ln of the yield stress in Pa at u = 0. [-]
    water_range : tuple of float, optional
        Water contents that the fit covers. [-]
    """

    slope: float
    low: float | None = None
    high: float | None = None
    intercept: float | None = None
    water_range: tuple | None = None

    def __post_init__(self):
        positive("WaterLaw", water_slope=self.slope)
        if (self.low is None) != (self.high is None):
            raise DataError("WaterLaw: give both ends of the slope's interval, low and high, or neither.")
        if self.low is not None and not self.low <= self.slope <= self.high:
            ends = f"{self.low:g} to {self.high:g}"
            raise DataError(f"WaterLaw: slope = {self.slope:g} is not within its interval, {ends}.")

    @classmethod
    def fit(cls, water_contents, yield_stresses, relative_uncertainty=None, level=0.95):
        """Return the law through readings at two or more water contents.

        Parameters
        ----------
        water_contents : array-like, shape (N,)
            Dry basis. [-]
        yield_stresses : array-like, shape (N,)
            All of one kind of test. [Pa]
        relative_uncertainty : float or array-like, shape (N,), optional
            Standard, of each yield stress; widened where the readings scatter more. Without it the scatter of three or
            more readings serves. [-]
        level : float
            Of the slope's interval. [-]

        Returns
        -------
        WaterLaw

        Raises
        ------
        DataError
            If the readings do not fix the slope or its error, or the yield stress does not fall with water.
        """
        from scipy.special import ndtri, stdtrit

        u, stress = np.asarray(water_contents, float), np.asarray(yield_stresses, float)
        not_negative("WaterLaw.fit", water_content=u)
        positive("WaterLaw.fit", yield_stress=stress)
        if u.ndim != 1 or u.shape != stress.shape or len(np.unique(u)) < 2:
            raise DataError(
                f"WaterLaw.fit: {u.size} water contents ({len(np.unique(u))} different) and {stress.size} yield "
                "stresses; a slope needs one yield stress each, at two different water contents or more."
            )
        if relative_uncertainty is None and len(u) < 3:
            raise DataError(
                "WaterLaw.fit: two readings lie on a line whatever their error; state relative_uncertainty (0.15 for "
                "15 %), or add a third water content."
            )
        error = 1.0 if relative_uncertainty is None else relative_uncertainty
        positive("WaterLaw.fit", relative_uncertainty=error)
        weight = np.broadcast_to(1 / np.square(error), u.shape)
        middle, ln_middle = np.average(u, weights=weight), np.average(np.log(stress), weights=weight)
        spread = np.sum(weight * (u - middle) ** 2)
        slope = -np.sum(weight * (u - middle) * np.log(stress)) / spread
        if slope <= 0:
            raise DataError(
                f"WaterLaw.fit: ln yield stress falls by {slope:.3g} per unit of water content; it should fall. Are "
                "the water contents all on the dry basis, and the pastes rested alike?"
            )
        left = np.log(stress) - ln_middle + slope * (u - middle)
        scatter = np.sum(weight * left**2) / max(len(u) - 2, 1)  # reduced chi-square
        if relative_uncertainty is None:
            half = stdtrit(len(u) - 2, (1 + level) / 2) * np.sqrt(scatter / spread)
        else:
            half = ndtri((1 + level) / 2) * np.sqrt(max(scatter, 1.0) / spread)
        return cls(
            slope=float(slope),
            low=float(slope - half),
            high=float(slope + half),
            intercept=float(ln_middle + slope * middle),
            water_range=(float(u.min()), float(u.max())),
        )

    @classmethod
    def clay(cls, liquid_limit, plastic_limit):
        """Return the slope of a clay from its liquid and plastic limit [-]: ln 35/(w_L - w_P).

        For liquidity indices from 0.2 to 1.1, with a scatter of strengths within a factor of 1.5 to 2; only the slope
        is taken, the level has to be measured (Vardanega and Haigh, Can. Geotech. J. 51 (2014) 1079).
        """
        index = liquid_limit - plastic_limit
        why = "is no liquid limit: it is not above the plastic one"
        require("WaterLaw.clay", "water_content", liquid_limit, index > 0, why)
        return cls(slope=float(CLAY_DECADE / index))

    def stress_factor(self, water_from, water_to):
        """Return the factor on every yield stress [-] between two water contents [-], dry basis."""
        not_negative("WaterLaw.stress_factor", water_content=water_from)
        not_negative("WaterLaw.stress_factor", water_content=water_to)
        return np.exp(-self.slope * np.subtract(water_to, water_from))

    def yield_stress(self, water_content):
        """Return the yield stress [Pa] at a water content [-], dry basis; trust it only within `water_range`."""
        if self.intercept is None:
            raise DataError("WaterLaw.yield_stress: only the slope is known; measure one yield stress, or fit the law.")
        not_negative("WaterLaw.yield_stress", water_content=water_content)
        return np.exp(self.intercept - self.slope * np.asarray(water_content, float))[()]

    def correction(self, mass, *, water_content, stress_now, stress_wanted, premix_moisture=0.0):
        """Return what to add to a batch so that it reaches a yield stress.

        Parameters
        ----------
        mass : float
            Of the paste there is. [kg]
        water_content : float
            Of it, dry basis. [-]
        stress_now, stress_wanted : float
            Yield stresses of one kind of test. [Pa]
        premix_moisture : float
            Water in the dry premix, over its mass. [-]

        Returns
        -------
        Correction
            Water for a paste too stiff; for one too soft dry premix, since water cannot be taken out. [kg]

        Examples
        --------
        Half a kilogram of an invented paste that came out at 1400 Pa instead of 650:

        >>> law = WaterLaw(slope=3.23, low=2.9, high=3.6)
        >>> print(law.correction(0.5, water_content=0.8075, stress_now=1400.0, stress_wanted=650.0))
        Add 65.7 g of water in all (59 g to 73.2 g, by the slope's interval). Add 43.8 g of it first, mix, rest and
        test as before, then work out again what is left.
        """
        if self.low is None:
            raise DataError(
                "WaterLaw.correction: the slope has no interval; give low and high with it, or fit three readings."
            )
        positive("WaterLaw.correction", yield_stress=stress_now)
        positive("WaterLaw.correction", yield_stress=stress_wanted)
        fall = float(np.log(stress_now / stress_wanted))

        def needed(slope):
            change = fall / slope if slope > 0 else np.inf
            if fall >= 0:
                return water_to_add(mass, water_content, change) if fall else 0.0
            endless = slope <= 0 or water_content + change <= dry_basis(premix_moisture)
            return np.inf if endless else premix_to_add(mass, water_content, change, premix_moisture)

        best, wanted = needed(self.slope), water_content + fall / self.slope
        if np.isinf(best):
            raise DataError(
                f"WaterLaw.correction: the batch would have to come down to water_content = {wanted:.3g}, which the "
                "dry premix cannot bring it to; dry the premix, or start a new batch."
            )
        return Correction(
            "water" if fall >= 0 else "dry premix",
            mass=float(best),
            low=float(needed(self.high)),
            high=float(needed(self.low)),
            first=float(FIRST_SHARE * best),
            water_content=float(wanted),
        )


def water_to_add(mass, water_content, water_change):
    """Return the water [kg] that raises the water content [-] of a mass of paste [kg] by a change [-], dry basis."""
    positive("water_to_add", mass=mass)
    not_negative("water_to_add", water_content=water_content)
    why = "is negative: add dry premix"
    require("water_to_add", "water_change", water_change, np.greater_equal(water_change, 0), why)
    return mass / np.add(1.0, water_content) * water_change


def premix_to_add(mass, water_content, water_change, moisture=0.0):
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
    dry = mass / np.add(1.0, water_content)
    return (dry * water_content / wanted - dry) / (1 - moisture - np.divide(moisture, wanted))
