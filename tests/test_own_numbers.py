"""Explorers before a paste and a machine of one's own: what is not known is not offered, what is invented is called so.

Kind: exact. What the pages say is held against the extruder, the fit and the job that they stand on.
"""

import html
import re
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.charts import invented_lines, printable_region
from rheokit.nomenclature import number, numbers
from rheokit.origins import UNSAID
from rheokit.regions import AXES, movable, region_map
from rheokit.units import kPa, mm
from rheokit.widgets import NozzleExplorer, RegionExplorer
from rheokit.widgets.page.judged import not_judged_words
from rheokit.widgets.page.machine_rows import STATED, USUAL, known_rows, machine_rows
from rheokit.widgets.page.rests_on import SET

pytestmark = [
    pytest.mark.slow,  # whole pages
    pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow", "ignore:converging flow"),
]

LAW = rk.HerschelBulkley(yield_stress=350.0, consistency=200.0, flow_index=0.43)
MACHINE = "invented: for demonstration"
INVENTED_MACHINE = "INVENTED machine and part, for demonstration"
RIG = rk.Extruder(
    barrel_diameter=19.3 * mm, fill_length=70 * mm, plunger_friction=4.5,
    nozzle=rk.Nozzle(
        rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.7 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.7 * mm, length=12 * mm),
    ),
    drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25), pressure_rating=1000 * kPa,
)  # fmt: skip
JOB = rk.PrintJob(
    print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22, part_height=15 * mm, path_length=200 * mm
)
PASTE = rk.Paste(law=LAW, density=1190.0, water_content=0.92)  # no water slope, modulus, grains, air
QUICK = {"fine": (4, 20), "quick": (4, 20)}


def plain(words):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", words))).strip()


def material(**more):
    return rk.Material(paste=replace(PASTE, **more))


# --- which axes a case can move ---------------------------------------------------------------------------------------


def test_an_axis_is_offered_only_where_its_quantity_is_known_and_can_be_moved():
    case = rk.Case.of(material(), RIG, JOB)
    known = {"bore", "print_speed", "layer_height", "yield_stress", "consistency", "stiffness", "part_height", "wall_width", "taper"}  # fmt: skip
    assert set(movable(case)) == known
    moving = rk.Case.of(material(water_slope=3.2, air_content=0.03), RIG, JOB)
    of_prints = {name for name, axis in AXES.items() if axis.kind != "fibre"}
    assert set(movable(moving)) == of_prints - {"nozzle_temperature"}, "nothing heats the nozzle"


@pytest.mark.parametrize(("asked", "begun"), [
    ({}, ("bore", "print_speed")),
    ({"up": "water_content"}, ("bore", "print_speed")),
    ({"across": "water_content", "up": "bore"}, ("print_speed", "bore")),
    ({"across": "water_content", "up": "air_content"}, ("bore", "print_speed")),
    ({"across": "print_speed", "up": "water_content"}, ("print_speed", "bore")),
])  # fmt: skip
def test_the_page_begins_on_axes_that_move(asked, begun):
    page = RegionExplorer(material(), RIG, JOB, **QUICK, **asked)
    assert (page.controls.across.value, page.controls.up.value) == begun
    assert "water_content" not in page.controls.sliders
    assert not {"water_content", "air_content"} & {key for _, key in page.controls.up.options}
    assert page.found is not None and "last one that worked" not in page.message.value
    page.folds.inverse.unfold()
    assert "Paste.at_water" not in plain(page.folds.text(page.folds.inverse).value) and "limits=" not in plain(
        page.folds.text(page.folds.inverse).value
    )
    assert "cannot be moved: " in plain(page.rests.value)


# --- what a map rests on ----------------------------------------------------------------------------------------------


def test_the_map_lists_every_number_of_machine_and_part():
    page = RegionExplorer(material(), RIG, JOB, machine=MACHINE, **QUICK)
    said = plain(page.rests.value)
    for words in (
        "bore at the tip D 1.7 mm", "taper from D_in 6 to 1.7 mm 20 mm long, half angle 6.14°", "straight land L 12 mm",
        "bore of the barrel D_0 19.3 mm", "filled barrel length L_f 70 mm", "plunger friction F_f 4.5 N",
        f"greatest force of the drive {number(float(RIG.drive.force))} N", "rating printed on the barrel p_r 1 MPa",
        "print speed v 15 mm/s", "layer height h 1.02 mm, 0.6 of the bore", "line width w 2.07 mm, 1.22 of the bore",
        "part height H 15 mm", "path of one layer 200 mm",
    ):  # fmt: skip
        assert f"{words} {MACHINE}" in said, words
    for words in (
        "error of the layer height, standard deviation 0.1 mm",
        "shape of the wall straight wall",
        "wall width w 2.07 mm, one line",
    ):
        assert f"{words} {USUAL}" in said, words
    assert SET not in said and "here: " not in said


