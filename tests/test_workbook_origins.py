"""What a plan knows of a paste goes into its material with spread and origin, where no reading says it; whose numbers they are. Kind: exact."""

import math
import re
import shutil
from dataclasses import replace

import pytest

import rheokit as rk
from rheokit.bench import Bench
from rheokit.nomenclature import numbers
from rheokit.planning import leaned
from rheokit.units import mm
from rheokit.widgets import NozzlePage, RegionPage
from rheokit.widgets.page.machine_rows import USUAL, machine_rows
from rheokit.widgets.page.paste_fields import limits_told
from rheokit.widgets.page.rests_on import paste_rows, rests_on
from rheokit.workbook import demo, demos
from rheokit.workbook.asked import ASKED


@pytest.fixture
def book(tmp_path):
    shutil.copytree(demo("porcelain-body"), tmp_path / "mine")
    return rk.Workbook.open(tmp_path / "mine")


def test_the_slope_of_the_recipe_moves_the_water_with_its_spread(book):
    law, material = book.mixed.law, book.material
    assert material.paste.water_slope == pytest.approx(law.slope)
    half = (law.high - law.low) / 2 / 1.959964
    assert material.spread("water_slope") == pytest.approx(half / law.slope, rel=1e-6)
    assert material.origin("water_slope") == "fitted: to yield stresses at several waters, of the recipe"
    rows = {row[0]: row[2] for row in paste_rows(material, told=limits_told(book))}
    assert rows["water slope b"] == " to ".join(
        numbers(law.slope, law.low, law.high)[1:]
    )  # as the page of the recipe has it
    softer = material.paste.at_water(0.41).yield_stress / material.paste.yield_stress
    assert softer == pytest.approx(math.exp(-law.slope * 0.01))


def test_the_modulus_is_moved_to_the_water_that_was_tested(book):
    assert book.material.paste.modulus == pytest.approx(180e3)
    book.plan.put("shape", "modulus_water", "0.38")
    moved = 180e3 * math.exp(-book.mixed.law.slope * 0.02)
    assert book.material.paste.modulus == pytest.approx(moved)
    book.plan.put("shape", "modulus_water", "")  # then it is that of the paste that was tested
    assert book.material.paste.modulus == pytest.approx(180e3)


def test_the_paste_of_another_fit_is_that_of_its_own_bench(book):
    """Page 1 fits readings that were added since the folder was read: its force counts what they tell."""
    book.plan.put("shape", "modulus_water", "0.38")
    wetter = Bench(replace(book.bench.specimen, water_content=0.43), book.bench.tests)
    moved = 180e3 * math.exp(-book.mixed.law.slope * 0.05)
    assert book.material_of(rk.fit(rk.HerschelBulkley, wetter)).paste.modulus == pytest.approx(moved)


def test_a_test_wall_that_leaned_counts_as_on_the_page_of_the_recipe(book):
    book.plan.put("shape", "stiffness_from", "a test wall that leaned")
    told = leaned(19 * mm, 1.22 * 3 * mm, 1762.0, "straight wall")  # as thick as the wall of the part: one line wide
    material = book.material
    assert material.paste.modulus == pytest.approx(told["properties"]["modulus"])
    assert (material.paste.lean_factor, material.lean_width) == (1.0, pytest.approx(1.22 * 3 * mm))
    book.plan.put("print", "wall_width", "2 mm")
    assert book.material.lean_width == pytest.approx(2 * mm)
    for key in ("line_width_to_bore", "wall_width"):
        book.plan.put("print", key, "")
    assert book.material.paste.modulus is None and book.material.lean_width is None
    assert any("test wall leaned is not used: it needs wall width" in one for one in book.left_out)


def test_a_stiffness_at_another_water_is_not_used_where_the_water_that_was_tested_is_not_known(book):
    """Nobody guesses at which water content the readings were made: it is asked for."""
    bench = book.folder / "bench.toml"
    bench.write_text(
        bench.read_text(encoding="utf-8").replace('water_content = "40 %"', "").replace('water_basis = "dry"', ""),
        encoding="utf-8",
    )
    book.reread()
    assert book.material.paste.modulus is None and book.material.paste.water_content is None
    (said,) = (one for one in book.left_out if "modulus" in one)
    assert said.startswith(
        "Young's modulus E is not used: it was read at u = 0.4, and at which water content the other readings were made"
    )
    with pytest.raises(rk.DataError, match="at which water content the readings were made is not known: water_content"):
        book.material.paste.at_water(0.41)
    book.plan.put("properties", "water_content", "0.39")
    assert book.material.paste.modulus == pytest.approx(180e3 * math.exp(book.mixed.law.slope * 0.01))
    assert book.material.paste.at_water(0.41).yield_stress < book.material.paste.yield_stress


def test_what_is_typed_of_the_paste_counts_before_what_readings_tell(book):
    assert "static_ratio" not in book.given  # of the hanging slugs
    assert book.material.paste.shrinkage_xy == pytest.approx(0.065)
    assert book.material.spread("shrinkage_xy") == pytest.approx(0.005 / 0.065)
    book.plan.put_property("shrinkage_xy", "7 %", "measured: three bars", 0.05)
    assert book.material.paste.shrinkage_xy == pytest.approx(0.07)
    assert (book.material.spread("shrinkage_xy"), book.material.origin("shrinkage_xy")) == (
        0.05,
        "measured: three bars",
    )
    book.plan.put("properties", "static_ratio", "2")
    assert book.material.paste.static_ratio == 2.0


@pytest.mark.parametrize("name", demos())
def test_what_the_readings_tell_is_what_the_material_takes_of_them(name):
    book = rk.Workbook.open(demo(name))
    material = rk.Material.of(book.fit)
    told = {
        key: getattr(material.paste, key)
        for key in material.origins
        if key in rk.Paste.__dataclass_fields__ and key != "law"
    }
    assert {key: one.value for key, one in book.read.known.items()} == {
        key: value for key, value in told.items() if value is not None
    }
    assert book.read.lean_width == material.lean_width


