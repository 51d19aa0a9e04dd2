"""The map of a paste that is picked: what is moved on it stands in the plan, and what the plan lacks is asked for."""

import html
import re
import shutil
from pathlib import Path

import nbformat
import pytest

import rheokit as rk
from rheokit.planning import chance
from rheokit.units import mm
from rheokit.workbook.opened import Workbook
from rheokit.workbook.plan import Plan
from rheokit.workbook.shelf import remember

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore:somewhere on the map", "ignore:converging flow"),
]
DEMO = Path(__file__).parents[1] / "data" / "olive-stone-paste"
SMALL = {"fine": (8, 60), "quick": (4, 20)}


def plain(widget):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", widget.value))).strip()


def opened(folder):
    return rk.widgets.RegionExplorer.of(Workbook.shelved(folder), **SMALL)


@pytest.fixture
def mine(tmp_path):
    """Return a folder with the readings and the plan of a demo."""
    return Path(shutil.copytree(DEMO, tmp_path / "mine"))


@pytest.fixture
def bare(mine):
    """Return a folder with readings alone."""
    (mine / "plan.toml").unlink()
    return mine


def test_it_is_of_the_numbers_of_the_workbook(mine):
    page, book = opened(mine), Workbook.open(mine)
    alone = chance(book.material, book.extruder, book.job, draws=60, held=page.controls.where())
    assert float(page.alone.probability[0, 0]) == float(alone.probability[0, 0])
    assert page.controls.where()["bore"] == pytest.approx(1.6 * mm)


@pytest.mark.parametrize(
    ("key", "typed", "table", "entry", "said"),
    [
        ("print_speed", "12", "print", "print_speed", "12 mm/s"),
        ("part_height", "1,2 cm", "print", "part_height", "1,2 cm"),
        ("taper", "20", "nozzle", "taper_half_angle", "20 °"),
    ],
)
def test_what_is_moved_stands_in_the_plan_at_once(mine, key, typed, table, entry, said):
    page = opened(mine)
    page.controls.sliders[key].text.value = typed
    assert Plan.read(mine).text(table, entry) == said
    book = Workbook.open(mine)
    alone = chance(book.material, book.extruder, book.job, draws=60, held=page.controls.where())
    assert float(page.alone.probability[0, 0]) == float(alone.probability[0, 0])
    assert "# 60 N on the plunger before it stalls" in (mine / "plan.toml").read_text("utf-8")


def test_what_is_refused_leaves_the_plan_alone(mine):
    page = opened(mine)
    page.controls.sliders["part_height"].text.value = "high"
    assert Plan.read(mine).text("print", "part_height") == "15 mm"
    assert "high" in page.controls.sliders["part_height"].note.value


def test_a_page_that_is_opened_writes_nothing(mine):
    before = (mine / "plan.toml").read_bytes()
    opened(mine)
    assert (mine / "plan.toml").read_bytes() == before


def test_layer_and_wall_follow_again_as_the_plan_had_it(mine):
    page = opened(mine)
    page.controls.follows["layer_height"].value = False
    page.controls.sliders["layer_height"].text.value = "1.2"
    page.controls.follows["wall_width"].value = False
    page.controls.sliders["wall_width"].text.value = "4"
    job = Workbook.open(mine).job
    assert (job.layer_height, job.wall_width) == (pytest.approx(1.2 * mm), pytest.approx(4 * mm))
    again = opened(mine)
    assert not again.controls.follows["layer_height"].value and not again.controls.follows["wall_width"].value
    again.controls.follows["layer_height"].value = again.controls.follows["wall_width"].value = True
    job = Workbook.open(mine).job
    assert (job.layer_height, job.layer_height_to_bore, job.wall_width) == (None, 0.6, None)


