"""The page of a fit of a workbook: what it takes from the plan and writes into it, a paste without readings, what is typed; no browser."""

import re
import shutil

import numpy as np
import pytest

import rheokit as rk
from rheokit.widgets import FitPage, NozzlePage
from rheokit.widgets.fit.words import force_rows
from rheokit.widgets.page.elements import is_shown
from rheokit.workbook import Plan, Workbook, demo

pytestmark = pytest.mark.slow
RATES = np.geomspace(0.5, 200, 8)
CURVE = rk.FlowCurve(shear_rate=RATES, shear_stress=300 + 100 * RATES**0.4, relative_uncertainty=0.02, label="ring")
PLATE = rk.LoadedPlate(volume=5e-6, force=10.0, radius=[0.0235, 0.0233, 0.0236], label="plate")

MACHINE = {
    ("nozzle", "bore"): "1.6", ("nozzle", "inlet_diameter"): "4", ("nozzle", "taper_length"): "20", ("nozzle", "land_length"): "8",
    ("machine", "barrel_diameter"): "26.7", ("machine", "fill_length"): "80",
}  # fmt: skip
LINE = {("print", "layer_height"): "1", ("print", "line_width"): "2"}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_PASTES", str(tmp_path / "pastes"))
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    (tmp_path / "pastes").mkdir()
    rk.write_bench(rk.Bench(rk.Specimen(paste="clay"), [CURVE, PLATE]), tmp_path / "pastes" / "clay")
    return tmp_path / "pastes" / "clay"


def test_law_tests_rates_and_rivals_are_kept_and_make_the_fit_of_the_workbook(folder):
    page = FitPage(folder).explorer
    page.law.value = "Casson"
    page.readings.tests.children[1].value = False
    page.slow.text.value, page.fast.text.value = "1", "50"
    page.others[0].value = True
    rival = page.others[0].description
    plan = Plan.read(folder)
    assert plan.text("fit", "law") == "Casson" and plan.listed("fit", "leave_out") == ["plate"]
    assert plan.value("fit", "slowest_rate") == 1 and plan.value("fit", "fastest_rate") == 50
    assert plan.listed("page.fit", "compare") == [rival]
    again = FitPage(folder).explorer
    assert again.law.value == "Casson" and [box.value for box in again.readings.tests.children] == [True, False]
    assert (again.slow.holds, again.fast.holds) == ("1", "50") and again.others[0].value
    fit = Workbook.open(folder).fit
    assert again.fit.table.value.to_list() == pytest.approx(fit.table.value.to_list(), rel=1e-9)


def test_a_test_that_is_left_out_and_gone_is_told_and_stays_so_until_tests_are_ticked(folder):
    (folder / "plan.toml").write_text('[fit]\nleave_out = ["plat", "ring"]\n')
    page = FitPage(folder).explorer
    said = page.readings.gone.value
    assert "plat" in said and "is no test to fit" in said and "did you mean" in said and "ring" in said
    assert Plan.read(folder).listed("fit", "leave_out") == ["plat", "ring"]
    with pytest.raises(
        rk.DataError,
        match=r"\[fit\], leave_out: 'plat' is no test to fit; there are 'ring', 'plate'; did you mean 'plate'\?",
    ):
        Workbook.open(folder)
    with pytest.raises(rk.DataError, match="leave_out: 'plat'"):
        _ = Workbook.shelved(folder).fit
    page.readings.tests.children[0].value = True
    assert page.readings.gone.value == "" and Plan.read(folder).listed("fit", "leave_out") == []


def test_a_typed_test_that_is_taken_out_is_left_out_no_more(folder):
    page = FitPage(folder).explorer
    form = typed_curve(page)
    form.stated["label"].value = "typed"
    form.add.click()
    page.readings.tests.children[-1].value = False
    assert Plan.read(folder).listed("fit", "leave_out") == ["typed"]
    form.remove.click()
    assert Plan.read(folder).listed("fit", "leave_out") == [] and page.readings.gone.value == ""


