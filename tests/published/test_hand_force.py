"""What a hand can push, and the pressure that it makes in a syringe.

Source     Grades: Robinson et al. 2020 (injections by hand; R² 0.89): easy < 12 N, considerable 12-38, great 38-64, not
           injectable > 64 N. Bores of plastic syringes: costcalculator.calculator.city/?p=61312, a general page,
           approximate. Pressures under 100 N: computed for this project from such bores beforehand.
Kind       published (grades, bores), independent (pressures)
Trust      V: grades and bores read in stored text; the grades cannot be recomputed.
Agreement  grades exact; pressures to the printed place.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.machine.drives import HandDrive
from rheokit.units import kPa, mm

BORES = {1: 4.69, 3: 8.59, 5: 11.99, 10: 14.48, 20: 19.05, 60: 26.59}  # mL, mm


def test_grades_of_a_push():
    edges = {
        11.9: "easy",
        12.1: "considerable",
        37.9: "considerable",
        38.1: "great",
        63.9: "great",
        64.1: "not injectable",
    }
    assert {force: HandDrive.grade(force) for force in edges} == edges
    assert HandDrive().force == 38.0


@pytest.mark.parametrize(
    ("volume", "pressure", "place"),
    [(1, 5800, 50), (3, 1700, 50), (5, 890, 5), (10, 610, 5), (20, 350, 5), (60, 180, 5)],
)
def test_pressure_under_100_newtons(volume, pressure, place):
    """100 N on a 1, 3, 5, 10, 20, 60 mL syringe: 5800, 1700, 890, 610, 350, 180 kPa."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.5 * mm, length=10 * mm))
    rig = rk.Extruder(barrel_diameter=BORES[volume] * mm, fill_length=30 * mm, nozzle=nozzle, drive=HandDrive(100.0))
    law = rk.Newtonian(viscosity=1.0)
    reached = rig.pressure(law, rig.flow_at(law))
    assert reached / kPa == pytest.approx(pressure, abs=place)
    assert reached == pytest.approx(
        rig.drive.available_force(rig.area) / (np.pi * (BORES[volume] * mm) ** 2 / 4), rel=1e-9
    )
    assert reached > rig.pressure_limit