def test_axes_point_and_a_moved_batch_stand_there_again(mine):
    page = opened(mine)
    page.controls.up.value = "print_speed"
    page.controls.sliders["water_content"].text.value = "1.1"
    page.controls.pick(2.2, 20.0)
    page.controls.kind.value = "room with best values"
    again = opened(mine)
    assert again.controls.axes == ("bore", "print_speed")
    assert again.controls.where() == {"bore": pytest.approx(2.2 * mm), "print_speed": pytest.approx(20 * mm)}
    assert again.controls.held()["water_content"] == pytest.approx(1.1)
    assert again.controls.kind.value == "room with best values"
    assert plain(again.strip.answer) == plain(page.strip.answer)


def test_machine_and_part_are_changed_in_their_own_fields(mine):
    page = opened(mine)
    page.machine.unfold()
    for group in page.panel.groups.values():
        group.unfold()
    page.panel.fields["nozzle", "land_length"].text.value = "30"
    assert page.extruder.nozzle.segments[-1].length == pytest.approx(30 * mm)
    page.panel.fields["print", "part_height"].text.value = "9"
    assert page.controls.sliders["part_height"].value == 9
    page.controls.sliders["part_height"].text.value = "11"
    assert page.panel.fields["print", "part_height"].text.value == "11"
    page.controls.sliders["taper"].text.value = "30"
    assert page.panel.fields["nozzle", "taper_half_angle"].text.value == "30"
    assert page.panel.fields["nozzle", "taper_length"].text.value == ""
    assert Workbook.open(mine).extruder.nozzle.segments[0].half_angle == pytest.approx(0.5235988)


def test_a_number_that_cannot_be_with_the_others_leaves_the_last_map(mine):
    page = opened(mine)
    found = page.found
    page.machine.unfold()
    page.panel.groups["Nozzle"].unfold()
    bore = page.panel.fields["nozzle", "bore"]
    bore.text.value = "12"
    assert page.found is found and "last one that worked" not in plain(bore.note)
    assert "old" in page.picture._dom_classes
    bore.text.value = "1.6"
    assert plain(page.message) == "" and "old" not in page.picture._dom_classes


@pytest.mark.parametrize(
    ("key", "typed", "needs"),
    [
        ("print_speed", "15", "print speed v"),
        ("layer_height", "1", "layer height h"),
        ("taper", "13", "length or half angle of the taper"),
    ],
)
def test_a_slider_that_is_emptied_is_not_known_and_no_error(mine, key, typed, needs):
    page = opened(mine)
    if key in page.controls.follows:
        plan = page.workbook.plan
        plan.put("print", "layer_height_to_bore", "")
        page.controls.follows[key].value = False
        page.controls.sliders[key].text.value = typed
    slider = page.controls.sliders[key]
    slider.text.value = ""
    assert plain(page.strip.answer).endswith(f"Not known: needs {needs}.") and page.message.value == ""
    assert page.picture.chart is None and needs in plain(page.picture.reason)
    assert not page.answered.value and not page.rests.value
    assert "Not known: needed" in plain(slider.note) or "Not known: no flow" in plain(slider.note)
    slider.text.value = typed
    assert page.picture.chart is not None and "of 100 cases" in plain(page.strip.answer)


def test_a_height_that_is_emptied_is_not_judged_and_typed_again(mine):
    page = opened(mine)
    height = page.controls.sliders["part_height"]
    height.text.value = ""
    assert page.found.case.job.part_height is None and "part_height" not in page.controls.held()
    assert page.picture.chart is not None and plain(height.note).startswith("Not known: whether it stands")
    height.text.value = "9"
    assert page.found.case.job.part_height == pytest.approx(9 * mm) == Workbook.open(mine).job.part_height