def test_the_strip_says_the_law_how_far_to_trust_it_and_how_far_it_reaches(folder):
    page = FitPage(folder).explorer
    said = [re.sub("<[^>]+>", " ", part.value) for part in (page.strip.answer, page.strip.trust, page.strip.binds)]
    value, low = (page.fit.table.loc["yield_stress", name] for name in ("value", "low"))
    assert 200 < low < value < 400 and "Herschel-Bulkley: τ_y" in said[0] and "n 0." in said[0]
    failed = (~page.fit.checks.passed).sum()
    assert (f"{failed} of" in said[1]) if failed else "checks passed" in said[1]
    assert "INVENTED" not in said[1]
    failing = FitPage(demo("trap-transient-rows")).explorer
    assert "class='stopped'" in failing.strip.trust.value and "INVENTED readings" in failing.strip.trust.value
    assert "Rows were read before the flow was steady" in failing.strip.binds.value
    assert failing.checks.value.index("FAILED") < failing.checks.value.index("<details><summary>Passed checks")


def test_of_the_machine_of_an_own_folder_nothing_is_invented(folder):
    page = FitPage(folder).explorer
    assert page.forces.inside is None, "what is folded is not made"
    page.forces.unfold()
    panel = page.force
    assert all(not field.holds for field in panel.fields.values())
    said = "not known: needs bore of the barrel D_0, filled barrel length L_f, bore at the tip D, straight land L"
    assert said in panel.headline.value and not panel.numbers.value and panel.picture.chart is None
    for place, typed in MACHINE.items():
        panel.fields[place].text.value = typed
    assert "not known: needs print speed v, layer height h, line width w" in panel.headline.value
    assert "least force that starts it" in panel.numbers.value and "force on the plunger" not in panel.numbers.value
    assert "F_f not known: the force is then without the friction" in panel.numbers.value
    panel.speed.text.value = "15"
    for place, typed in LINE.items():
        panel.fields[place].text.value = typed
    assert "Force on the plunger" in panel.headline.value and panel.message.value == ""
    assert Plan.read(folder).text("nozzle", "bore") == "1.6 mm"
    assert FitPage(folder).explorer.force.fields["nozzle", "bore"].holds == "1.6"
    said = " ".join(re.sub("<[^>]+>", " ", panel.rests.value).split())
    assert "taper from D_in 4 to 1.6 mm 20 mm long" in said and "INVENTED" not in said and "invented" not in said
    assert "origin not given" in said


def test_the_force_is_that_of_the_page_of_the_nozzle_whatever_the_plan_holds(folder):
    """The same extruder and flow for the same plan: a taper by its half angle, a drag, a rating, a line as a share of the bore."""
    (folder / "plan.toml").write_text(
        '[machine]\nbarrel_diameter = "26.7 mm"\nfill_length = "60 mm"\nplunger_friction = "8 N"\nbarrel_drag = 0.4\n'
        'pressure_rating = "300 kPa"\norigin = "measured"\n[nozzle]\nbore = "1.4 mm"\ninlet_diameter = "4 mm"\n'
        'taper_half_angle = "7 °"\nland_length = "8 mm"\n'
        '[print]\nprint_speed = "12 mm/s"\nlayer_height_to_bore = 0.6\nline_width_to_bore = 1.2\n'
    )
    page = FitPage(folder).explorer
    page.forces.unfold()
    case = NozzlePage(folder).explorer.case
    extruder, flow = page.force.described()
    assert flow == pytest.approx(float(case.flow_rate), rel=1e-12)
    rows = force_rows(page.fit, extruder, flow)
    assert [float(row[1]) for row in rows[:2]] == pytest.approx(
        [float(case.force), float(case.pressure) / 1000], rel=1e-3
    )
    assert f"Force on the plunger {rows[0][1]} N, 95 % from {rows[0][2]} N" in page.force.headline.value
    assert "bore at the tip D 1.4 mm measured" in " ".join(re.sub("<[^>]+>", " ", page.force.rests.value).split())


