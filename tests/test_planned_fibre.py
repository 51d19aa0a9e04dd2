"""The page of a fibre of a workbook: it reads from the plan and writes into it, and what the plan lacks is asked for."""

import html
import re
import shutil

import pytest

from rheokit.machine.cautions import CAUTIONS
from rheokit.widgets.fibre import words
from rheokit.widgets.fibre.explorer import FibreExplorer, FibrePage
from rheokit.widgets.fit.explorer import FitPage
from rheokit.widgets.nozzle.explorer import NozzleExplorer
from rheokit.widgets.page.elements import is_shown
from rheokit.widgets.region.explorer import RegionExplorer
from rheokit.workbook import Plan, Workbook, demo

pytestmark = pytest.mark.slow
SMALL = (8, 100)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    place = tmp_path / "mine"
    shutil.copytree(demo("gelatin-dope-40"), place)
    return place


def plain(widget):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", widget.value))).strip()


def page(folder):
    return FibreExplorer.of(Workbook.shelved(folder), SMALL)


def test_it_begins_with_what_the_plan_says_and_answers_in_the_strip(folder):
    explorer = page(folder)
    assert explorer.message.value == ""
    assert explorer.controls.sliders["gap"].value == pytest.approx(3.0)
    assert re.search(
        r"Wind at 14\d mm/s \(95 % \d+ to \d+ mm/s\), 45 rpm, gap ≤ [\d.]+ mm .*, bath ≥", plain(explorer.strip.answer)
    )
    assert "INVENTED readings" in plain(explorer.strip.trust)
    assert all(picture.chart is not None for picture in explorer.way.values())
    assert not any(fold.inside for fold in explorer.folds.all)  # nothing folded is made before it is asked for


def test_the_force_is_that_of_the_page_of_the_fit(folder):
    explorer, of_fit = page(folder), FitPage(folder).explorer.force
    said, there = plain(explorer.forced), plain(of_fit.headline)
    force, pressure = re.findall(r"([\d.]+) (?:N|kPa) \(95 % ([\d.]+) to ([\d.]+) (?:N|kPa)\)", said)
    assert [force, pressure] == re.findall(r"([\d.]+) (?:N|kPa), 95 % from ([\d.]+) to ([\d.]+) (?:N|kPa)", there)
    assert "Extrapolated" not in said  # its barrel carries next to nothing of the pressure


def test_what_is_moved_is_saved_and_stands_there_again(folder):
    explorer = page(folder)
    explorer.controls.sliders["gap"].text.value = "10"
    explorer.controls.fields["dry_diameter"].text.value = "0,15"
    explorer.controls.heated.value = words.BARE
    explorer.controls.held.value = words.LOOSE
    plan = Plan.read(folder)
    assert plan.value("fibre", "gap") == pytest.approx(0.010)
    assert plan.value("fibre", "dry_diameter") == pytest.approx(0.15e-3)
    assert plan.text("fibre", "nozzle_temperature") == "none" and plan.text("fibre", "held") == words.LOOSE
    again = page(folder)
    assert again.controls.sliders["gap"].value == 10 and again.controls.heated.value == words.BARE
    assert again.winding.job.nozzle_temperature is None and again.winding.job.held is False
    assert again.winding.job.gap == pytest.approx(0.010)


def test_a_paste_without_a_plan_says_what_each_picture_needs_and_takes_it(folder):
    (folder / "plan.toml").unlink()
    explorer = page(folder)
    assert plain(explorer.strip.answer).endswith(" and 6 more.") and explorer.winding is None
    assert is_shown(explorer.demo)
    first, *others = explorer.way.values()
    assert first.chart is None and "bore at the tip D [mm]" in plain(first.reason), "said once"
    assert not any(is_shown(picture) or picture.shows for picture in others)
    assert explorer.controls.heated.value == "not known" and not is_shown(
        explorer.controls.sliders["nozzle_temperature"]
    )
    assert explorer.controls.machine.is_open
    assert explorer.controls.kind.value == "" and Plan.read(folder).text("job", "kind") == ""
    explorer.controls.heated.value = words.HEATED
    typed = {"throughput": "10", "winding_speed": "142", "gap": "3", "nozzle_temperature": "42"}
    for key, text in typed.items():
        explorer.controls.sliders[key].text.value = text
    explorer.controls.fields["barrel_temperature"].text.value = "60"
    panel = explorer.controls.panel
    for (table, key), text in {
        ("nozzle", "bore"): "0.84", ("nozzle", "land_length"): "12.7", ("machine", "barrel_diameter"): "20.1", ("machine", "fill_length"): "60",
    }.items():  # fmt: skip
        panel.fields[table, key].text.value = text
    assert explorer.winding is not None
    assert not any("Not known yet" in plain(picture.reason) for picture in explorer.way.values())
    assert "How fast to wind is not known" in plain(explorer.wound)
    explorer.controls.fields["dry_diameter"].text.value = "0.2"
    assert "turns are not known without the diameter of the drum" in plain(explorer.wound)
    explorer.controls.fields["drum_diameter"].text.value = "60"
    assert "a drum of 60 mm" in plain(explorer.wound)
    assert Plan.read(folder).text("job", "kind") == "fibre"  # what is typed for a fibre is planned as one
    assert "INVENTED machine" not in plain(explorer.strip.trust)  # it is one's own
    assert explorer.message.value == "" or "failed" not in plain(
        explorer.message
    )  # no drive is known, and none is needed
    assert CAUTIONS["hot gel"] in plain(explorer.cautions)


