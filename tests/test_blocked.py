"""What a drive holds in the barrel when the tip is blocked, said beside the caution of a screw that stalls."""

import math

import pytest

import rheokit as rk
from rheokit.machine.blocked import when_blocked
from rheokit.units import kPa, mm

AREA = math.pi / 4 * 31.8**2 * 1e-6  # m2


def rig(drive, **more):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.5 * mm, length=8 * mm))
    return rk.Extruder(
        barrel_diameter=31.8 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=14.0, drive=drive, **more
    )


def screw(force):
    return rk.ScrewDrive(torque=force * 2 * mm / (2 * math.pi * 0.25), lead=2 * mm, efficiency=0.25)


def test_a_stalled_screw_is_told_with_its_pressure_and_the_rating():
    """By hand: 138.2 N over 794.2 mm2 are 174.0 kPa, less 14 N 156.4 kPa; half of 600 kPa is 300 kPa."""
    told = when_blocked(rig(screw(138.2), pressure_rating=600 * kPa))
    assert told == (
        "If the tip blocks, this drive makes up to 174 kPa in the barrel (its greatest force of 138 N over the barrel's section of 794 mm²; "
        "156 kPa where the gliding friction of the plunger, 14 N, takes its share). The barrel's rating, as stated, is 600 kPa, of which 300 kPa "
        "(0.5 of it) may be used."
    )


def test_a_drive_stronger_than_its_barrel_is_to_be_limited():
    """By hand: 100 kPa on 794.2 mm2 are 79.4 N; 100 of 150 kPa of air on 210 kPa, half of which is 105 kPa."""
    told = when_blocked(rig(screw(138.2)))
    assert "No printed rating of the barrel is stated: without one 100 kPa is the most by screw or hand." in told
    assert told.endswith("That is more than it may bear: limit the drive to 79.4 N.")
    gas = when_blocked(rig(rk.AirDrive(pressure=150 * kPa), pressure_rating=210 * kPa))
    assert gas.startswith(
        "If the tip blocks, this drive makes up to 150 kPa in the barrel (the pressure of its regulator)."
    )
    assert gas.endswith("That is more than it may bear: limit the drive to 83.4 N.")
    assert "no compressed gas may drive it" in when_blocked(rig(rk.AirDrive(pressure=50 * kPa)))


@pytest.mark.parametrize(("force", "less"), [(138.2, "156 kPa"), (10.0, "0 Pa")])
def test_friction_takes_no_more_than_there_is(force, less):
    assert f"; {less} where the gliding friction" in when_blocked(rig(screw(force), pressure_rating=600 * kPa))


def test_without_a_drive_nothing_is_said():
    assert when_blocked(rig(None)) == ""