def test_the_force_of_a_fibre_is_that_of_its_throughput_as_warm_as_it_leaves():
    shown = FitPage(demo("agar-dope"))
    page = shown.explorer
    page.forces.unfold()
    case = rk.Case.of(*(getattr(shown.workbook, name) for name in ("material", "extruder", "job")))
    assert page.force.described()[1] == pytest.approx(float(case.flow_rate))
    said = float(re.search(r"Force on the plunger ([\d.]+) N", page.force.headline.value)[1])
    assert said == pytest.approx(float(case.force), rel=5e-3)
    assert ("fibre", "throughput") in page.force.fields and "INVENTED" in page.force.picture.chart.to_json()


def typed_curve(page):
    form = page.readings.entry
    form.paste.value = "\n".join(f"{rate:.4g}\t{300 + 100 * rate**0.4:.4g}" for rate in RATES)
    form.fill.click()
    return form


def test_a_paste_from_nothing_is_typed_and_saved_at_once(folder):
    page = FitPage(folder)
    page.picker.new.unfold()
    page.picker.new.made.target.value = "fresh"
    page.picker.new.made.make_empty.click()
    fresh = page.explorer
    assert page.workbook.name == "fresh" and fresh.bench is None and "There are no readings" in fresh.message.value
    form = typed_curve(fresh)
    form.start.click()
    assert form.message.value == "" and fresh.fit is not None
    assert len(rk.read_bench(folder.parent / "fresh").tests) == 1
    again = FitPage(folder.parent / "fresh").explorer
    assert again.fit.table.value.to_list() == pytest.approx(fresh.fit.table.value.to_list(), rel=1e-9)


def test_a_folder_to_fill_in_takes_what_is_typed_while_nothing_in_it_is_filled_in(folder):
    page = FitPage(folder)
    page.picker.new.unfold()
    panel = page.picker.new.made
    panel.target.value = panel.target.placeholder.removeprefix("such as ")
    panel.make.click()
    made = folder.parent / "my-paste"
    assert page.workbook.folder == made and (made / "plan.toml").is_file() and len(list(made.glob("*.csv"))) > 2
    assert "hold nothing yet" in page.explorer.message.value and "role='alert'" not in page.explorer.message.value
    assert "no reading yet" in NozzlePage(made).explorer.message.value
    form = typed_curve(page.explorer)
    form.add.click()
    assert form.message.value == "" and [one.name for one in made.glob("*.csv")] == ["flow-curve.csv"]
    assert len(rk.read_bench(made).tests) == 1 and page.explorer.fit is not None
    half = rk.new_workbook(folder.parent / "half", ["flow curve"])
    toml = (half / "bench.toml").read_text("utf-8").replace('paste = ""', 'paste = "plum"')
    (half / "bench.toml").write_text(toml, "utf-8")
    form = typed_curve(FitPage(half).explorer)
    form.add.click()
    assert "filled in by half" in form.message.value and (half / "bench.toml").read_text("utf-8") == toml


def test_a_table_that_was_filled_in_is_corrected_in_the_form_and_comments_of_a_person_are_not_lost(folder):
    made = rk.new_workbook(folder.parent / "made", ["flow curve"])
    table, own = made / "flow-curve.csv", "# my own\n"
    table.write_text(table.read_text("utf-8") + "1, 400\n10, 550\n50, 780\n100, 930\n", "utf-8")
    held = FitPage(made).explorer
    form = held.readings.entry
    held.readings.held.which.value = 0
    held.readings.held.correct.click()
    assert "stands in the form below" in held.readings.held.said.value
    form.cells[0][1].value = "410"
    form.replace.click()
    assert form.message.value == "" and rk.read_bench(made).tests[0].shear_stress[0] == 410
    table.write_text(own + table.read_text("utf-8"), "utf-8")
    (made / "bench.toml").write_text('[[test]]\nkind = "flow curve"\nfile = "flow-curve.csv"\n')
    held = FitPage(made).explorer.readings
    assert held.entry and own in table.read_text("utf-8")
    held.held.which.value = 0
    held.held.correct.click()
    assert "its table holds comments" in held.held.said.value


