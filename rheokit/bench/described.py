"""How a bench folder describes what a record holds as objects, and the other ways in which a column may be given.

Most bench tests need none of this: their `dimension` and `column` fields are the names of the folder. A run holds a
nozzle or an extruder instead, and its flow is often caught on a scale. An `Assembly` names the dimensions that make such
an object and takes it apart again; a `Way` computes one column or dimension from others.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from ..machine.extruder import Extruder
from ..nomenclature import QUANTITIES, Quantity
from ..units import STANDARD_GRAVITY


class Way(NamedTuple):
    """Another way to give a column or a dimension.

    `inputs` are quantities by name that stand where the target would, the first one growing with it; `given` are
    dimensions it needs besides; `compute` takes all of them by name, in SI, and returns the target: a function that has a
    name, so that a record can be pickled.
    """

    inputs: dict
    given: tuple
    compute: Callable


class Assembly(NamedTuple):
    """An object of a record that a folder describes by dimensions.

    `dimensions` maps a name to its value where it is not stated, or to `REQUIRED`; with `nozzle` the folder's nozzle
    (bore and length, or segments) comes to `build` as well. `build` takes a dict and returns the record's fields;
    `take_apart` takes a record and returns the dict. `uncertainties` maps a dimension to the field that holds its
    standard uncertainty, whether as a share of it, and the one taken where none is stated.
    """

    dimensions: dict
    nozzle: bool
    fields: tuple
    build: Callable
    take_apart: Callable
    uncertainties: dict


class Unstated(NamedTuple):
    """Field of a dimension's standard uncertainty, whether it is a share, what is taken if none is stated, and why."""

    field: str
    share: bool
    value: float
    reason: str


REQUIRED = object()
"""The dimension must be stated; nothing is assumed for it."""

BORE = Unstated("bore_uncertainty", True, 0.01, "needle gauges are nominal; measure the bore")

NOZZLE = Assembly(
    dimensions={"barrel_diameter": None},
    nozzle=True,
    fields=("nozzle", "inlet_diameter"),
    build=lambda found: {"nozzle": found["nozzle"], "inlet_diameter": found["barrel_diameter"]},
    take_apart=lambda run: {"nozzle": run.nozzle, "barrel_diameter": run.inlet_diameter},
    uncertainties={"bore": BORE},
)
"""The nozzle of a pressure run and the barrel in front of it, if there is one."""


def _taken_apart(run):
    names = ("nozzle", "barrel_diameter", "fill_length", "plunger_friction", "barrel_drag")
    return {name: getattr(run.extruder, name) for name in names}


EXTRUDER = Assembly(
    dimensions=dict.fromkeys(("barrel_diameter", "fill_length", "plunger_friction"), REQUIRED) | {"barrel_drag": 1.0},
    nozzle=True,
    fields=("extruder",),
    build=lambda found: {"extruder": Extruder(**found)},
    take_apart=_taken_apart,
    uncertainties={
        "bore": BORE,
        "plunger_friction": Unstated(
            "plunger_friction_uncertainty", False, 1.0, "measured empty it is known to about 1 N"
        ),
        "barrel_drag": Unstated("barrel_drag_uncertainty", False, 0.0, ""),
    },
)
"""The extruder of a force run."""

MASS_ON_TOP = Quantity("m", "kg", "mass that loads it, with whatever carries the mass")


def _caught(caught_mass, catch_time, density):
    return caught_mass / (density * catch_time)


def _driven(plunger_speed, barrel_diameter):
    return plunger_speed * np.pi * barrel_diameter**2 / 4


def _weight(load_mass):
    return load_mass * STANDARD_GRAVITY


def _pushed(pressure, barrel_diameter):
    return pressure * np.pi * barrel_diameter**2 / 4


CAUGHT = Way(
    inputs={
        "caught_mass": Quantity("m", "kg", "mass of paste caught"),
        "catch_time": Quantity("t", "s", "time over which it was caught"),
    },
    given=("density",),
    compute=_caught,
)
DRIVEN = Way({"plunger_speed": QUANTITIES["plunger_speed"]}, ("barrel_diameter",), _driven)
FLOW_WAYS = (DRIVEN, CAUGHT)
"""Flow as plunger speed times barrel section, or as caught mass over density and time."""

WEIGHT = Way({"load_mass": MASS_ON_TOP}, (), _weight)
"""A force as the weight of a mass."""

PUSHED = Way({"pressure": QUANTITIES["pressure"]}, ("barrel_diameter",), _pushed)
"""A force as the gauge pressure of the air behind the plunger times the barrel section."""
