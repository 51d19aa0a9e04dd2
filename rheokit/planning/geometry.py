"""Which geometry the readings have tried: bores, lands, contractions and barrels, and whether an extruder stays among them.

A law is of the paste and of no geometry, but what slips goes with the bore, and what a step or a taper costs is a formula: none of the two was tried where nothing
of that size was read.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from ..bench import BenchTest
from ..flow.channel import AS_READ
from ..flow.nozzles import SAME, Cone, Cylinder, Nozzle
from ..hints import Numbers
from ..machine.extruder import Extruder

BORE, LAND, SLENDER, RATIO, ANGLE, BARREL = (
    "bore at the tip",
    "length of the land",
    "length over bore of the land",
    "wide over narrow diameter of a contraction",
    "half angle of a contraction (90° at a step)",
    "diameter of the barrel",
)
UNITS = {BORE: "m", LAND: "m", SLENDER: "-", RATIO: "-", ANGLE: "rad", BARREL: "m"}
"""SI unit of each, in the order in which they are told."""


class Reach(NamedTuple):
    """One size of the passages: its name, its unit, least and greatest that was read, those of an extruder; None where there is none.

    `outside` says that one of the extruder's lies farther than 2 % outside what was read, or that none was read.
    """

    name: str
    unit: str
    read: tuple[float, float] | None
    asked: tuple[float, float] | None

    @property
    def outside(self) -> bool:
        """Whether the extruder asks for one that was not read."""
        if self.asked is None:
            return False
        return self.read is None or self.asked[0] < self.read[0] / AS_READ or self.asked[1] > self.read[1] * AS_READ


def geometry_read(tests: Iterable[BenchTest], extruder: Extruder | None = None) -> tuple[Reach, ...]:
    """Return the sizes that tests pushed paste through, with those of an extruder beside them.

    Parameters
    ----------
    tests : iterable of BenchTest
        Those that push nothing through a nozzle tell none.
    extruder : Extruder, optional
        Of single numbers, with its nozzle.

    Returns
    -------
    reaches : tuple of Reach
        One a size [m], [-] or [rad], in the order of `UNITS`; without those that neither the tests nor the extruder have.

    Notes
    -----
    A step has a half angle of 90°. How long a barrel is filled is no size of its own: it falls in each stroke. A
    filled barrel counts where it bears pressure; where a tube drains by itself it does not.
    """
    read: dict[str, list[float]] = {name: [] for name in UNITS}
    for test in tests:
        own = getattr(test, "extruder", None)
        nozzle = test.nozzle or getattr(own, "nozzle", None)
        if nozzle is None:
            continue
        barrel = own.barrel_diameter if own is not None else getattr(test, "inlet_diameter", None)
        _add(read, nozzle, barrel, 0.0 if own is None else own.fill_length)
    asked: dict[str, list[float]] = {name: [] for name in UNITS}
    if extruder is not None:
        _add(asked, extruder.nozzle, extruder.barrel_diameter, extruder.fill_length)
    reaches = (Reach(name, unit, _ends(read[name]), _ends(asked[name])) for name, unit in UNITS.items())
    return tuple(one for one in reaches if one.read or one.asked)


def _ends(values):
    return (min(values), max(values)) if values else None


def _add(found: dict[str, list[float]], nozzle: Nozzle, barrel: Numbers | None, fill: Numbers) -> None:
    """Note the sizes of a nozzle behind a barrel [m], or behind none, filled over a length [m]."""
    found[BORE].append(float(np.mean(nozzle.bore)))
    last = nozzle.segments[-1]
    if isinstance(last, Cylinder):
        found[LAND].append(float(np.mean(last.length)))
        found[SLENDER].append(float(np.mean(last.length) / np.mean(last.diameter)))
    wide = float(np.mean(nozzle.inlet_diameter if barrel is None else barrel))
    for segment in nozzle.segments:
        begins, ends = float(np.mean(segment.inlet_diameter)), float(np.mean(segment.outlet_diameter))
        if wide > begins * (1 + SAME):
            found[RATIO].append(wide / begins)
            found[ANGLE].append(np.pi / 2)
        if isinstance(segment, Cone) and begins > ends * (1 + SAME):
            found[RATIO].append(begins / ends)
            found[ANGLE].append(float(np.mean(segment.half_angle)))
        wide = ends
    if barrel is not None and np.max(fill) > 0:
        found[BARREL].append(float(np.mean(barrel)))
