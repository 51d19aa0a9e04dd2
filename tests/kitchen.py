"""A bench as a kitchen has it, invented: bottle, caught mass, cup, strainer, empty barrel and a needle by gauge, as typed texts.

What is uncertain of the apparatus is drawn from what a kitchen knows of it, and every reading is rounded as its scale does.
"""

from typing import NamedTuple

import numpy as np

import rheokit as rk
from rheokit.flow.gauges import needles
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.units import STANDARD_GRAVITY, g, kg, mL, mm, s

GAUGE, LAND, BARREL, FILL = 20, 25.4 * mm, 20.1 * mm, 60 * mm
LAW = rk.HerschelBulkley(yield_stress=60.0, consistency=12.0, flow_index=0.42)
LOADS = np.array([1.4, 1.7, 2.0, 2.3, 2.6, 3.0]) * kg  # about; a bottle is filled by eye, and then weighed
WAITS = (
    np.array([1200, 600, 300, 180, 120, 90.0]) * s
)  # about as long as somebody stands and waits: 2 to 8 g are caught
TOML = """
[specimen]
paste = "kitchen paste"
batch = "A"
invented = true

[apparatus.syringe]
barrel_diameter = "20,1 mm"
fill_length = "60 mm"
barrel_drag = 1

[[test]]
kind = "syringe force"
file = "bottle.csv"
apparatus = "syringe"
nozzle = [{diameter = "2,0 mm", length = "9 mm"}, {diameter = "20G", length = "1 in"}]   # the tip of the syringe, the needle
read = "flow_rate"
uncertainty = {uncertainty}

[[test]]
kind = "empty barrel"
file = "empty.csv"
apparatus = "syringe"
uncertainty = "to 10 gf"

[[test]]
kind = "cup density"
file = "cup.csv"
cup_volume = "100 mL"
uncertainty = "to 1 g"

[[test]]
kind = "sieve"
file = "strainer.csv"
"""


class Kitchen(NamedTuple):
    """A bench, and the law and the syringe that its readings came from."""

    bench: rk.Bench
    law: rk.FlowLaw
    rig: rk.Extruder


def syringe(bore, friction, drive=None):
    """Return the syringe of the kitchen with a needle of a bore [m] and a friction [N]."""
    tip = rk.Cylinder(diameter=2.0 * mm, length=9 * mm)
    nozzle = rk.Nozzle(tip, rk.Cylinder(diameter=bore, length=LAND))
    more = {"barrel_diameter": BARREL, "fill_length": FILL, "drive": drive}
    return rk.Extruder(plunger_friction=friction, nozzle=nozzle, **more)


def kitchen(seed, scatter=0.0, stated=("to 1 g", "0,2 s"), theory=0.1, waits=1.0):
    """Return an invented `Kitchen`.

    Parameters
    ----------
    seed : int
    scatter : float
        Standard deviation of the ln of a flow besides rounding and watch. [-]
    stated : sequence of str
        What is stated of the uncertainty of caught masses and times; nothing where it is empty.
    theory : float
        Standard deviation of the ln of the stress by which the theory of the run is off. [-]
    waits : float
        How many times as long as usual is waited, and so how many times as much is caught. [-]
    """
    rng = np.random.default_rng([20, seed])
    needle = needles().loc[GAUGE]
    rig = syringe(needle.bore + rng.uniform(-1, 1) * needle.bore_tolerance, 3.5 * np.exp(0.1 * rng.standard_normal()))
    law, density = rk.Shifted(LAW, np.exp(theory * rng.standard_normal())), rng.uniform(1050, 1150)
    loads = np.round(LOADS * rng.uniform(0.9, 1.1, len(LOADS)), 3)
    waits = np.round(waits * WAITS * rng.uniform(0.7, 1.4, len(WAITS)))
    flow = rig.flow_rate(law, loads * STANDARD_GRAVITY) * np.exp(scatter * rng.standard_normal(len(loads)))
    caught = np.round(density * flow * (waits + 0.2 * rng.standard_normal(len(loads))) / g)
    creeps = np.round(rig.plunger_friction / STANDARD_GRAVITY / (10 * g) * np.exp(0.05 * rng.standard_normal(3))) * 10
    cups = np.round(density * 100 * mL / g * np.exp(0.005 * rng.standard_normal(3)))
    files = {
        "bottle": [("load mass [g]", "caught mass [g]", "catch time [s]"), *zip(loads / g, caught, waits, strict=True)],
        "empty": [("load mass [g]",), *((mass,) for mass in creeps)],
        "cup": [("mass [g]",), *((mass,) for mass in cups)],
        "strainer": [("aperture [mm]", "retained mass [g]"), (0.12, 0), (0, 100)],
    }
    typed = {
        f"{name}.csv": "\n".join(", ".join(c if isinstance(c, str) else f"{c:.7g}" for c in row) for row in rows)
        for name, rows in files.items()
    }
    words = "uncertainty = [" + ", ".join(f'"{one}"' for one in stated) + "]" if stated else ""
    typed["bench.toml"] = TOML.replace("uncertainty = {uncertainty}", words)
    bench = read_files(Memory({name: text.encode() for name, text in typed.items()}))
    return Kitchen(bench, LAW, rig)