def test_what_lacks_is_said_in_the_place_of_the_map_and_its_fields_stand_there(bare):
    page = opened(bare)
    assert page.controls is None and page.found is None
    said = plain(page.picture.reason)
    assert said.startswith("There is no map. It needs: bore of the barrel D_0 [mm];") and "print speed v [mm/s]" in said
    assert plain(page.strip.answer).endswith(
        "Not known: needs bore of the barrel D_0, filled barrel length L_f and 5 more."
    )
    assert page.machine.is_open
    for (table, key), typed in {
        ("machine", "barrel_diameter"): "26.7", ("machine", "fill_length"): "60", ("nozzle", "bore"): "1.6",
        ("nozzle", "land_length"): "8", ("print", "print_speed"): "15", ("print", "layer_height"): "1",
    }.items():  # fmt: skip
        page.panel.fields[table, key].text.value = typed
        assert page.found is None
    page.panel.fields["print", "line_width"].text.value = "2"
    assert page.found is not None and "of 100 cases" in plain(page.strip.answer)


def test_what_a_folder_does_not_know_is_not_the_demos(bare):
    (bare / "plan.toml").write_text(
        '[machine]\nbarrel_diameter = "26.7 mm"\nfill_length = "60 mm"\n[nozzle]\nbore = "1.6 mm"\nland_length = "8 mm"\n'
        '[print]\nprint_speed = "15 mm/s"\nlayer_height = "1 mm"\nline_width = "2 mm"\n',
        encoding="utf-8",
    )
    page = opened(bare)
    assert "water_content" not in page.controls.known
    assert "drive force" in plain(page.strip.trust) and "not judged" in plain(page.strip.trust)
    assert "water slope" in plain(page.rests) and "build up rate" in plain(page.rests)
    assert "drive not known" in plain(page.answered)
    assert "INVENTED machine" not in plain(page.strip.trust)


def test_slump_alone_gives_no_likely_and_no_traceback(bare):
    for file in bare.iterdir():
        file.unlink()
    (bare / "bench.toml").write_text(
        '[specimen]\npaste = "a soft paste"\ndensity = "1080 kg/m3"\n[apparatus.mould]\nheight = "100 mm"\ndiameter = "100 mm"\n'
        '[[test]]\nkind = "cylinder slump"\nfile = "slump.csv"\napparatus = "mould"\nuncertainty = "1 mm"\n'
    )
    (bare / "slump.csv").write_text("slump [mm]\n31\n33\n30\n")
    shutil.copy(DEMO / "plan.toml", bare)
    page = opened(bare)
    said = plain(page.strip.answer) + plain(page.answered) + plain(page.rests)
    assert "not identified: needs readings at several rates" in said
    assert not re.search(r"\bnan\b", said) and "likely" not in said.replace("unlikely", "").replace("likeliest", "")


def test_run_all_with_a_folder_of_ones_own_ends_without_an_error(bare, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(bare.parent / "state"))
    remember("last", str(bare))
    notebook = nbformat.read(DEMO.parents[1] / "notebooks" / "3-printable-region.ipynb", as_version=4)
    known = {}
    for cell in notebook.cells:
        if cell.cell_type == "code":
            exec(cell.source, known)
    assert known["page"].workbook.folder == bare and "There is no map" in plain(known["page"].explorer.picture.reason)


def test_a_fibre_has_its_map_elsewhere(mine):
    plan = Plan.read(mine)
    plan.put("job", "kind", "fibre")
    plan.save()
    assert "notebook 6" in plain(opened(mine).picture.reason)


def test_an_entry_that_cannot_be_is_told_in_the_place_of_the_map(mine):
    text = (mine / "plan.toml").read_text("utf-8")
    (mine / "plan.toml").write_text(text.replace('bore = "1.6 mm"', 'bore = "1.6 kg"'), encoding="utf-8")
    said = plain(opened(mine).picture.reason)
    assert "[nozzle], bore = '1.6 kg': the unit [kg] is not that of a length" in said


def test_where_the_numbers_of_the_machine_come_from_is_said_as_it_was_chosen(mine):
    plan = Plan.read(mine)
    plan.put("machine", "origin", "measured")
    plan.put("job", "origin", "")
    plan.save()
    rows = {row[0]: row[-1] for row in opened(mine).rows()}
    assert rows["bore of the barrel D_0"] == "measured"
    assert rows["layer height h"].startswith("assumed")
