"""How the yield stress falls with the water content."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

import numpy as np
from numpy.typing import ArrayLike

from ...brief import brief
from ...errors import DataError, ExtrapolationWarning
from ...hints import Numbers
from ...inputs import guarded, not_negative, positive, require, settled, warn_outside
from ...sampling import LEVEL, students
from .correction import Correction, corrected, outside
from .fitted import of_fit
from .through import through

if TYPE_CHECKING:
    from ...fitting.result import FitResult

CLAY_DECADE = np.log(35.0)
"""Fall of ln strength from plastic to liquid limit; Vardanega and Haigh, Can. Geotech. J. 51 (2014) 1079."""


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
    centre, breadth : float, optional
        Weighted mean and standard deviation of the water contents of the fit. [-]
    reading_spread : float, optional
        Standard deviation of ln of one reading of the fit. [-]
    spread_stated : bool
        Whether that is as was stated of the readings, and no scatter shows more.
    freedom : float
        Degrees of freedom that it is known with. [-]
    level : float
        Of the slope's interval. [-]
    scatter : str
        In words, what the scatter of the readings makes of the limits, or what so few cannot show.
    there : str
        In words, at which temperature and age the line stands.
    doubts : tuple of str
        Sentences against the line: that a condition was not read, or that it changes nothing.
    """

    slope: float
    low: float | None = None
    high: float | None = None
    intercept: float | None = None
    water_range: tuple | None = None
    centre: float | None = None
    breadth: float | None = None
    reading_spread: float | None = None
    spread_stated: bool = False
    freedom: float = np.inf
    level: float = LEVEL
    scatter: str = ""
    there: str = ""
    doubts: tuple = ()

    __repr__ = brief

    def __post_init__(self):
        with settled(self, slope="water_slope"):
            positive("WaterLaw", water_slope=self.slope)
        if (self.low is None) != (self.high is None):
            raise DataError("WaterLaw: give both ends of the slope's interval, low and high, or neither.")
        if self.low is not None and not self.low <= self.slope <= self.high:
            ends = f"{self.low:g} to {self.high:g}"
            raise DataError(f"WaterLaw: slope = {self.slope:g} is not within its interval, {ends}.")

    @classmethod
    @guarded(water_contents="water_content", yield_stresses="yield_stress", level="confidence_level")
    def fit(
        cls,
        water_contents: Numbers,
        yield_stresses: Numbers,
        relative_uncertainty: Numbers | None = None,
        level: float = LEVEL,
    ) -> Self:
        """Return the law through readings at two or more water contents.

        Parameters
        ----------
        water_contents : array-like, shape (N,)
            Dry basis. [-]
        yield_stresses : array-like, shape (N,)
            All of one kind of test. [Pa]
        relative_uncertainty : float or array-like, shape (N,), optional
            Standard, of each yield stress. It counts as three readings more that scatter as it says, and is not made
            smaller by readings that scatter less; without it their scatter serves alone. [-]
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
        return through(cls, water_contents, yield_stresses, relative_uncertainty, level)

    @classmethod
    def of(
        cls,
        fit: FitResult,
        level: float = LEVEL,
        *,
        temperature: float | None = None,
        age: float | None = None,
        batch: str = "next",
    ) -> Self:
        """Return the water law that a fit of a law depending on the water found, at one temperature and age.

        Parameters
        ----------
        fit : FitResult
            Of a law such as ``rk.watered(rk.HerschelBulkley, 1.0)``, with a yield stress.
        level : float
            Of the slope's interval. [-]
        temperature : float, optional
            At which the yield stress is asked; the reference where it is left out. [K]
        age : float, optional
            Likewise. [s]
        batch : {"next", "median"}
            Of which the level is: of a batch that was just mixed the spread from batch to batch makes part of its error, as
            well as the batches tell it.

        Returns
        -------
        WaterLaw
            Slope with the limits of the fit; the level's error tied to that of the slope as the joint draws of both have it.

        Raises
        ------
        DataError
            If the fit's law does not depend on the water, has no yield stress, or the readings do not fix the slope.
        """
        return of_fit(cls, fit, level, temperature, age, batch)

    @classmethod
    @guarded(liquid_limit="water_content", plastic_limit="water_content")
    def clay(cls, liquid_limit: Numbers, plastic_limit: Numbers) -> Self:
        """Return the slope of a clay from its liquid and plastic limit [-]: ln 35/(w_L - w_P).

        For liquidity indices from 0.2 to 1.1, with a scatter of strengths within a factor of 1.5 to 2; only the slope
        is taken, the level has to be measured (Vardanega and Haigh, Can. Geotech. J. 51 (2014) 1079).
        """
        index = liquid_limit - plastic_limit
        why = "is no liquid limit: it is not above the plastic one"
        require("WaterLaw.clay", "water_content", liquid_limit, index > 0, why)
        return cls(slope=float(CLAY_DECADE / index))

    @guarded(water_from="water_content", water_to="water_content")
    def stress_factor(self, water_from: ArrayLike, water_to: ArrayLike) -> Numbers:
        """Return the factor on every yield stress [-] between two water contents [-], dry basis; it warns outside `water_range`."""
        not_negative("WaterLaw.stress_factor", water_content=water_from)
        not_negative("WaterLaw.stress_factor", water_content=water_to)
        self._warn_outside("stress_factor", water_from, water_to)
        return self.line_factor(water_from, water_to)

    def line_factor(self, water_from: ArrayLike, water_to: ArrayLike) -> Numbers:
        """Return the factor on the line between two water contents [-], as far apart as one likes."""
        return np.exp(-self.slope * np.subtract(water_to, water_from))

    def stiffened(self, drop: float) -> tuple[float, float, float]:
        """Return by what share of itself the line rises where the water content falls by a drop [-], and the limits of that."""
        return tuple(float(np.expm1(slope * drop)) for slope in (self.slope, self.low, self.high))  # type: ignore[return-value]

    @guarded
    def yield_stress(self, water_content: ArrayLike) -> Numbers:
        """Return the yield stress [Pa] at a water content [-], dry basis; it warns outside `water_range`."""
        if self.intercept is None:
            raise DataError("WaterLaw.yield_stress: only the slope is known; measure one yield stress, or fit the law.")
        not_negative("WaterLaw.yield_stress", water_content=water_content)
        self._warn_outside("yield_stress", water_content)
        return self.line(water_content)

    def outside(self, *water_contents: ArrayLike) -> str:
        """Return in a sentence that water contents [-] are not those of the fit; empty where they are, or it is not known."""
        ends = np.unique(np.concatenate([np.ravel(one) for one in water_contents]))
        return outside(self, *ends[[0, -1]]) if len(ends) else ""

    def _warn_outside(self, where, *water_contents):
        if said := self.outside(*water_contents):
            warn_outside(f"WaterLaw.{where}: {said}", ExtrapolationWarning)

    def line(self, water_content: ArrayLike) -> Numbers:
        """Return the yield stress [Pa] of the line at a water content [-], dry basis, drawn as far as one likes."""
        return np.exp(self.intercept - self.slope * np.asarray(water_content, float))[()]

    @guarded
    def band(self, water_content: ArrayLike) -> tuple[Numbers, Numbers, Numbers]:
        """Return the yield stress of the fitted line with its limits; it warns outside `water_range`.

        Parameters
        ----------
        water_content : float or array-like
            Dry basis. [-]

        Returns
        -------
        stress, low, high : float or ndarray
            At the level of the slope's interval. [Pa]

        Notes
        -----
        The half width of ln τ_y is that of the slope times (s² + (u - ū)²)^(1/2), with ū and s the weighted mean and
        standard deviation of the water contents read: the variance of a straight line about its centre of gravity.
        """
        self._warn_outside("band", water_content)
        return self.line_band(water_content)

    def line_band(self, water_content: ArrayLike) -> tuple[Numbers, Numbers, Numbers]:
        """Return what `band` does, drawn as far as one likes."""
        if self.centre is None:
            raise DataError("WaterLaw.band: the law has no level or no interval; take one from WaterLaw.fit.")
        stress = self.line(water_content)
        away = np.subtract(water_content, self.centre)
        factor = np.exp((self.high - self.slope) * np.hypot(self.breadth, away))
        return stress, stress / factor, stress * factor

    @guarded(stress_wanted="yield_stress", stress_now_spread="relative_uncertainty", premix_moisture="moisture")
    def correction(
        self,
        mass: Numbers,
        *,
        water_content: Numbers,
        stress_wanted: Numbers,
        stress_now: Numbers | None = None,
        stress_now_spread: float | None = None,
        premix_moisture: Numbers = 0.0,
    ) -> Correction:
        """Return what to add to a batch so that it reaches a yield stress.

        Parameters
        ----------
        mass : float
            Of the paste there is, weighed. [kg]
        water_content : float
            Of it, dry basis, as it was weighed. [-]
        stress_wanted : float
            Yield stress, of the kind of test that reads `stress_now`. [Pa]
        stress_now : float or Interval, optional
            Yield stress just read, or a value with `low` and `high` as ``fit.interval`` gives one. None: that of the
            law at `water_content`, its error tied to that of the slope. [Pa]
        stress_now_spread : float, optional
            Standard deviation of ln of `stress_now`; else that of the readings of the law, at least
            `LEAST_SPREAD`; else `ASSUMED_SPREAD`. [-]
        premix_moisture : float
            Water in the dry premix, over its mass. [-]

        Returns
        -------
        Correction
            Water for a paste too stiff; for one too soft dry premix, since water cannot be taken out. Its `doubts` say
            where it goes outside `water_range`, where the reading is off the law by more than three standard deviations
            of both, and what an interval given as `stress_now` says against itself: checks that failed, rates not read. [kg]

        Notes
        -----
        The limits of the change of water content, the ratio of two uncertain numbers, are those of Fieller (Suppl. J.
        R. Stat. Soc. 7 (1940) 1, from memory). They hold the error of the slope and of the yield stress there is; the
        masses and the law's form are taken as exact.

        Examples
        --------
        Half a kilogram of an invented paste that came out at 1400 Pa instead of 650:

        >>> law = WaterLaw(slope=3.23, low=2.9, high=3.6)
        >>> print(law.correction(0.5, water_content=0.8075, stress_now=1400.0, stress_wanted=650.0))
        Add 66 g of water in all (95 % 32 to 101 g, by the slope's interval and that of the yield stress just read,
        20 %, assumed). Add 44 g of it first, mix, rest and test as before, then work out again what is left.
        """
        return corrected(self, mass, water_content, stress_now, stress_now_spread, stress_wanted, premix_moisture)

    @property
    def normal(self) -> float:
        """How many standard deviations of a normal distribution the interval of the slope reaches to either side [-]."""
        from scipy.special import ndtri

        return float(ndtri((1 + self.level) / 2))

    @property
    def reach(self) -> float:
        """How many standard deviations of a reading of the fit its limits lie to either side, by Student's t [-]."""
        return float(students(self.normal, self.freedom))
