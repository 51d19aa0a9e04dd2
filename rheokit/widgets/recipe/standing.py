"""Whether a part stands while it is printed: heights with their intervals, by draws of what is not known exactly."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from ...errors import DataError
from ...inputs import trusted
from ...laws.criterion import PLANE_STRAIN, UNIAXIAL
from ...limits import LIMITS
from ...nomenclature import QUANTITIES, number
from ...part.printing import LONG, RING
from ...part.shape import (
    effective_modulus,
    greatest_rise_speed,
    line_holding_stress,
    plastic_height,
    ring_buckling_height,
    stiff_span,
    strong_span,
    wall_buckling_height,
)
from ...paste.material import BATCH_SPREAD, Paste
from ...sampling import TAILS, Normals
from ...units import minute, mm

DRAWS, SEED, POINTS = 2000, 0, 31
LEANED = 0.1  # sd of ln of the height at which test walls lean; common practice, no source


def usual(name):
    """Return the usual standard deviation of the ln of a property of a paste [-]."""
    return QUANTITIES[name].spread


@dataclass(frozen=True, kw_only=True, eq=False)
class Standing:
    """A part that grows.

    Parameters
    ----------
    density : float
        [kg/m3]
    stress, stress_spread : float
        Dynamic yield stress [Pa] and the standard deviation of its ln [-].
    static_ratio : float
        [-]
    modulus : float, optional
        Young's modulus; not used where a test wall leaned. [Pa]
    leaned : float, optional
        Height at which a straight test wall of the same width leaned: the lean factor is then in it. [m]
    build_up_rate, build_up_time : float
        [Pa/s] and [s]
    shape : {"straight wall", "long wall", "ring"}
    wall_width, ring_radius, height : float
        [m]
    rise_speed : float
        [m/s]
    """

    density: float
    stress: float
    stress_spread: float
    static_ratio: float
    modulus: float | None
    leaned: float | None = None
    build_up_rate: float
    build_up_time: float
    shape: str
    wall_width: float
    ring_radius: float
    height: float
    rise_speed: float

    def __post_init__(self):
        if self.static_ratio < 1:
            raise DataError(
                f"static over dynamic yield stress = {self.static_ratio:g} cannot be below 1: rest does not soften a paste."
            )

    @cached_property
    def _drawn(self):
        """Joint draws of static yield stress, modulus, density, and the errors of both theories; best values first."""
        normals = Normals(DRAWS, SEED)

        def column(name, spread):
            return np.concatenate([[1.0], np.exp(spread * normals(name).ravel())])

        batch = column("batch", BATCH_SPREAD)
        stress = self.stress * column("law", self.stress_spread) * batch
        if self.leaned is None:
            modulus = self.modulus * column("modulus", usual("modulus")) * batch
            lean = Paste.__dataclass_fields__["lean_factor"].default * column("buckle", LIMITS["buckle"].model_error)
        else:
            modulus = effective_modulus(
                self.leaned * column("leaned", LEANED), self.wall_width, self.density, long=self.shape == LONG
            )
            lean = 1.0
        return {
            "static": self.static_ratio * stress * column("static_ratio", usual("static_ratio")),
            "modulus": modulus, "lean": lean, "density": self.density * column("density", usual("density")),
            "build": self.build_up_rate * column("build_up_rate", usual("build_up_rate")),
            "stack": column("stack", LIMITS["stack"].model_error), "span": column("span", LIMITS["span"].model_error),
        }  # fmt: skip

    @property
    def stack_factor(self):
        """Stress at yield of the foot over the yield stress in shear [-]."""
        return PLANE_STRAIN if self.shape == LONG else UNIAXIAL

    @cached_property
    def lean_heights(self):
        """Heights at which the wall leans, best value and draws [m]."""
        d = self._drawn
        if self.shape == RING:
            return d["lean"] * ring_buckling_height(d["modulus"], self.wall_width, self.ring_radius, d["density"])
        return d["lean"] * wall_buckling_height(d["modulus"], self.wall_width, d["density"], long=self.shape == LONG)

    @cached_property
    def foot_heights(self):
        """Heights at which the foot yields while the part grows, best value and draws [m]."""
        d = self._drawn
        return d["stack"] * plastic_height(
            d["static"], d["density"], build_up_rate=d["build"], build_up_time=self.build_up_time,
            rise_speed=self.rise_speed, stack_factor=self.stack_factor,
        )  # fmt: skip

    def carried(self):
        """Return the height that the foot carries at its age: a DataFrame of time [s], height, low, high [m]."""
        d, times = self._drawn, np.linspace(0.0, self.height / self.rise_speed, POINTS)
        rows = []
        for time in times:
            aged = d["static"] + d["build"] * min(time, self.build_up_time)
            rows.append(
                (time, *limits(d["stack"] * plastic_height(aged, d["density"], stack_factor=self.stack_factor)))
            )
        return pd.DataFrame(rows, columns=["time", "height", "low", "high"])

    @property
    def first(self):
        """Name of the limit that comes first and its height [m], wanted or not."""
        return min((("buckle", self.lean_heights[0]), ("stack", self.foot_heights[0])), key=lambda pair: pair[1])

    @property
    def fails(self):
        """Height [m] at which it fails first and what happens, or None where it stands by best values."""
        name, height = self.first
        return (
            (float(height), "The wall leans first" if name == "buckle" else "The foot yields first")
            if height < self.height
            else None
        )

    @property
    def chance(self):
        """Share of the draws in which the part stands [-]."""
        return float(np.mean(np.minimum(self.lean_heights, self.foot_heights)[1:] >= self.height))

    def in_words(self):
        """Return whether it stands, what comes first, and the remedy."""
        name, height = self.first
        _, low, high = limits(self.lean_heights if name == "buckle" else self.foot_heights)
        what = "it leans" if name == "buckle" else "its foot yields"
        chance = 100 * self.chance
        said = (
            "in fewer than 1 of 200"
            if chance < 0.5
            else "in more than 199 of 200"
            if chance > 99.5
            else f"in {chance:.0f} of 100"
        )
        wall = f"{self.shape}, {number(self.wall_width / mm)} mm thick and {number(self.height / mm)} mm high"
        between = f"{number(height / mm)} mm (95 % {number(low / mm)} to {number(high / mm)} mm)"
        head = f"{wall.capitalize()}: it stands {said} cases. What comes first: {what}, at {between}."
        return f"{head} Remedy: {LIMITS[name].remedy}." if self.fails else head

    def rows(self, bore, span):
        """Return rows of what stands: quantity, value, 95 % limits, unit, note; of a bridge of a line's bore [m] and span [m]."""
        d = self._drawn
        with trusted():  # a density over an error of the theory is none that anybody typed
            rise = greatest_rise_speed(
                self.height, d["static"], d["density"] / d["stack"], build_up_rate=d["build"],
                build_up_time=self.build_up_time, stack_factor=self.stack_factor,
            )  # fmt: skip
        strong = strong_span(d["static"], d["density"], bore) * d["span"]
        stiff = stiff_span(d["modulus"], d["density"], bore) * d["span"]
        reach = np.minimum(strong, stiff)
        verdict = "holds" if reach[0] >= span else "is too far: shorten it, or put a support under it"
        lean = "with the lean factor of real walls" if self.leaned is None else "the lean of the test wall is in it"
        held = float(
            line_holding_stress(bore, bore, self.density, Paste.__dataclass_fields__["surface_tension"].default)
        )
        return [
            _row("the wall leans at", self.lean_heights / mm, "mm", f"elastic buckling, {lean}"),
            _row("the foot yields at", self.foot_heights / mm, "mm", "while it grows; creep may sag it later"),
            _row("greatest rise speed to the height wanted", rise / mm * minute, "mm/min", _rising(rise)),
            _row("a bridge sags a twentieth of its diameter at", stiff / mm, "mm", "stiffness"),
            _row("a bridge first yields at", strong / mm, "mm", "strength; tearing is not judged"),
            _row("longest bridge", reach / mm, "mm", f"{number(span / mm)} mm wanted: {verdict}"),
            ["a line keeps its section above", number(held), f"{number(held / 2)} to {number(2 * held)}", "Pa",
             f"within a factor of 2; static yield stress here {number(d['static'][0])} Pa"],
        ]  # fmt: skip


def limits(draws):
    """Return best value, 2.5 % and 97.5 % quantile of draws whose first is the best value."""
    low, high = np.quantile(draws[1:], TAILS, method="inverted_cdf")
    return float(draws[0]), float(low), float(high)


def _row(words, draws, unit, note):
    value, low, high = limits(draws)
    between = f"{number(low)} to {number(high)}" if np.isfinite(low) else "no limit in 95 of 100 cases"
    return [words, number(value), between, unit, note]


def _rising(speeds):
    """Return what the best value of a greatest rise speed means."""
    if np.isinf(speeds[0]):
        return "no limit: the fresh paste bears it"
    return (
        "faster, and the foot yields before it has stiffened"
        if speeds[0]
        else "the foot yields however slowly it grows"
    )
