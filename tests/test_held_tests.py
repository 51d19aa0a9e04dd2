"""What is typed into the form of a test stays, and any test of the folder is corrected in it or taken out, whoever typed it. Kind: exact."""

import shutil

import pytest

import rheokit as rk
from rheokit.reading.tables import text_of
from rheokit.widgets.fit.lending import lent_by
from rheokit.widgets.fit.readings import Readings
from rheokit.widgets.fit.recalled import to_correct
from rheokit.widgets.page.elements import is_shown
from rheokit.workbook import Workbook, demo, demos, shelf

BENCH = """# my bench
[specimen]
paste = "clay"
density = "1.110 g/cm3"   # from the cup

[apparatus.syringe]
barrel_diameter = "26.70 ± 0.05 mm"
fill_length = "60 mm"
plunger_friction = "8 ± 1 N"

# the thin one
[[test]]
kind = "syringe force"
file = "thin.csv"
apparatus = "syringe"
bore = "2.00 mm ± 1 %"   # by microscope
length = "20 mm"
read = "force"
uncertainty = ["0.5 N", "3 %"]

[[test]]
kind = "flow curve"
file = "ring.csv"
label = "ring"
note = "on Monday"

[[test]]
kind = "flow curve"
file = "cone.csv"
"""
FILES = {
    "bench.toml": BENCH,
    "thin.csv": "plunger speed [mm/s], force [N]\n0.010, 43.70\n\n0.02, 52\n0.05, 66\n",
    "ring.csv": "shear rate [1/s], shear stress [Pa]\n1, 100\n10, 181\n30, 270\n",
    "cone.csv": "# read when steady\nshear rate [1/s], shear stress [Pa]\n1, 101\n10, 180\n30, 271\n",
}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_PASTES", str(tmp_path / "pastes"))
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    place = tmp_path / "pastes" / "clay"
    place.mkdir(parents=True)
    for name, text in FILES.items():
        (place / name).write_text(text, "utf-8")
    return place


def readings_of(folder):
    """Return the readings of a page of a folder, without fit."""
    nothing = lambda *_: None  # noqa: E731
    readings = Readings(str(folder), nothing, nothing, nothing, Workbook.shelved(folder))
    readings.read(folder)
    return readings


def form_of(folder):
    """Return the form of a page as after a new kernel, and its tests."""
    readings = readings_of(folder)
    return readings.entry, readings.held


def choose(held, words):
    held.which.value = next(place for said, place in held.which.options if said.startswith(words))


def comments(text):
    return [line.partition("#")[2].split()[-1] for line in text.splitlines() if "#" in line]


def test_a_test_of_the_folder_is_corrected_in_the_form_and_nothing_else_changes(folder):
    form, held = form_of(folder)
    assert is_shown(held) and held.correct.disabled and len(held.which.options) == 4
    choose(held, "syringe force")
    held.correct.click()
    assert "stands in the form below" in held.said.value
    shown = {key: control.value for key, control in form.stated.items()}
    assert shown["bore"] == "2.00 mm ± 1 %" and shown["barrel_diameter"] == "26.70 ± 0.05 mm" and shown["density"] == ""
    assert shown["uncertainty"] == "0.5 N; 3 %" and shown["read"] == "force"
    assert [cell.value for cell in form.cells[0]] == ["0.010", "43.70"] and form.cells[1][0].value == ""
    form.cells[2][1].value = "53"
    before = rk.read_bench(folder)
    again, _ = form_of(folder)  # in the middle of it, and after a new kernel
    assert again.cells[2][1].value == "53" and "syringe force" in again.replace.description
    again.replace.click()
    assert "in place of syringe force" in again.done.value and again.message.value == ""
    after = rk.read_bench(folder)
    assert list(after.tests[-1].force) == [43.7, 53, 66] and len(after.tests) == 3
    assert after.tests[-1].apparatus == "syringe" and list(after.tests[-1].flow_rate) == list(before.tests[0].flow_rate)
    assert (folder / "thin.csv").read_text("utf-8") == FILES["thin.csv"], "a table that the form did not write"
    assert {*comments(BENCH)} <= {*comments((folder / "bench.toml").read_text("utf-8"))}
    last, held = form_of(folder)
    choose(held, "syringe force")
    held.correct.click()
    last.cells[2][1].value = "54"
    names = {one.name for one in folder.iterdir()}
    last.replace.click()
    assert {one.name for one in folder.iterdir()} == names, "one that it wrote is written over"
    assert list(rk.read_bench(folder).tests[-1].force) == [43.7, 54, 66]


def test_what_the_form_cannot_hold_says_in_which_file_to_correct_it(folder):
    form, held = form_of(folder)
    for words, why, file in (
        ("flow curve 'ring'", "it states note", "ring.csv"),
        ("flow curve,", "holds comments", "cone.csv"),
    ):
        choose(held, words)
        held.correct.click()
        assert why in held.said.value and f"bench.toml and {file} in " in held.said.value and "alert" in held.said.value
    assert not any(cell.value for row in form.cells for cell in row)
    form.cells[0][0].value = "7"
    (folder / "ring.csv").with_name("bench.toml").write_text(BENCH.replace('note = "on Monday"\n', ""), "utf-8")
    form, held = form_of(folder)
    choose(held, "flow curve 'ring'")
    held.correct.click()
    assert "readings of a flow curve that are in no test" in held.said.value and form.cells[0][0].value == "7"