def test_a_folder_that_was_renamed_is_not_made_again_by_what_is_typed(folder):
    page = FitPage(folder).explorer
    form = typed_curve(page)
    page.readings.export.unfold()
    panel = page.readings.export.made
    export = folder.parent / "curve.csv"
    export.write_text("shear rate [1/s],shear stress [Pa]\n1,100\n10,200\n30,300\n")
    panel.file.value = str(export)
    folder.rename(folder.parent / "loam")
    form.add.click()
    assert "is not there any more" in form.message.value and "Taken" not in form.done.value
    assert len(page.bench.tests) == 2
    panel.write.click()
    assert "is not there any more" in panel.done.value
    page.saving.target.value = str(folder)
    page.saving.save.click()
    assert "is not there any more" in page.saving.said.value
    assert not folder.exists()


def test_a_new_bench_beside_that_of_a_folder_says_that_it_is_saved_nowhere(folder):
    page = FitPage(folder).explorer
    had = (folder / "bench.toml").read_bytes()
    form = typed_curve(page)
    form.start.click()
    assert "Taken: " in form.done.value and "stands on this page alone" in form.done.value
    assert is_shown(page.readings.choice) and page.readings.choice.value == "readings typed here"
    form.stated["label"].value, form.cells[0][1].value = "second", "391"
    form.add.click()
    assert form.message.value == "" and "stands on this page alone" in form.done.value and len(page.bench.tests) == 2
    form.remove.click()
    assert "Taken out" in form.done.value and "stands on this page alone" in form.done.value
    assert (folder / "bench.toml").read_bytes() == had
    page.readings.choice.value = str(folder)
    form.add.click()
    assert "on this page alone" not in form.done.value and len(rk.read_bench(folder).tests) == 3


def test_readings_typed_beside_a_demo_stay_on_the_page(folder):
    came = demo("olive-stone-paste")
    before = {one.name: one.read_bytes() for one in came.iterdir() if one.is_file()}
    page = FitPage(came).explorer
    form = typed_curve(page)
    form.add.click()
    assert "stands on this page alone" in form.done.value
    assert "flow curve" in {test.kind for test in page.bench.tests} and is_shown(page.readings.choice)
    assert {one.name: one.read_bytes() for one in came.iterdir() if one.is_file()} == before


def test_name_and_uncertainty_of_a_test_that_was_taken_do_not_go_into_one_of_another_kind(folder):
    page = FitPage(folder)
    form = typed_curve(page.explorer)
    form.stated["label"].value, form.stated["uncertainty"].value = "second", "to 10 g"
    form.kind.value = "loaded plate"
    assert (form.stated["label"].value, form.stated["uncertainty"].value) == ("second", "to 10 g")  # of none so far
    form.kind.value = "flow curve"
    form.stated["uncertainty"].value = "3 %"
    form.add.click()
    assert form.message.value == ""
    form.kind.value = "loaded plate"
    assert (form.stated["label"].value, form.stated["uncertainty"].value) == ("", "")


def test_a_bench_that_cannot_be_read_is_said_on_the_page(folder):
    (folder / "bench.toml").write_text("[[test]]\nkind = 'magic'\n")
    page = FitPage(folder)
    assert page.workbook.name == "clay" and "magic" in page.explorer.message.value
    shutil.rmtree(folder)
    assert not page.open_folder(folder) and "was not opened" in page.picker.message.value


def test_readings_changed_by_hand_below_the_page_that_shows_them_are_told_and_those_typed_into_it_are_its_own(folder):
    page = FitPage(folder)
    form = typed_curve(page.explorer)
    form.fields.texts[next(place for place in form.fields.texts if "label" in place)].value = "again"
    form.add.click()
    assert len(page.explorer.bench.tests) == 3, form.message.value
    page.picker.looked_at.looks += 1
    assert not page.picker.message.value
    (table,) = folder.glob("plate*.csv")
    table.write_text(table.read_text("utf-8") + "# seen twice\n", "utf-8")
    page.explorer.slow.text.value = "1"
    assert "what stands below is older" in page.picker.message.value
    page.picker.theirs.click()
    page.explorer.fast.text.value = "50"
    assert not page.picker.message.value
