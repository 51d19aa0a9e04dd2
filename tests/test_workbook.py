"""One folder a paste: what its plan describes, what it lacks, and that nothing invented comes into a new one."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix.sections import material
from rheokit.appendix.sections.part import of_shrinkage
from rheokit.appendix.study import Study
from rheokit.units import kPa, mm
from rheokit.workbook import demo
from rheokit.workbook.made import NotKnownYet, missing
from rheokit.workbook.of_paste import shrinkages

PLAN = """
[machine]
barrel_diameter = "26.7 mm"
fill_length = "60 mm"
plunger_friction = "8 N"
pressure_rating = "1000 kPa"

[nozzle]
bore = "1.6 mm"
inlet_diameter = "4 mm"
taper_length = "10 mm"
land_length = "8 mm"

[drive]
kind = "screw"
torque = "0.3 N·m"
lead = "2 mm"
efficiency = 0.25

[print]
print_speed = "15 mm/s"
layer_height = "1 mm"
line_width = "2 mm"

[properties]
build_up_rate = {value = "0.15 Pa/s", spread = 0.3, origin = "assumed: like the last one"}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    place = tmp_path / "mine"
    shutil.copytree(demo("olive-stone-paste"), place)
    (place / "plan.toml").write_text(PLAN)
    return place


def test_a_plan_gives_what_a_script_would_build(folder):
    book = rk.Workbook.open(folder)
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=10 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=nozzle,
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25), pressure_rating=1000 * kPa,
    )  # fmt: skip
    job = rk.PrintJob(print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm)
    fit = rk.fit(rk.HerschelBulkley, rk.read_bench(demo("olive-stone-paste")))
    flow = job.flow_rate(1.6 * mm)
    assert book.job.flow_rate(1.6 * mm) == pytest.approx(flow, rel=1e-12)
    assert book.extruder.plunger_force(book.fit.law, flow) == pytest.approx(
        extruder.plunger_force(fit.law, flow), rel=1e-9
    )
    assert book.extruder.drive.force == pytest.approx(extruder.drive.force)
    assert book.material.paste.build_up_rate == 0.15
    assert book.material.spread("build_up_rate") == pytest.approx(0.3)
    assert book.material.origin("build_up_rate") == "assumed: like the last one"
    assert book.fit is book.fit  # kept until plan or readings change


def test_what_is_left_out_of_the_fit_changes_it_and_comes_back(folder):
    book = rk.Workbook.open(folder)
    whole = book.fit
    book.plan.put_list("fit", "leave_out", ["land 40 mm"])
    assert len(book.tests.tests) == len(book.bench.tests) - 1
    assert book.fit.law.consistency != whole.law.consistency
    book.plan.put_list("fit", "leave_out", [])
    assert book.fit.law.consistency == whole.law.consistency


def test_each_shrinkage_has_its_own_uncertainty_until_one_is_typed_for_both(folder):
    book = rk.Workbook.open(folder)
    read = {name: one for name, one in book.bench.properties().items() if name.startswith("shrinkage")}
    assert {name: one.spread for name, one in shrinkages(book).items()} == {
        name: one.spread for name, one in read.items()
    }
    assert read["shrinkage_xy"].spread != read["shrinkage_z"].spread
    book.plan.put("drying", "shrinkage_error", "0.4 %")
    for name, one in shrinkages(book).items():
        assert one.spread == pytest.approx(0.004 / read[name].value) == book.material.spread(name)
        assert one.origin.endswith("4 readings; its uncertainty as typed")
    book.plan.put_property("shrinkage_z", "9 %", "assumed: a guess", 0.2)
    assert shrinkages(book)["shrinkage_z"][:3] == (0.09, 0.2, "assumed: a guess")


def test_the_appendix_says_whose_the_uncertainty_of_a_shrinkage_is(folder):
    """Two tables gave the same shrinkage two intervals, one by its readings and one as typed, and said neither."""
    book = rk.Workbook.open(folder)
    plain = Study(book)
    assert "typed in the plan" not in of_shrinkage(plain) and "4 readings." in of_shrinkage(plain)
    assert "the plan types" not in material.section(plain).blocks[1].note
    book.plan.put("drying", "shrinkage_error", "0.4 %")
    typed = Study(book)
    assert "limits by the standard uncertainty typed in the plan, 0.4 % of the wet length" in of_shrinkage(typed)
    assert "its uncertainty as typed" not in of_shrinkage(typed)
    assert "the plan types a standard uncertainty of its own, 0.4 %" in material.section(typed).blocks[1].note


