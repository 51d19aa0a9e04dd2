"""Straight and tapered segments of a nozzle: the pressure that shear alone costs, and what it takes to start.

Neither knows any law: both ask the law for its wall stress and its stress integral along a taper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, settled
from ..laws.base import FlowLaw
from ..nomenclature import between, written
from ..units import in_metres

WIDEST = 0.2  # m; a bore above this is millimetres given as metres
ALIKE = 1.5  # widest over narrowest, below which bores are draws of one; common practice, no source


def apparent_rate(flow_rate: ArrayLike, diameter: ArrayLike) -> Numbers:
    """Return the apparent shear rate [1/s] of a flow [m3/s] in a bore [m]: 32Q/πD³."""
    return 32 * np.asarray(flow_rate, float) / (np.pi * np.power(diameter, 3))


def _check_lengths(segment, **values):
    for name, value in values.items():
        value = np.asarray(value, float)
        if not (np.all(np.isfinite(value)) and np.all(value > 0)):
            raise DataError(f"{type(segment).__name__}: {name} = {np.min(value):g} m must be a positive length.")
        if name != "length":
            in_metres(type(segment).__name__, name, value, WIDEST, "wider than any nozzle or barrel rheokit knows")


def taper_angle(inlet_diameter: ArrayLike, outlet_diameter: ArrayLike, length: ArrayLike) -> Numbers:
    """Return the angle between axis and wall of a taper [rad]: a right angle where it has no length."""
    return np.arctan2(np.subtract(inlet_diameter, outlet_diameter) / 2, length)


def taper_length(inlet_diameter: ArrayLike, outlet_diameter: ArrayLike, half_angle: ArrayLike) -> Numbers:
    """Return the length of a taper, in the unit of its diameters, by the angle between axis and wall [rad]."""
    return np.subtract(inlet_diameter, outlet_diameter) / 2 / np.tan(half_angle)


def narrowing(wide: Numbers, narrow: Numbers) -> str:
    """Return the diameters [m] of a contraction in words: their means, or those that it goes through where they are no draws of one."""
    if np.max(narrow) < ALIKE * np.min(narrow):
        return between(np.mean(wide), np.mean(narrow), "m")
    return f"{written(np.max(wide), 'm')} to bores of {between(np.min(narrow), np.max(narrow), 'm')}"


@dataclass(frozen=True, kw_only=True, eq=False)
class Cylinder:
    """A straight length of tube: a land, a needle, a barrel.

    Parameters
    ----------
    diameter, length : float or array-like
        Bore and length along the flow. [m]
    """

    called: ClassVar[str] = "land"  # in a budget

    diameter: Numbers
    length: Numbers

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            _check_lengths(self, diameter=self.diameter, length=self.length)

    @property
    def inlet_diameter(self) -> Numbers:
        """Diameter at either end [m]."""
        return self.diameter

    outlet_diameter = inlet_diameter

    @guarded
    def with_ends(self, inlet_diameter: Numbers, outlet_diameter: Numbers) -> Segment:
        """Return the segment with other ends [m]: a cone where they differ."""
        if np.all(np.equal(inlet_diameter, outlet_diameter)):
            return Cylinder(diameter=outlet_diameter, length=self.length)
        return Cone(inlet_diameter=inlet_diameter, outlet_diameter=outlet_diameter, length=self.length)

    @guarded
    def pressure_drop(self, law: FlowLaw, flow_rate: ArrayLike) -> Numbers:
        """Return the pressure [Pa] that drives a flow [m3/s] through it: Δp = 4 τ_w L/D, fully developed shear flow."""
        return self.start_factor * law.wall_shear_stress(apparent_rate(flow_rate, self.diameter))

    @property
    def start_factor(self) -> Numbers:
        """Start pressure over yield stress [-]: 4 L/D."""
        return 4 * self.length / self.diameter

    @property
    def size(self) -> str:
        """The segment in words."""
        return f"{written(np.mean(self.diameter), 'm')} x {written(np.mean(self.length), 'm')}"


@dataclass(frozen=True, kw_only=True, eq=False)
class Cone:
    """A straight taper.

    Parameters
    ----------
    inlet_diameter, outlet_diameter, length : float or array-like
        Wide end, narrow end and length along the axis. Equal ends make a cylinder. [m]
    """

    called: ClassVar[str] = "taper"  # in a budget

    inlet_diameter: Numbers
    outlet_diameter: Numbers
    length: Numbers

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            inlet, outlet = self.inlet_diameter, self.outlet_diameter
            _check_lengths(self, inlet_diameter=inlet, outlet_diameter=outlet, length=self.length)
            if np.any(np.less(inlet, outlet)):
                raise DataError(
                    f"Cone: inlet_diameter = {np.min(inlet) * 1e3:g} mm is smaller than outlet_diameter = "
                    f"{np.max(outlet) * 1e3:g} mm. rheokit computes narrowing flow only; give the ends in flow order."
                )

    @property
    def half_angle(self) -> Numbers:
        """Angle between axis and wall [rad]."""
        return taper_angle(self.inlet_diameter, self.outlet_diameter, self.length)

    @guarded
    def with_ends(self, inlet_diameter: Numbers, outlet_diameter: Numbers) -> Segment:
        """Return the taper with other ends [m] and the same length."""
        return Cone(inlet_diameter=inlet_diameter, outlet_diameter=outlet_diameter, length=self.length)

    @guarded
    def pressure_drop(self, law: FlowLaw, flow_rate: Numbers) -> Numbers:
        """Return the pressure [Pa] that a flow [m3/s] costs in shear alone (lubrication): always on the low side."""
        inlet, outlet = np.asarray(self.inlet_diameter) / 2, np.asarray(self.outlet_diameter) / 2
        straight = inlet == outlet
        step = np.where(straight, 1.0, inlet - outlet)
        tapered = 2 * self.length / step * law.cone_stress_integral(flow_rate, inlet, outlet)
        if not straight.any():
            return tapered
        tube = Cylinder(diameter=self.outlet_diameter, length=self.length).pressure_drop(law, flow_rate)
        return np.where(straight, tube, tapered)[()]

    @property
    def start_factor(self) -> Numbers:
        """Start pressure over yield stress [-], shear part: 2 ln(D_in/D_out) / tan α."""
        inlet, outlet = np.asarray(self.inlet_diameter), np.asarray(self.outlet_diameter)
        step = (inlet - outlet) / outlet
        slender = np.where(step > 0, np.log1p(step) / np.where(step > 0, step, 1.0), 1.0)
        return (4 * self.length / outlet * slender)[()]

    @property
    def size(self) -> str:
        """The segment in words."""
        return f"{narrowing(self.inlet_diameter, self.outlet_diameter)} over {written(np.mean(self.length), 'm')}"


Segment: TypeAlias = Cylinder | Cone
"""What a nozzle is made of."""