def test_a_test_of_the_folder_is_taken_out_and_its_table_and_comments_stay(folder):
    _, held = form_of(folder)
    choose(held, "flow curve,")
    held.take_out.click()
    assert "Taken out of the bench: flow curve, 3 readings." in held.said.value
    assert f"Its readings stay in &#x27;{folder}&#x27;, in the file cone.csv." in held.said.value
    assert [test.name for test in rk.read_bench(folder).tests] == ["syringe force", "flow curve 'ring'"]
    assert (folder / "cone.csv").read_text("utf-8") == FILES["cone.csv"]
    choose(held, "syringe force")
    held.take_out.click()
    assert {*comments(BENCH)} <= {*comments((folder / "bench.toml").read_text("utf-8"))}
    assert held.which.label.startswith("(none chosen") and held.take_out.disabled
    form, held = form_of(folder)
    choose(held, "flow curve 'ring'")
    held.take_out.click()
    assert "It is the only test" in held.said.value
    for row, cells in zip((("1", "99"), ("10", "182"), ("30", "272")), form.cells, strict=False):
        for text, cell in zip(row, cells, strict=True):
            cell.value = text
    form.stated["label"].value = "cone"
    form.add.click()
    assert form.message.value == "", "another table stands under its name"
    assert rk.read_bench(folder).tests[-1].origin.file == "cone-2.csv"
    assert (folder / "cone.csv").read_text("utf-8") == FILES["cone.csv"]


@pytest.mark.parametrize("name", [name for name in demos() if not name.startswith("trap")])
def test_every_test_that_the_form_asks_for_comes_back_as_it_was(tmp_path, name):
    """As far as its table holds no comment, and what the page has no field for is stated of none."""
    shutil.copytree(demo(name), tmp_path / name)
    for one in (tmp_path / name).glob("*.csv"):
        one.write_text("".join(line for line in text_of(one.read_bytes()).splitlines(True) if line[0] != "#"), "utf-8")
    toml = (tmp_path / name / "bench.toml").read_text("utf-8").splitlines(True)
    dropped = ("temperature", "water_content", "water_basis", "age", "batch")
    (tmp_path / name / "bench.toml").write_text(
        "".join(line for line in toml if line.split(" ")[0] not in dropped), "utf-8"
    )
    bench = rk.read_bench(tmp_path / name)
    for test in bench.tests:
        if "nozzle" in text_of(test.origin.toml).split("[[test]]")[test.origin.entry + 1]:
            with pytest.raises(rk.DataError, match="states nozzle"):
                to_correct(bench, test, lent_by(bench))
        else:
            assert to_correct(bench, test, lent_by(bench)).kind == test.kind


def test_what_is_typed_and_not_added_stands_there_again_after_a_restart(folder):
    form = readings_of(folder).entry
    form.kind.value = "cylinder slump"
    form.stated["height"].value = "50 mm"
    form.cells[1][0].value = "3,3"
    form.kind.value = "syringe force"
    form.table.ways["flow_rate"].value = ("plunger_speed",)
    form.table.ticks["temperature"].value = True
    form.more.click()
    form.heads[0].value = "speed [mm/min]"
    form.cells[-1][0].value = "60"
    form.stated["read"].value = "flow_rate"
    page = readings_of(folder)  # as after a new kernel
    again = page.entry
    assert page.form.is_open and "not added yet stands here again" in again.done.value
    assert again.kind.value == "syringe force" and again.stated["read"].value == "flow_rate"
    assert [cell.value for cell in again.cells[-1]] == [cell.value for cell in form.cells[-1]]
    assert [head.value for head in again.heads] == [head.value for head in form.heads] and len(again.cells) == len(
        form.cells
    )
    again.kind.value = "cylinder slump"
    assert again.stated["height"].value == "50 mm" and again.cells[1][0].value == "3,3"
    again.cells[1][0].value, again.cells[0][0].value = "", "3.3"
    again.stated["density"].value, again.stated["diameter"].value = "1200 kg/m³", "50 mm"
    again.add.click()
    assert "Taken" in again.done.value, again.message.value
    last = readings_of(folder).entry
    assert (
        last.kind.value == "cylinder slump" and last.stated["height"].value == "50 mm" and last.cells[0][0].value == ""
    )
    last.kind.value = "syringe force"
    assert last.cells[-1][0].value == "60"
    other = readings_of(demo("porcelain-body"))
    assert not other.form.is_open


@pytest.mark.parametrize(
    "held",
    [
        {},
        {"kind": "sieve shaker", "tables": {"sieve shaker": 3}},
        {"tables": {"spread": {"ways": 1}}, "kind": "spread"},
        "no",
    ],
)
def test_what_another_hand_wrote_of_a_form_is_passed_over(folder, held):
    shelf.remember(f"typed and not added: {folder}", held)
    page = readings_of(folder)
    assert page.bench is not None and page.entry.kind.value in rk.KINDS