def test_a_taper_by_its_half_angle_is_as_long(folder):
    book = rk.Workbook.open(folder)
    by_length = book.extruder.nozzle
    cone = by_length.segments[0]
    book.plan.put("nozzle", "taper_length", "")
    book.plan.put("nozzle", "taper_half_angle", f"{float(np.degrees(cone.half_angle)):.12f} °")
    assert book.extruder.nozzle.segments[0].length == pytest.approx(cone.length)


@pytest.mark.parametrize(
    ("table", "key", "what"),
    [
        ("machine", "barrel_diameter", "extruder"),
        ("nozzle", "bore", "extruder"),
        ("nozzle", "land_length", "extruder"),
        ("nozzle", "inlet_diameter", "extruder"),
        ("nozzle", "taper_length", "extruder"),
        ("print", "print_speed", "job"),
        ("print", "line_width", "job"),
    ],
)
def test_what_is_missing_is_named_where_it_is_typed(folder, table, key, what):
    book = rk.Workbook.open(folder)
    assert not book.missing(what)
    book.plan.put(table, key, "")
    with pytest.raises(NotKnownYet) as told:
        getattr(book, what)
    assert told.value.entries == ((table, key),)
    (said,) = book.missing(what)
    assert f"[{table}] {key} in plan.toml" in said and said.rpartition(" (")[0] in str(told.value)


@pytest.mark.parametrize(("key", "text"), [("taper_length", "0"), ("inlet_diameter", "1.6 mm"), ("inlet_diameter", "")])
def test_a_nozzle_without_a_taper_is_said_to_be_one(folder, key, text):
    book = rk.Workbook.open(folder)
    book.plan.put("nozzle", "taper_length", "")
    assert missing(book.plan, "extruder") == [("nozzle", "taper_length")]
    book.plan.put("nozzle", key, text)
    (land,) = book.extruder.nozzle.segments
    assert (land.diameter, land.length) == (pytest.approx(1.6 * mm), pytest.approx(8 * mm))


def test_a_taper_that_is_not_known_is_all_that_a_nozzle_without_a_land_lacks(folder):
    plan = rk.Workbook.open(folder).plan
    for key, text in (("taper_length", ""), ("land_length", "0")):
        plan.put("nozzle", key, text)
    assert missing(plan, "extruder") == [("nozzle", "taper_length")]
    plan.put("nozzle", "taper_length", "0")
    assert missing(plan, "extruder") == [("nozzle", "land_length")]


def test_nothing_is_taken_for_a_number_that_nobody_gave(folder):
    book = rk.Workbook.open(folder)
    for key in ("plunger_friction", "pressure_rating"):
        book.plan.put("machine", key, "")
    book.plan.put("drive", "torque", "")
    said = " ".join(book.left_out)
    assert "plunger friction" not in said and book.counted["plunger_friction"].value > 0, "the readings know it"
    assert "judged as a barrel without a rating" in said and "drive not known" in said
    assert book.extruder.drive is None and book.extruder.pressure_rating is None


def test_a_plan_that_cannot_be_is_refused_whole_and_shown_as_far_as_it_can(folder):
    (folder / "plan.toml").write_text(PLAN.replace('"1.6 mm"', '"1.6 kPa"').replace("fill_length", "fil_length"))
    with pytest.raises(rk.DataError, match=r"(?s)fil_length.*bore = .1\.6 kPa.: the unit \[kPa\]"):
        rk.Workbook.open(folder)
    book = rk.Workbook.shelved(folder)
    assert book.plan.value("machine", "barrel_diameter") == pytest.approx(26.7 * mm)
    with pytest.raises(rk.DataError, match=r"\[nozzle\], bore"):
        _ = book.extruder


def test_a_folder_without_a_bench_is_told(tmp_path):
    with pytest.raises(rk.DataError, match=r"holds no bench\.toml"):
        rk.Workbook.open(tmp_path)


