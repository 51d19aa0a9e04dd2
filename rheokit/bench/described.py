"""How a bench folder describes what a record holds as objects, and the other ways in which a column may be given.

Most bench tests need none of this: their `dimension` and `column` fields are the names of the folder. A run holds a
nozzle or an extruder instead, and its flow is often caught on a scale. An `Assembly` names the dimensions that make such
an object and takes it apart again; a `Way` computes one column or dimension from others.
"""

from collections.abc import Callable
from dataclasses import MISSING
from typing import NamedTuple

import numpy as np

from ..machine.extruder import Extruder
from ..nomenclature import QUANTITIES, Quantity
from ..units import STANDARD_GRAVITY


class Way(NamedTuple):
    """Another way to give a column or a dimension.

    `inputs` are quantities by name that stand where the target would, the first one growing with it and divided by the others; `given` are
    dimensions it needs besides; `compute` takes all of them by name, in SI, and returns the target: a function that has a
    name, so that a record can be pickled.
    """

    inputs: dict
    given: tuple
    compute: Callable


class Assembly(NamedTuple):
    """A nozzle, or what holds one, that a record has and a folder describes by dimensions.

    `dimensions` maps a name to its value where it is not stated, or to `MISSING`. `build` takes them and the nozzle by name
    (in a folder bore and length, or segments) and returns the record's `fields`; `take_apart` takes a record and returns
    what `build` took. `unstated` says, by dimension and for the bore, what is taken where no uncertainty is stated.
    """

    dimensions: dict
    fields: tuple
    build: Callable
    take_apart: Callable
    unstated: dict


class Unstated(NamedTuple):
    """A standard uncertainty that is taken where none is stated, whether it is a share of its dimension, and why."""

    value: float = 0.0
    share: bool = False
    reason: str = ""


BORE = Unstated(0.01, True, "needle gauges are nominal; measure the bore")

NOZZLE = Assembly(
    dimensions={"barrel_diameter": None},
    fields=("nozzle", "inlet_diameter"),
    build=lambda found: {"nozzle": found["nozzle"], "inlet_diameter": found["barrel_diameter"]},
    take_apart=lambda run: {"nozzle": run.nozzle, "barrel_diameter": run.inlet_diameter},
    unstated={"bore": BORE},
)
"""The nozzle of a pressure run and the barrel in front of it, if there is one."""

_BARREL = dict.fromkeys(("barrel_diameter", "fill_length", "plunger_friction"), MISSING) | {
    "barrel_drag": 1.0,
    "pressure_rating": None,
}
EXTRUDER = Assembly(
    dimensions=_BARREL,
    fields=("extruder",),
    build=lambda found: {"extruder": Extruder(**found)},
    take_apart=lambda run: {name: getattr(run.extruder, name) for name in ("nozzle", *_BARREL)},
    unstated={"bore": BORE, "plunger_friction": Unstated(1.0, reason="measured empty it is known to about 1 N")},
)
"""The extruder of a force run."""


def _caught(caught_mass, catch_time, density):
    return caught_mass / (density * catch_time)


def _driven(plunger_speed, barrel_diameter):
    return plunger_speed * np.pi * barrel_diameter**2 / 4


def _weight(load_mass):
    return load_mass * STANDARD_GRAVITY


def _carried(added_mass, carrier_mass):
    return (added_mass + carrier_mass) * STANDARD_GRAVITY


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
FLOW_WAYS = (DRIVEN, CAUGHT)  # flow as plunger speed times barrel section, or as caught mass over density and time

_LOAD = Quantity("m", "kg", "mass that loads it, with whatever carries the mass")
WEIGHT = Way({"load_mass": _LOAD}, (), _weight)
CARRIED = Way({"added_mass": QUANTITIES["added_mass"]}, ("carrier_mass",), _carried)
LOADS = (
    WEIGHT,
    CARRIED,
)  # a force as the weight of all that rests on a plunger, or of what is put into a bottle of known mass
PUSHED = Way({"pressure": QUANTITIES["pressure"]}, ("barrel_diameter",), _pushed)
"""A force as the gauge pressure of the air behind the plunger times the barrel section."""