def test_a_field_that_is_emptied_is_not_known_and_no_error(folder):
    explorer = page(folder)
    speed = explorer.controls.sliders["winding_speed"].text
    speed.value = ""
    assert plain(explorer.strip.answer).endswith("Not known: needs winding speed v_w.")
    assert explorer.message.value == "" and not is_shown(explorer.demo), "a gel is open, and no field is to move"
    assert not any(picture.chart for picture in explorer.way.values())
    assert "winding speed" in explorer.way["diameter"].reason.value
    shown = (explorer.wound, explorer.forced, explorer.answered, explorer.cautions, explorer.rests)
    assert not any(one.value for one in shown)
    speed.value = "142"
    assert "Wind at" in plain(explorer.strip.answer) and all(
        picture.chart and is_shown(picture) for picture in explorer.way.values()
    )


def test_how_warm_the_needle_is_counts_as_nothing_in_silence(folder):
    explorer, said = page(folder), "nozzle temperature T_n not known: it counts as a bare needle"
    assert said not in plain(explorer.strip.trust)
    explorer.controls.sliders["nozzle_temperature"].text.value = ""
    assert said in plain(explorer.strip.trust) and explorer.winding.job.nozzle_temperature is None
    assert said in explorer.workbook.left_out and f"# {said}" in Workbook.open(folder).script()
    explorer.controls.sliders["nozzle_temperature"].text.value = "42"
    assert said not in plain(explorer.strip.trust)
    explorer.controls.heated.value = "not known"
    assert said in plain(explorer.strip.trust)
    explorer.controls.heated.value = words.BARE
    assert said not in plain(explorer.strip.trust) and said not in explorer.workbook.left_out


def test_a_plan_for_a_print_stays_one(folder):
    explorer = page(folder)
    explorer.controls.kind.value = "print"
    explorer.controls.sliders["gap"].text.value = "4"
    assert Plan.read(folder).text("job", "kind") == "print" and explorer.winding.job.kind == "fibre"


def test_a_field_that_holds_what_cannot_be_keeps_the_last_picture_marked_as_old(folder):
    explorer = page(folder)
    before = plain(explorer.strip.answer)
    explorer.controls.fields["air_temperature"].text.value = "warm"
    assert "warm" in plain(explorer.controls.fields["air_temperature"].note)
    assert plain(explorer.strip.answer) == before and "old" in explorer.strip.answer._dom_classes
    assert Plan.read(folder).value("fibre", "air_temperature") == pytest.approx(295.15)


def test_the_page_offers_every_paste(folder, monkeypatch):
    monkeypatch.setenv("RHEOKIT_PASTES", str(folder.parent))
    shown = FibrePage(folder)
    assert shown.workbook.folder == folder
    assert any(value == str(folder) for value in dict(shown.picker.choice.options).values())


def test_a_paste_that_is_printed_is_sent_to_its_pages_and_a_demo_is_one_press_away(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    printed = FibrePage(demo("olive-stone-paste"))
    explorer = printed.explorer
    assert plain(explorer.strip.answer).startswith("Answer ▲ A print is planned of this paste: see notebooks 2 and 3")
    assert is_shown(explorer.demo) and not any(
        one.keep_line.layout.visibility == "visible" for one in explorer.way.values()
    )
    explorer.demo.click()
    assert printed.workbook.name == "gelatin-dope-40" and not is_shown(printed.explorer.demo)
    assert all(one.keep_line.layout.visibility == "visible" for one in printed.explorer.way.values())
    assert printed.picker.choice.value == str(demo("gelatin-dope-40"))


def test_pages_of_prints_send_a_fibre_to_its_own_and_ask_no_print_of_it(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    book = Workbook.shelved(demo("gelatin-dope-40"))
    nozzle = NozzleExplorer.of(book)
    said = plain(nozzle.strip.answer)
    assert (
        "A fibre is planned: its job and force stand in notebook 6. The law has no yield stress: to start it nothing"
        in said
    )
    assert "must be overcome, 6 N on the plunger." in said and "Line and speed" not in nozzle.controls.panel.groups
    assert nozzle.controls.speed not in nozzle.controls.sliders.children
    assert "A fibre is planned: its maps stand in notebook 6." in plain(RegionExplorer.of(book).strip.answer)