RECIPE = """
[recipe]
water_content = 1.045
reading_error = "15 %"
[[recipe.ingredient]]
name = "flour"
mass = "100 g"
moisture = "8 %"
density = "1350 kg/m³"
[[recipe.reading]]
water_content = 0.95
yield_stress = "905 Pa"
[[recipe.reading]]
water_content = 1.3
yield_stress = "279 Pa"
"""


def test_a_recipe_is_weighed_and_says_what_its_water_does(folder):
    (folder / "plan.toml").write_text(PLAN + RECIPE)
    book = rk.Workbook.open(folder)
    assert book.recipe.dry_mass == pytest.approx(0.1)
    air = book.bench.properties()["air_content"].value  # which the cup of known mass told
    assert book.mixed.reckoned_density == pytest.approx(float(book.recipe.density) * (1 - air))
    there = replace(book.mixed, recipe=replace(book.recipe, water_content=book.read.known["water_content"].value))
    assert there.density == pytest.approx(book.read.known["density"].value), "that of the cup, where the cup was filled"
    book.plan.put("properties", "air_content", "5 %")  # typed: it goes first
    assert book.mixed.reckoned_density == pytest.approx(float(book.recipe.density) * 0.95)
    slope = np.log(905 / 279) / (1.3 - 0.95)
    assert book.material.paste.water_slope == pytest.approx(slope, rel=1e-6)
    book.plan.put("recipe", "masses", "masses as weighed from the bag")
    assert book.recipe.dry_mass == pytest.approx(0.092)


def test_a_paste_of_which_nobody_knows_the_air_is_not_mixed(tmp_path):
    place = tmp_path / "soup"
    shutil.copytree(demo("kitchen"), place)
    (place / "plan.toml").write_text(RECIPE)
    assert 0 < rk.Workbook.open(place).mixed.air_content < 1  # of its density and its recipe
    (place / "bench.toml").write_text("[specimen]\n")
    with pytest.raises(NotKnownYet, match=r"air content .*notebook 4, or \[properties\] air_content in plan\.toml"):
        _ = rk.Workbook.open(place).mixed


def test_a_fibre_is_planned_as_well(folder):
    book = rk.Workbook.open(folder)
    for key, text in {
        "throughput": "10 mm³/s", "winding_speed": "142 mm/s", "gap": "3 mm", "barrel_temperature": "60 °C", "nozzle_temperature": "42 °C",
        "bath_length": "250 mm",
    }.items():  # fmt: skip
        book.plan.put("fibre", key, text)
    book.plan.put("job", "kind", "fibre")
    with pytest.raises(NotKnownYet, match="bath temperature"):
        _ = book.job
    book.plan.put("fibre", "bath_temperature", "10 °C")
    assert book.job.kind == "fibre" and book.job.bath_temperature == pytest.approx(283.15)
    book.plan.put("fibre", "nozzle_temperature", "none")
    assert book.job.nozzle_temperature is None


def test_a_demo_that_was_opened_as_it_came_is_never_written():
    book = rk.Workbook.open(demo("olive-stone-paste"))
    before = book.plan.place.read_bytes()
    book.plan.put("nozzle", "bore", "3 mm")
    with pytest.raises(rk.DataError, match="a demo stays as it came"):
        book.save()
    assert demo("olive-stone-paste").joinpath("plan.toml").read_bytes() == before


def test_a_folder_that_was_taken_away_is_told_and_not_made_again(folder):
    book = rk.Workbook.open(folder)
    folder.rename(folder.with_name("elsewhere"))
    book.plan.put("nozzle", "bore", "2 mm")
    with pytest.raises(rk.DataError, match="is not there any more"):
        book.save()
    assert not folder.exists()


def test_a_workbook_that_is_kept_fits_readings_that_were_changed_since_anew_and_no_others(folder):
    book = rk.Workbook.open(folder)
    fit, bench = book.fit, book.bench
    assert book.fit is fit and book.bench is bench
    file = folder / bench.tests[0].origin.file
    file.write_text(file.read_text("utf-8") + "# looked at again\n", "utf-8")
    assert book.bench is not bench and book.fit is not fit and book.material.fit is book.fit
    (folder / "bench.toml").unlink()
    with pytest.raises(rk.DataError, match="no such file"):
        book.fit  # noqa: B018
