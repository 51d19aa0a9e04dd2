"""The geometry that was read, and where a job leaves it: bores, lands, contractions, barrels; of benches with a capillary, several, and none."""

import math

import pytest
from test_appendix_sections import DATA

import rheokit as rk
from rheokit.appendix.document import Caution
from rheokit.appendix.sections import forces, validity
from rheokit.appendix.study import Study
from rheokit.planning.geometry import ANGLE, BARREL, BORE, LAND, RATIO, SLENDER, geometry_read
from rheokit.units import kPa, mm

SYRINGE = rk.Extruder(
    barrel_diameter=18.85 * mm,
    fill_length=55 * mm,
    plunger_friction=5.6,
    nozzle=rk.Nozzle(rk.Cylinder(diameter=1.83 * mm, length=11.8 * mm)),
)
LONG = rk.Extruder(
    barrel_diameter=18.85 * mm,
    fill_length=55 * mm,
    plunger_friction=5.6,
    nozzle=rk.Nozzle(rk.Cylinder(diameter=1.83 * mm, length=31.5 * mm)),
)
TAPERED = rk.Extruder(
    barrel_diameter=31.8 * mm,
    fill_length=70 * mm,
    nozzle=rk.Nozzle(
        rk.Cone(inlet_diameter=8 * mm, outlet_diameter=1.5 * mm, length=16 * mm),
        rk.Cylinder(diameter=1.5 * mm, length=6 * mm),
    ),
)
PLATE = rk.LoadedPlate(volume=5e-6, force=9.81, radius=[0.0343, 0.0340, 0.0345], uncertainty=0.0007, model_error=0.15)


def pushed(extruder):
    return rk.ForceRun(extruder=extruder, flow_rate=[5e-9, 20e-9], force=[60.0, 80.0], read="force", uncertainty=1.0)


def by_name(*given):
    return {one.name: one for one in geometry_read(*given)}


def test_sizes_are_those_of_the_drawing():
    """By hand: 18.85/1.83 = 10.30, 11.8/1.83 = 6.448, 31.5/1.83 = 17.21, 31.8/8 = 3.975, 8/1.5 = 5.333, atan(3.25/16) = 11.48°."""
    found = by_name([pushed(SYRINGE), pushed(LONG), PLATE], TAPERED)
    assert found[BORE].read == pytest.approx((1.83 * mm, 1.83 * mm)) and found[BORE].outside
    assert found[LAND].read == pytest.approx((11.8 * mm, 31.5 * mm)) and found[LAND].outside
    assert found[SLENDER].read == pytest.approx((6.448, 17.213), rel=1e-4)
    assert found[SLENDER].asked == pytest.approx((4.0, 4.0))
    assert found[RATIO].read == pytest.approx((10.3005, 10.3005), rel=1e-4)
    assert found[RATIO].asked == pytest.approx((3.975, 5.3333), rel=1e-4)
    assert found[ANGLE].read == pytest.approx((math.pi / 2, math.pi / 2))
    assert math.degrees(found[ANGLE].asked[0]) == pytest.approx(11.4817, rel=1e-4)
    assert found[ANGLE].outside and found[BARREL].outside


def test_what_was_read_is_within_and_two_percent_count_as_read():
    tests = [pushed(SYRINGE), pushed(LONG)]
    assert not any(one.outside for one in geometry_read(tests, SYRINGE))
    near = rk.Extruder(
        barrel_diameter=18.85 * mm,
        fill_length=55 * mm,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.86 * mm, length=20 * mm)),
    )
    far = rk.Extruder(
        barrel_diameter=18.85 * mm,
        fill_length=55 * mm,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.88 * mm, length=20 * mm)),
    )
    assert not by_name(tests, near)[BORE].outside
    assert by_name(tests, far)[BORE].outside
    assert not by_name(tests, far)[LAND].outside, "between two lands"


def test_a_bench_without_a_capillary_read_no_geometry():
    found = geometry_read([PLATE], TAPERED)
    assert found and all(one.read is None and one.outside for one in found)
    assert geometry_read([PLATE]) == ()


def test_a_pressed_nozzle_without_a_barrel_has_no_step_and_no_barrel():
    run = rk.PressureRun(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=40 * mm)),
        flow_rate=[5e-9, 20e-9],
        pressure=[60 * kPa, 80 * kPa],
        read="pressure",
        uncertainty=1 * kPa,
    )
    assert {*by_name([run])} == {BORE, LAND, SLENDER}


def words(section):
    return [one.text for one in section.blocks if isinstance(one, Caution)]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["olive-stone-paste", "porcelain-body"])
def test_a_job_of_other_geometry_is_told_beside_its_range_and_its_force(name):
    made = Study(rk.Workbook.open(DATA / name))
    told, short = validity.geometry_outside(made), validity.geometry_outside(made, sizes=False)
    rows = {row[0]: row for row in validity.section(made).blocks[0].rows}
    outside = [one.name for one in geometry_read(made.fit.tests, made.extruder) if one.outside]
    for one in geometry_read(made.fit.tests, made.extruder):
        assert rows[one.name][3].endswith(validity.OUTSIDE if one.outside else "within"), one.name
    assert all(f"{one} " in told for one in outside) and bool(told) == bool(outside)
    if outside:
        assert told in words(validity.section(made)) and short in words(forces.section(made))
        rows = next(one for one in forces.section(made).blocks if getattr(one, "name", "") == "forces").rows
        assert all(validity.SHORT in row[-1] for row in rows)
