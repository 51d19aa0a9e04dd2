"""What an object shows of itself fits one screen and has its units; what a person typed in it is text."""

import copy
import pickle
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.brief import MOST, WIDTH, one_screen
from rheokit.machine.calibration import FlowCalibration
from rheokit.machine.compression import Compression
from rheokit.part.drying.stages import DryingTimes
from rheokit.paste.recipe import Ingredient, Recipe
from rheokit.paste.water import WaterLaw
from rheokit.units import mm

LAW = rk.HerschelBulkley(yield_stress=714.0, consistency=180.0, flow_index=0.399)
DRAWS = rk.HerschelBulkley(*(value * np.ones((200, 1, 1)) for value in (714.0, 180.0, 0.399)))
NOZZLE = rk.Nozzle(
    rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=NOZZLE, pressure_rating=1e6,
    drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
)  # fmt: skip
JOB = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25, part_height=20 * mm)
PASTE = rk.Paste(law=LAW, density=1110.0, modulus=60e3, air_content=0.03)
MATERIAL = rk.Material(
    paste=PASTE, law_spreads={"yield_stress": 0.1}, origins={"density": "measured: cost $5 <b>and</b> $6$"}
)
BORES = {"bore": np.linspace(1, 2, 30) * mm, "print_speed": np.linspace(5, 30, 20) * mm}
OBJECTS = {
    "law": (LAW, "HerschelBulkley(yield_stress=714 Pa, consistency=180 Pa·sⁿ, flow_index=0.399)"),
    "draws": (DRAWS, "yield_stress=<200 x 1 x 1 values in Pa>"),
    "shifted": (rk.Shifted(DRAWS, stress_factor=1.2), "stress_factor=1.2"),
    "cone": (NOZZLE.segments[0], "Cone(inlet_diameter=4 mm, outlet_diameter=1.6 mm, length=20 mm)"),
    "nozzle": (NOZZLE, "Cylinder(diameter=1.6 mm, length=8 mm)"),
    "slip": (rk.Slip(coefficient=1e-6, threshold=100.0), "threshold=100 Pa"),
    "extruder": (RIG, "pressure_rating=1 MPa"),
    "part": (RIG.parts[0], "name='barrel: 26.7 mm x 80 mm, wall'"),
    "screw": (RIG.drive, "ScrewDrive(torque=0.3 N·m, lead=2 mm, efficiency=0.25)"),
    "air": (rk.AirDrive(2e5), "AirDrive(pressure=200 kPa)"),
    "hand": (rk.HandDrive(), "HandDrive(force=38 N)"),
    "compression": (Compression(gas_volume=1e-6), "gas_volume=1 mL"),
    "rise": (rk.rise(RIG, LAW, 2e-8, 0.03), "flow_rate=20 mm³/s"),
    "catches": (FlowCalibration(masses=[1e-3] * 3, time=60.0, density=1110.0, flow_rate=1.6e-8), "masses=<3 values in kg>"),
    "job": (JOB, "print_speed=15 mm/s"),
    "paste": (PASTE, "modulus=60 kPa"),
    "drawn paste": (MATERIAL.draws(200, 0), "values in Pa>"),
    "material": (MATERIAL, " kg/m³ (95 % 1088 to 1132 kg/m³), measured: cost $5 <b>and</b> $6$"),
    "rig": (MATERIAL.rig(RIG), "barrel_diameter=26.7 mm"),
    "case": (rk.Case.of(MATERIAL, RIG, JOB), "density=1110 kg/m³"),
    "axis": (rk.AXES["bore"], "label='bore at the tip D'"),
    "recipe": (Recipe(ingredients=(Ingredient(name="stones", dry_mass=0.1, density=1400.0),), water_content=0.9), "water_content=0.9"),
}  # fmt: skip


@pytest.mark.parametrize("name", OBJECTS)
def test_an_object_fits_one_screen_and_has_its_units(name):
    thing, says = OBJECTS[name]
    lines = repr(thing).splitlines()
    assert len(lines) <= MOST + 2 and max(map(len, lines)) <= WIDTH
    assert type(thing).__name__ in lines[0] and says in repr(thing)


@pytest.mark.slow
def test_maps_and_windows_fit_one_screen():
    found = rk.region_map(MATERIAL, RIG, JOB, axes=BORES, draws=20)
    for thing, says in (
        (found, "bore at the tip D: 30 from 1 to 2 mm"),
        (rk.window(MATERIAL, RIG, JOB, "print_speed"), "Print speed"),
    ):
        lines = repr(thing).splitlines()
        assert len(lines) <= MOST + 2 and max(map(len, lines)) <= WIDTH and says in repr(thing)


def test_what_was_typed_is_text_in_a_table():
    page = MATERIAL._repr_html_()
    assert "&lt;b&gt;and&lt;/b&gt; $6$" in page and "tex2jax_ignore" in page
    assert "1110" in page


def test_what_is_as_usual_is_left_out_and_a_long_record_is_cut():
    assert "barrel_drag" not in repr(RIG) and "barrel_drag" in repr(replace(RIG, barrel_drag=0.5))
    case = repr(rk.Case.of(replace(MATERIAL, paste=MATERIAL.draws(20, 0)), RIG, JOB))
    assert " ...,\n    extruder=Extruder(" in case and "print_speed=15 mm/s" in case  # each field has its share
    assert one_screen("of 30:", ["    one"] * 30).splitlines()[-1] == "    ... and 13 lines more"


def test_whole_numbers_and_intervals_have_the_unit_of_their_field():
    assert repr(rk.AirDrive(100000)) == "AirDrive(pressure=100 kPa)"
    assert repr(rk.HerschelBulkley(yield_stress=650, consistency=210, flow_index=0.4)).startswith(
        "HerschelBulkley(yield_stress=650 Pa"
    )
    found = repr(
        WaterLaw(slope=3.23, low=2.9, high=3.6).correction(
            0.5, water_content=0.8, stress_now=1400.0, stress_wanted=650.0
        )
    )
    assert found.startswith("Correction(\n    what='water',\n    mass=") and found.count(" g,") == 4
    assert repr(DryingTimes(27100, 58300.0)) == "DryingTimes(constant_rate=7.53 h, falling_rate=16.2 h)"


def test_what_a_map_says_is_not_cut_and_a_map_of_best_values_has_no_draws():
    found = rk.region_map(MATERIAL, RIG, JOB, axes=BORES)
    assert found.unjudged in " ".join(repr(found).split())
    assert found.probability_error is None and found.refused == [] and not found.most_likely_first.any()
    unsafe = rk.region_map(MATERIAL, replace(RIG, pressure_rating=15e3), JOB, axes=BORES)
    assert [limit.name for limit in unsafe.refused] == ["rated pressure"]


@pytest.mark.parametrize(
    ("table", "near"), [(rk.LAWS, "Casson"), (rk.LIMITS, "stack"), (rk.AXES, "bore"), (rk.KINDS, "fall cone")]
)
def test_a_table_of_names_says_which_are_near_a_wrong_one(table, near):
    with pytest.raises(KeyError, match=f"is no {table.what}; near it: .*'?{near}"):
        table[near[:-1]]
    assert pickle.loads(pickle.dumps(copy.copy(rk.LAWS))) == rk.LAWS and "Casson" in repr(rk.LAWS)