def test_what_was_set_on_the_page_stands_in_place_of_what_was_given():
    page = RegionExplorer(material(), RIG, JOB, machine=MACHINE, **QUICK)
    page.controls.point["across"].value = 2.4
    page.controls.sliders["part_height"].value = 22.0
    page.controls.rating.value = 500.0
    page.controls.sliders["stiffness"].value = 700.0
    said = plain(page.rests.value)
    for words in ("bore at the tip D 2.4 mm", "part height H 22 mm", "rating printed on the barrel p_r 500 kPa"):
        assert f"{words} {SET}" in said, words
    assert "bore at the tip D 1.7 mm" not in said and "part height H 15 mm" not in said
    assert f"layer height h 1.44 mm, 0.6 of the bore {MACHINE}" in said
    factor = re.search(rf"every stress here, over that of the law above × ([\d.]+) {SET}", said)
    assert float(factor[1]) == pytest.approx(2.0, rel=0.02)


def test_water_that_moves_by_an_invented_slope_moves_invented_stresses():
    invented = rk.Material(
        paste=replace(PASTE, water_slope=3.2),
        origins={"water_slope": MACHINE, "law": "fitted", "water_content": "measured"},
    )
    page = RegionExplorer(invented, RIG, JOB, up="water_content", **QUICK)
    page.controls.point["up"].value = 1.0
    said = plain(page.rests.value)
    assert f"water content u 1 {SET}" in said
    assert f"every stress here, over that of the law above × {number(np.exp(-3.2 * 0.08))} {MACHINE}" in said


def test_the_invented_machine_stands_beside_the_answer_until_it_is_ones_own():
    assert INVENTED_MACHINE in plain(RegionExplorer(material(), RIG, JOB, machine=MACHINE, **QUICK).answered.value)
    page = RegionExplorer(material(), RIG, JOB, machine="measured", **QUICK)
    assert "INVENTED" not in plain(page.answered.value)
    assert invented_lines(material(), MACHINE, MACHINE) == [INVENTED_MACHINE]
    assert invented_lines(material(), MACHINE, "stated: our test piece") == ["INVENTED machine, for demonstration"]
    assert invented_lines(material(), "measured", MACHINE) == ["INVENTED part, for demonstration"]
    assert invented_lines(material(), "measured", MACHINE, "fibre") == ["INVENTED fibre, for demonstration"]
    assert invented_lines(material(), "measured", "stated: our test piece") == []


def test_the_key_and_the_pointer_say_judged_where_something_is_not():
    axes = {"bore": np.geomspace(1, 3, 4) * mm, "print_speed": np.geomspace(5, 30, 4) * mm}
    found = region_map(material(), RIG, JOB, axes=axes, draws=20)
    drawn = str(printable_region(found).to_dict())
    assert found.unjudged and "probability that every limit judged holds [-]" in drawn
    assert "probability that every limit holds" not in drawn
    best = str(printable_region(region_map(material(), RIG, JOB, axes=axes)).to_dict())
    assert "room to the nearest limit judged, as a factor [-]" in best


def test_what_is_not_known_stands_apart_from_what_is_not_asked_and_in_words():
    axes = {"bore": np.geomspace(1, 3, 3) * mm, "print_speed": np.geomspace(5, 30, 3) * mm}
    found = region_map(material(), RIG, JOB, axes=axes)
    known, _, other = plain(not_judged_words(found)).partition("Not asked by this job")
    assert "clog bore against grains grain size not known" in known
    assert f"Not judged, and why ({sum(why != 'not asked by this job' for why in found.not_judged.values())})" in known
    assert "span" in other and "span" not in known and "_" not in known + other


# --- the page of nozzle and force -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def own():
    """A fit to a flow curve of one's own: nothing of it is invented, nothing is known of an extruder."""
    rates = np.geomspace(0.05, 400, 9)
    noise = np.array([1.01, 0.98, 1.02, 0.99, 1.0, 1.01, 0.99, 1.01, 0.99])
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=LAW.shear_stress(rates) * noise, relative_uncertainty=0.02)
    return rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="own paste"), [curve]))


