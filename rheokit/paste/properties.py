"""The numbers of a paste that a print asks for: one number each, or a column of joint draws."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers, Table
from ..inputs import guarded, judging, positive, require, settled
from ..laws import FlowLaw, Shifted
from ..things import a

ABOVE_ZERO = (
    "static_ratio", "density", "modulus", "lean_factor", "grain_size", "largest_grain", "porosity", "drag_diameter",
    "liquid_viscosity", "diffusivity", "dry_density", "skin_loss",
)  # fmt: skip
"""What a paste has more than none of, where it is known."""

ORDERED = (
    ("grain_size", "largest_grain", "nine grains in ten are smaller than the first, all than the second"),
    ("dry_density", "density", "the wet paste holds the dry mass and its water"),
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Paste:
    """A paste as limits and regions see it: one number, or one column of draws (count, 1, 1), for each property.

    Parameters
    ----------
    law : FlowLaw
    static_ratio : float
        Static over dynamic yield stress, after the actual rest. [-]
    density : float
        With its air. [kg/m3]
    air_content : float
        Volume share of trapped air. [-]
    modulus : float
        Young's modulus at small strain, three times the shear modulus. [Pa]
    lean_factor : float
        Height at which real walls lean over the computed one: 0.6 to 1; 1 with a modulus read from a wall that leaned. [-]
    build_up_rate : float
        Growth of the static yield stress at rest. [Pa/s]
    build_up_time : float
        Longest rest over which that growth was measured. [s]
    grain_size, largest_grain : float
        Nine grains in ten are smaller than the first, all than the second; the longest dimension of fibres and flakes. [m]
    surface_tension : float
        [N/m]
    water_content, water_slope : float
        Water over dry mass, and the fall of ln yield stress with it. [-]
    porosity, drag_diameter, liquid_viscosity : float
        For drainage: volume share of liquid [-], surface-mean grain diameter [m], viscosity of the liquid at low rate [Pa·s].
    diffusivity, dry_density, skin_loss : float
        For skins and cracks: moisture diffusivity [m2/s], dry mass over wet volume [kg/m3], and the fall of the water
        content at the surface that ends adhesion [-].
    shrinkage_xy, shrinkage_z : float
        Linear, on the wet length. [-]
    """

    law: FlowLaw
    static_ratio: Numbers = 1.3
    density: Numbers = None
    air_content: Numbers = None
    modulus: Numbers = None
    lean_factor: Numbers = 0.8
    build_up_rate: Numbers = 0.0
    build_up_time: Numbers = 0.0
    grain_size: Numbers = None
    largest_grain: Numbers = None
    surface_tension: Numbers = 0.05
    water_content: Numbers = None
    water_slope: Numbers = None
    porosity: Numbers = None
    drag_diameter: Numbers = None
    liquid_viscosity: Numbers = None
    diffusivity: Numbers = None
    dry_density: Numbers = None
    skin_loss: Numbers = None
    shrinkage_xy: Numbers = None
    shrinkage_z: Numbers = None

    __repr__ = brief

    def __post_init__(self):
        a("FlowLaw", "Paste", "law", self.law)
        with settled(self):
            positive("Paste", **{name: value for name in ABOVE_ZERO if (value := getattr(self, name)) is not None})
        for small, large, why in ORDERED if judging() else ():
            low, high = getattr(self, small), getattr(self, large)
            if low is not None and high is not None:
                require("Paste", small, low, np.less_equal(low, high), f"is above {large}: {why}")

    @property
    def yield_stress(self) -> Numbers:
        """Dynamic yield stress [Pa]."""
        return self.law.yield_stress

    @property
    def static_yield_stress(self) -> Numbers:
        """Stress at which it starts to flow after its rest [Pa]."""
        return self.static_ratio * self.law.yield_stress

    @guarded(factor="stress_factor")
    def stiffer(self, factor: Numbers) -> Paste:
        """Return the paste with every stress and the modulus times a factor [-]: another batch, or another water content."""
        law = self.law
        inner, old = (law.law, law.stress_factor) if isinstance(law, Shifted) else (law, 1.0)
        rate_factor = law.rate_factor if isinstance(law, Shifted) else 1.0
        modulus = None if self.modulus is None else self.modulus * factor
        return replace(self, law=Shifted(inner, old * factor, rate_factor), modulus=modulus)

    @guarded
    def at_water(self, water_content: Numbers) -> Paste:
        """Return the paste at another water content [-], dry basis: ln stress falls by `water_slope` per unit.

        A local rule, good between the water contents it was fitted to.
        """
        if self.water_content is None or self.water_slope is None:
            raise DataError(
                "Paste.at_water: water_content and water_slope are needed to move the water; fit the slope to yield stresses "
                "at two or more water contents."
            )
        moved = self.stiffer(np.exp(-self.water_slope * (np.asarray(water_content) - self.water_content)))
        return replace(moved, water_content=water_content)


def rows_of(thing: Numbers | None, rows: slice, count: int) -> Numbers | tuple[Table, list] | FlowLaw | Paste | None:
    """Return a frozen record with every column of `count` draws, shape (count, 1, 1), cut to some rows."""
    if isinstance(thing, np.ndarray):
        return thing[rows] if thing.ndim == 3 and len(thing) == count else thing
    if isinstance(thing, tuple):
        parts = tuple(rows_of(part, rows, count) for part in thing)
        return parts if any(new is not old for new, old in zip(parts, thing, strict=True)) else thing
    if not is_dataclass(thing):
        return thing
    old = {f.name: getattr(thing, f.name) for f in fields(thing) if f.init}
    new = {name: rows_of(value, rows, count) for name, value in old.items()}
    return replace(thing, **new) if any(new[name] is not old[name] for name in old) else thing
