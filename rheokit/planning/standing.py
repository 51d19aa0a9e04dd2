"""What a part stands up to while it grows: when it leans, when its foot yields, how far a line bridges, with their limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np

from ..errors import DataError
from ..flow.nozzles import Cylinder, Nozzle
from ..framed import framed
from ..hints import Table
from ..inputs import trusted
from ..limits import LIMITS
from ..limits.lean import LEANED
from ..machine.extruder import Extruder
from ..nomenclature import number
from ..part.printing import LONG, PrintJob
from ..part.shape import effective_modulus, stiff_span, strong_span
from ..paste.material import BATCH_SPREAD, Material
from ..paste.properties import LEAST, Paste
from ..things import a
from .asked import Asked, Known
from .chances import chance

POINTS = 31  # of the course of a part that grows
LAID = 0.01  # m/s at which a part that is asked without a machine is laid; how fast it rises alone counts
WITHIN = 2.0  # factor within which the stress holds that keeps the section of a line


def softened(paste: Paste) -> str:
    """Return in words why nothing that rests on the static yield stress of a paste is told: it lies below the dynamic one; "" where not."""
    ratio = paste.static_ratio
    return (
        ""
        if np.all(ratio >= LEAST["static_ratio"])
        else f"static over dynamic yield stress = {number(ratio)} cannot be below 1: rest does not soften a paste"
    )


def leaned(lean_height: float, wall_width: float, density: float, shape: str) -> dict[str, Any]:
    """Return what a test wall that leaned tells: of a `Material` its spreads and lean_width, of its `Paste` the properties.

    Parameters
    ----------
    lean_height, wall_width : float
        Of a straight test wall as thick as that of the part. [m]
    density : float
        [kg/m3]
    shape : str
        Of the wall, as in `PrintJob`.

    Returns
    -------
    told : dict
        Properties (the modulus [Pa] that this wall acts with, and a lean factor of 1, for what real walls fall short is in the
        modulus), spreads [-] and lean_width [m].
    """
    modulus = float(effective_modulus(lean_height, wall_width, density, long=shape == LONG))
    spread = np.sqrt(
        (3 * LEANED) ** 2 - BATCH_SPREAD**2
    )  # of a height to the third, less the batch, which is drawn besides
    properties = {"modulus": modulus, "lean_factor": 1.0}
    return {"properties": properties, "spreads": {"modulus": float(spread)}, "lean_width": wall_width}


@dataclass(frozen=True, eq=False)
class Standing(Asked):
    """A part that grows, asked of best values and of the joint draws of a map.

    Parameters
    ----------
    material : Material
    extruder : Extruder
        Its bore is the diameter of a line that bridges.
    job : PrintJob
        With its part_height, and with a path_length where the paste builds up meanwhile.
    draws, seed : int
    """

    job: PrintJob

    def __post_init__(self):
        a("PrintJob", "Standing", "job", self.job)
        if why := softened(self.material.paste):
            raise DataError(f"Standing: {why}.")

    @classmethod
    def of_line(cls, material: Material, diameter: float, rise_speed: float | None, **part: Any) -> Standing:
        """Return the part of a material whatever extrudes it: heights ask no machine.

        Parameters
        ----------
        material : Material
        diameter : float
            Of the round line. [m]
        rise_speed : float, optional
            At which the part grows; where it is not known nothing builds up meanwhile. [m/s]
        **part : float or str
            Part_height, wall_width, shape, ring_radius and span of a `PrintJob`, and layer_height and line_width where the line is
            not laid as it comes, round. [m]
        """
        with trusted():
            nozzle = Nozzle(Cylinder(diameter=diameter, length=diameter))
            rig = Extruder(barrel_diameter=diameter, fill_length=0.0, plunger_friction=0.0, nozzle=nozzle)
            part = {"layer_height": diameter, "line_width": diameter} | part
            path = None if rise_speed is None else part["layer_height"] * LAID / rise_speed
            return cls(material, rig, PrintJob(print_speed=LAID, path_length=path, **part))

    @cached_property
    def leans(self) -> Known:
        """Height at which the wall leans [m]."""
        return self.known(LIMITS["lean"].high, LIMITS["lean"])

    @cached_property
    def foot(self) -> Known:
        """Height at which the foot yields while the part grows [m]."""
        return self.known(LIMITS["stack"].high, LIMITS["stack"])

    @property
    def foot_errors(self) -> tuple[float, float]:
        """Standard errors of the limits of `foot` by the number of draws [m]."""
        return self.errors(LIMITS["stack"].high, LIMITS["stack"])

    @property
    def first(self) -> tuple[str, Known]:
        """Name of the limit that comes first and its height, wanted or not [m]."""
        return min((("lean", self.leans), ("stack", self.foot)), key=lambda pair: pair[1].value)

    @cached_property
    def probability(self) -> float:
        """That the part stands, as a map has it of these two limits [-]."""
        found = chance(self.material, self.extruder, self.job, ["lean", "stack"], draws=self.draws, seed=self.seed)
        return float(found.probability[0, 0])

    def carried(self) -> Table:
        """Return the height that the foot carries at its age: a DataFrame of time [s], height, low, high [m]."""
        limit, rows = LIMITS["stack"], []
        for time in np.linspace(0.0, self.job.part_height / float(self.case.rise_speed), POINTS):
            rows.append((time, *self.known(partial(limit.carried, age=time), limit)))
        return framed(rows, columns=["time", "height", "low", "high"])

    @property
    def rise_speed(self) -> Known:
        """Greatest speed at which the part may grow to its height without its foot yielding [m/s]."""
        limit = LIMITS["stack"]
        with trusted():
            drawn = limit.greatest_rise_speed(self.drawn, self.normals)
            return Known.of(limit.greatest_rise_speed(self.case), drawn)

    @property
    def bridges(self) -> tuple[Known, Known, Known]:
        """Spans at which a bridge sags a twentieth of its diameter, and first yields, and the longest bridge [m]."""
        span = LIMITS["span"]
        return (
            self.known(lambda case: stiff_span(case.paste.modulus, case.paste.density, case.bore), span),
            self.known(lambda case: strong_span(case.paste.static_yield_stress, case.paste.density, case.bore), span),
            self.known(span.high, span),
        )

    @property
    def static_yield_stress(self) -> Known:
        """Static yield stress of the paste as it is laid [Pa]."""
        with trusted():
            return Known.of(self.case.paste.static_yield_stress, self.drawn.paste.static_yield_stress)

    @property
    def holding_stress(self) -> Known:
        """Static yield stress above which a line keeps its section, within a factor of 2 [Pa]."""
        held = float(LIMITS["line holds"].low(self.case))
        return Known(held, held / WITHIN, held * WITHIN)