@pytest.fixture(scope="module")
def demo():
    """The demonstration: its readings know the friction of their extruder."""
    return rk.fit(rk.HerschelBulkley, rk.read_bench("data/olive-stone-paste"))


def shown(page):
    return [" ".join(one.chart.to_dict()["title"]["subtitle"]) for one in (page.force, page.along, page.parts)]


def test_an_example_machine_is_called_invented_until_it_is_said_to_be_ones_own(own):
    page = NozzleExplorer(own)
    assert all(INVENTED_MACHINE in line for line in shown(page))
    assert f"{INVENTED_MACHINE}. Type yours, and choose" in plain(page.headline.value)
    for group in page.controls.panel.groups.values():
        group.unfold()
    page.controls.panel.controls["machine origin"].value = "measured"
    assert all("INVENTED part, for demonstration" in line for line in shown(page))  # which still is
    assert "bore at the tip D 1.6 mm measured taken as exact" in plain(page.rests.value)
    page.controls.panel.controls["job origin"].value = ""
    assert not any("INVENTED" in line for line in shown(page))
    assert "INVENTED" not in page.headline.value + page.strip.trust.value
    assert f"print speed v 15 mm/s {UNSAID}" in plain(page.rests.value)


def test_a_stiffness_is_set_on_the_page(own):
    page = NozzleExplorer(own)
    assert SET not in plain(page.rests.value)
    page.controls.stiffness.value = 1.5
    assert f"stiffness 1.5 × fitted {SET}" in plain(page.rests.value)
    assert page.plan.text("page.nozzle", "stiffness") == ""  # asked, and not kept: no other page knows it
    assert "what if: 1.5 times as stiff" in plain(page.strip.trust.value)
    page.controls.stiffness.value = 1.0
    assert "what if" not in page.strip.trust.value and SET not in plain(page.rests.value)


def test_the_friction_it_rests_on_is_the_one_the_headline_computes_with(demo):
    page = NozzleExplorer(demo)
    friction = demo.known(page.controls.extruder()).at(demo.nuisance).plunger_friction
    assert f"friction {friction:.3g} N" in plain(page.headline.value)
    said = plain(page.rests.value)
    assert f"plunger friction F_f {number(friction)} N invented: fitted to invented readings" in said
    assert "plunger friction F_f 8 N" not in said
    key = demo.known(page.controls.extruder()).keys["plunger_friction"]
    _, low, high = numbers(friction, *demo.table.loc[key, ["low", "high"]])
    assert f"{low} to {high} N" in said


def test_rows_of_what_readings_know_say_stated_where_the_bench_states_it(demo):
    rig = replace(page_rig(), plunger_friction=0.0)
    known = known_rows(rk.Material.of(demo), rig)
    assert known["plunger_friction"][3] == "invented: fitted to invented readings"
    stated = rk.Material(
        paste=PASTE,
        apparatus=lambda extruder, count=0, seed=0: rk.material.Rig(replace(extruder, plunger_friction=5.0)),
    )
    assert known_rows(stated, rig)["plunger_friction"] == ["plunger friction F_f", "5 N", "taken as exact", STATED]


def test_the_peak_of_friction_is_told_with_the_friction_that_may_pass_it(demo):
    rig, material = replace(page_rig(), plunger_friction=0.0), rk.Material.of(demo)
    key = demo.known(rig).keys["plunger_friction"]
    friction, low, high = demo.nuisance[key], *demo.table.loc[key, ["low", "high"]]
    assert "break_loose_friction" not in known_rows(material, replace(rig, break_loose_friction=1.01 * high))
    for peak in ((friction + high) / 2, 0.9 * low):
        known = known_rows(material, replace(rig, break_loose_friction=peak))["break_loose_friction"]
        value, least, most = numbers(max(peak, friction), max(peak, low), high)
        limits = f"{least} to {most} N"
        assert known == ["break-loose friction F_b", f"{value} N", limits, "invented: fitted to invented readings"]


def page_rig():
    return replace(RIG, barrel_diameter=26.7 * mm)


def test_a_fitted_friction_stands_in_the_map_too(demo):
    fitted = rk.Material.of(demo)
    rig = replace(page_rig(), plunger_friction=8.0)
    rows = machine_rows(fitted, rig, rk.Case.of(fitted, rig, JOB), MACHINE)
    friction = [row for row in rows if "friction" in row[0]]
    assert [row[3] for row in friction] == ["invented: fitted to invented readings"]
    assert friction[0][1] != "8 N"
