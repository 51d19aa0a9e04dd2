"""The numbers of a paste that a print asks for: one number each, or a column of joint draws."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np

from ..brief import brief
from ..errors import DataError, ModelRangeWarning
from ..hints import Numbers, Table
from ..inputs import guarded, judged_number, judging, positive, settled, warn_outside
from ..laws import FlowLaw, Shifted
from ..nomenclature import QUANTITIES, number, written
from ..sampling import limits_of_spread
from ..things import a

NEAR_GEL = 3.0  # K above the gel point from which Arrhenius holds; from memory
ABOVE_ZERO = (
    "static_ratio", "density", "modulus", "lean_factor", "grain_size", "largest_grain", "porosity", "drag_diameter",
    "liquid_viscosity", "diffusivity", "dry_density", "skin_loss", "setting_time", "setting_exponent", "heat_capacity",
    "thermal_diffusivity", "dry_section", "break_ratio",
)  # fmt: skip
"""What a paste has more than none of, where it is known."""

LEAST = {"static_ratio": 1.0}
"""What a property cannot be below, whatever its spread: rest does not soften a paste."""

ORDERED = (
    ("grain_size", "largest_grain", "nine grains in ten are smaller than the first, all than the second"),
    ("dry_density", "density", "the wet paste holds the dry mass and its water"),
    ("gel_temperature", "melt_temperature", "a gel melts no colder than it sets"),
)

OF_GELS = (
    "gel_temperature", "melt_temperature", "setting_time", "setting_exponent", "heat_capacity", "thermal_diffusivity",
    "water_activity", "dry_section", "break_ratio",
)  # fmt: skip
"""What only a gel is asked that is heated, set or drawn."""


def bounded(name: str, drawn: Numbers, value: Numbers) -> Numbers:
    """Return draws of a property, none below what it cannot be below; as they are where its value is typed lower than that."""
    least = LEAST.get(name)
    return drawn if least is None or np.any(np.asarray(value) < least) else np.maximum(drawn, least)


def limits_of_property(name: str, value: Numbers, spread: Numbers) -> tuple[Numbers, Numbers]:
    """Return the 95 % limits of a property whose ln has a standard deviation [-], as it is drawn, in the unit of the value."""
    low, high = limits_of_spread(value, spread)
    return bounded(name, low, value), high


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
    gel_temperature, melt_temperature : float
        At which a gel that is cooled stops, and a set one that is warmed starts to flow, at about 1 K/min. [K]
    setting_time : float
        Time to set 10 K below the gel point. [s]
    setting_exponent : float
        Fall of ln setting time with ln of the kelvins below the gel point. [-]
    heat_capacity : float
        About 4180 for each share of water by mass, 1500 of solids and 2400 of glycerol (from memory). [J/(kg K)]
    thermal_diffusivity : float
        [m2/s]
    water_activity : float
        Vapour pressure over it, over that of water. [-]
    dry_section : float
        Section of a dry fibre over that of the wet one. [-]
    break_ratio : float
        Greatest draw ratio that was drawn without a break. [-]
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
    gel_temperature: Numbers = None
    melt_temperature: Numbers = None
    setting_time: Numbers = None
    setting_exponent: Numbers = 2.0
    heat_capacity: Numbers = None
    thermal_diffusivity: Numbers = 1.4e-7
    water_activity: Numbers = 0.98
    dry_section: Numbers = None
    break_ratio: Numbers = None

    __repr__ = brief

    def __post_init__(self):
        a("FlowLaw", "Paste", "law", self.law)
        self._take_from_law()
        with settled(self):
            positive("Paste", **{name: value for name in ABOVE_ZERO if (value := getattr(self, name)) is not None})
        for small, large, why in ORDERED if judging() else ():
            low, high = getattr(self, small), getattr(self, large)
            if low is not None and high is not None and (wrong := np.greater(low, high)).any():
                ends = (np.broadcast_to(one, wrong.shape)[wrong].flat[0] for one in (low, high))
                said = [
                    f"{name} = {written(end, QUANTITIES[name], 4)}"
                    for name, end in zip((small, large), ends, strict=True)
                ]
                raise DataError(f"Paste: {said[0]} is above {said[1]}: {why}; correct one of them.")

    def _take_from_law(self):
        """Take slope and water content from a law that depends on the water, where they are not given; refuse another water content."""
        if "water_content" not in self.law.depends_on:
            return
        there = self.law.condition["water_content"]
        object.__setattr__(self, "water_slope", self.law.effects["water_slope"])
        if self.water_content is None:
            object.__setattr__(self, "water_content", there)
        elif judging() and not np.ndim(there) and not np.all(np.isclose(self.water_content, there, rtol=1e-9)):
            raise DataError(
                f"Paste: water_content = {number(self.water_content, 4)}, but its law is at {number(there, 4)}; give law.at(water_content=...), or "
                "move the paste with at_water."
            )

    @property
    def asked_of_it(self) -> list[str]:
        """Names of the properties that a reader is shown: those of gels only where one of them was given."""
        about = self.__dataclass_fields__
        gel = any(getattr(self, name) is not None and about[name].default is None for name in OF_GELS)
        return [name for name in about if name != "law" and (gel or name not in OF_GELS)]

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
        if type(law) is not Shifted:
            law = Shifted(law)
        modulus = None if self.modulus is None else self.modulus * factor
        return replace(self, law=replace(law, stress_factor=law.stress_factor * factor), modulus=modulus)

    @guarded
    def at_water(self, water_content: Numbers) -> Paste:
        """Return the paste at another water content [-], dry basis: ln stress falls by `water_slope` per unit.

        A local rule, good between the water contents it was fitted to. A law that depends on the water itself brings its slope.
        """
        if self.water_content is None:
            raise DataError(
                "Paste.at_water: at which water content the readings were made is not known: water_content is needed to move the water."
            )
        if self.water_slope is None:
            raise DataError(
                "Paste.at_water: water_slope is needed to move the water; fit it to yield stresses at two or more water contents."
            )
        factor = np.exp(-self.water_slope * (np.asarray(water_content) - self.water_content))
        if "water_content" not in self.law.depends_on:
            return replace(self.stiffer(factor), water_content=water_content)
        modulus = None if self.modulus is None else self.modulus * factor
        return replace(self, law=self.law.at(water_content=water_content), water_content=water_content, modulus=modulus)

    def law_at(
        self, temperature: Numbers | None = None, water_content: Numbers | None = None, age: Numbers | None = None
    ) -> FlowLaw:
        """Return its law at a condition; what the law does not depend on changes nothing.

        Parameters
        ----------
        temperature : float or array-like, optional
            [K]
        water_content : float or array-like, optional
            Dry basis. [-]
        age : float or array-like, optional
            Since mixing. [s]

        Returns
        -------
        law : FlowLaw

        Raises
        ------
        DataError
            At one temperature below the gel point, where the paste sets and the law of the liquid says nothing. Arrays are
            computed; a limit says where they are below.

        Warns
        -----
        ModelRangeWarning
            Within 3 K of the gel point, where a viscosity rises by more than Arrhenius has it (from memory).
        """
        gel = self.gel_temperature
        if temperature is not None:
            temperature = judged_number("Paste.law_at", "temperature", temperature, "temperature")
        if temperature is not None and gel is not None and not np.ndim(temperature) and not np.ndim(gel):
            if temperature < gel:
                raise DataError(
                    f"Paste.law_at: temperature = {written(temperature, 'K')} is below the gel point, {written(gel, 'K')}: there the paste "
                    "sets, and the law of the liquid says nothing of it. Ask above the gel point, or keep the nozzle warmer."
                )
            if "temperature" in self.law.depends_on and temperature < gel + NEAR_GEL:
                warn_outside(
                    f"Paste.law_at: temperature = {written(temperature, 'K')} is within {NEAR_GEL:g} K of the gel point, "
                    f"{written(gel, 'K')}, where the viscosity rises by more than the law has it.",
                    ModelRangeWarning,
                )
        return self.law.at(temperature=temperature, water_content=water_content, age=age)


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