def test_one_rate_of_use_alone_is_told(book):
    book.plan.put("fit", "slowest_rate", "2 s-1")
    with pytest.raises(
        rk.DataError, match=r"\[fit\]: slowest_rate = 2 s-1 stands alone; write both rates of use, or none"
    ):
        _ = book.fit
    book.plan.put("fit", "fastest_rate", "200 s-1")
    assert book.use_range == (2.0, 200.0)


@pytest.mark.parametrize(
    ("machine", "job", "both"),
    [
        ("measured", "invented: for demonstration", "invented: for demonstration"),
        ("measured: calipers", "measured", "measured: calipers"),
        ("measured", "", "assumed: origin not given"),
        ("from a handbook", "table: data sheet", "stated: from a handbook"),
    ],
)
def test_of_two_origins_the_less_trusted_is_told(book, machine, job, both):
    book.plan.put("machine", "origin", machine)
    book.plan.put("job", "origin", job)
    assert book.machine_origin == both
    assert book.origins[0].endswith(machine) and book.origins[1].endswith(job or "origin not given")
    said = book.script()
    assert all(
        f"# numbers of the {what}: {of}\n" in said for what, of in zip(("machine", "job"), book.origins, strict=True)
    )


@pytest.mark.slow
def test_every_page_says_the_same_of_where_machine_and_part_come_from(book, tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    book.plan.put("machine", "origin", "measured: calipers")
    book.plan.put("job", "origin", "")
    book.save()
    for page in (NozzlePage, RegionPage):
        said = " ".join(re.sub(r"<[^>]+>", " ", page(book.folder).explorer.rests.value).split())
        assert "bore at the tip D 3 mm measured: calipers" in said, said
        assert "print speed v 15 mm/s assumed: origin not given" in said, said


def rows_of(book):
    """Return value and origin of every number of machine and job of a workbook whose readings know nothing of them, by its words."""
    material = rk.Material(paste=book.material.paste)
    case = rk.Case.of(material, book.extruder, book.job)
    machine, job = book.origins
    rows = machine_rows(material, book.extruder, case, machine, job_origin=job, plan=book.plan)
    return {words: (value, origin) for words, value, _, origin in rows}


def test_an_origin_is_that_of_what_was_typed_alone(book):
    plan = book.plan
    plan.put("machine", "origin", "measured")
    plan.put("job", "origin", "measured: mine")
    for key in ("barrel_drag", "pressure_rating"):
        plan.put("machine", key, "")
    plan.put("drive", "kind", "screw")
    plan.put("drive", "torque", "")
    plan.put("print", "shape", "")
    plan.put("print", "speed_error", "")
    said = rows_of(book)
    nothing = ("not known", "")
    assert said[ASKED["machine"]["pressure_rating"].words] == nothing
    assert said["greatest force of the drive"] == nothing
    assert said[ASKED["machine"]["barrel_drag"].words] == ("1", USUAL)
    assert said[ASKED["print"]["shape"].words] == ("straight wall", USUAL)
    assert said[ASKED["print"]["speed_error"].words] == ("2 %", USUAL)
    assert said[ASKED["nozzle"]["bore"].words][1] == "measured"
    told = rests_on([[words, value, "", origin] for words, (value, origin) in said.items()])
    counted = sum(origin.startswith("measured") for _, origin in said.values())
    assert f"{counted} measured" in told
    plan.put("machine", "pressure_rating", "none")
    plan.put("machine", "barrel_drag", "1")
    plan.put("drive", "kind", "hand")
    plan.put("print", "speed_error", "2 %")
    said = rows_of(book)
    assert said[ASKED["machine"]["pressure_rating"].words] == ("none", "measured")
    assert said[ASKED["machine"]["barrel_drag"].words] == ("1", "measured")
    assert said[ASKED["drive"]["force"].words] == ("38 N", USUAL)
    assert said[ASKED["print"]["speed_error"].words] == ("2 %", "measured: mine")


def test_what_is_typed_and_usual_has_the_origin_of_what_is_typed():
    book = rk.Workbook.open(demo("gelatin-dope-40"))
    book.plan.put("job", "origin", "measured: mine")
    book.plan.put("fibre", "relative_humidity", "50 %")
    book.plan.put("fibre", "draught", "0 m/s")
    book.plan.put("fibre", "air_temperature", "")
    book.plan.put("fibre", "held", "")
    book.plan.put("machine", "plunger_friction", "")
    said = rows_of(book)
    asked = ASKED["fibre"]
    assert said[asked["relative_humidity"].words] == ("50 %", "measured: mine")
    assert said[asked["draught"].words][1] == "measured: mine"
    assert said[asked["air_temperature"].words] == ("22 °C", USUAL)
    assert said[asked["held"].words][1] == USUAL
    assert said[ASKED["machine"]["plunger_friction"].words] == ("not known", "")


def test_a_slope_that_may_be_nothing_moves_no_paste(book):
    """Readings that scatter so that their slope may be nothing are told; a factor about the slope would never be nothing."""
    rows = book.plan.rows("recipe", "reading")
    told = zip(rows, ("3000 Pa", "1500 Pa", "4000 Pa", "1200 Pa", "2500 Pa"), strict=True)
    book.plan.put_rows("recipe", "reading", [row | {"yield_stress": stress} for row, stress in told])
    assert 0 < book.mixed.law.slope and book.mixed.law.low <= 0
    assert book.material.paste.water_slope is None
    assert "what water does to the paste is not used: by the readings of the recipe it may be nothing" in book.left_out
