"""Mashed potato with starch: what sagged, what printed and what was hard to extrude, told apart by the limits.

Source     Liu, Zhang, Bhandari and Yang, Journal of Food Engineering 220 (2018) 76, abstract; data/mashed_potato_liu2018.csv.
Kind       published verdicts and numbers; the machine and the part are assumed and stated here.
Trust      V: yield stresses and consistencies read in the abstract. Flow index, consistency without starch, density, part
           and machine are not in it.
Agreement  the three verdicts, and which limit gives each.
"""

from pathlib import Path

import pandas as pd
import pytest

import rheokit as rk
from rheokit.limits import LIMITS, Case, judge
from rheokit.units import kPa, mm

FLOW_INDEX = 0.4  # assumed: the abstract says shear-thinning
THIN = 60.0  # Pa·sⁿ without starch, assumed: half of that with 2 %
DENSITY = 1050.0  # assumed
PART = 40 * mm  # assumed height
FORCE = 70.0  # N, assumed: the machine, not the paste, sets the upper limit
ASKED = ("rated pressure", "drive force", "stack", "line holds", "layer height", "line width")
VERDICTS = {0: {"stack"}, 2: set(), 4: {"drive force"}}


@pytest.fixture(scope="module")
def potatoes():
    return pd.read_csv(
        Path(__file__).parent / "data" / "mashed_potato_liu2018.csv", comment="#", index_col="potato_starch_pct"
    )


def case_of(row):
    consistency = THIN if pd.isna(row.consistency_Pa_sn) else row.consistency_Pa_sn
    law = rk.HerschelBulkley(yield_stress=row.yield_stress_Pa, consistency=consistency, flow_index=FLOW_INDEX)
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=8 * mm, outlet_diameter=1.5 * mm, length=30 * mm),
        rk.Cylinder(diameter=1.5 * mm, length=10 * mm),
    )
    drive = rk.ScrewDrive(torque=FORCE * 2e-3 / (2 * 3.141592653589793 * 0.25), lead=2 * mm, efficiency=0.25)
    extruder = rk.Extruder(
        barrel_diameter=30 * mm,
        fill_length=100 * mm,
        plunger_friction=10.0,
        nozzle=nozzle,
        drive=drive,
        pressure_rating=500 * kPa,
    )
    job = rk.PrintJob(print_speed=25 * mm, layer_height=1.0 * mm, line_width=1.8 * mm, part_height=PART)
    return Case(paste=rk.Paste(law=law, static_ratio=1.0, density=DENSITY), extruder=extruder, job=job)


@pytest.mark.parametrize("starch", VERDICTS)
def test_each_is_stopped_by_what_stopped_it(potatoes, starch):
    table = judge(case_of(potatoes.loc[starch]), [LIMITS[name] for name in ASKED])
    assert set(table.index[table.verdict == "broken"]) == VERDICTS[starch], table[["words", "margin"]].to_string()


def test_pressure_and_strength_rank_as_the_starch_does(potatoes):
    cases = [case_of(potatoes.loc[starch]) for starch in (0, 2, 4)]
    forces = [float(case.force) for case in cases]
    assert forces == sorted(forces) and forces[2] > 1.25 * forces[1]
