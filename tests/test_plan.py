"""The plan of a paste: as typed, checked, saved whole or not at all, and never over somebody else's."""

import os
import re
import threading

import pytest
import tomlkit

from rheokit import DataError
from rheokit.workbook import ASKED, Overtaken, Plan
from rheokit.workbook.asked import ROWS
from rheokit.workbook.entries import checked, number_of
from rheokit.workbook.places import travels
from rheokit.workbook.shelf import DEMOS, as_it_came, demo, demos, is_demo, mine, place_of_plan, remember, remembered

NUMBERS = [(table, key) for table, entries in ASKED.items() for key, entry in entries.items() if entry.is_number]

TYPED = """# my own words
[nozzle] # of brass
bore = "1.6 mm"  # measured with a pin
land_length = "8 mm"

[drive]
kind = "screw"
"""


@pytest.fixture(autouse=True)
def state(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "paste"
    place.mkdir()
    (place / "plan.toml").write_text(TYPED)
    return place


@pytest.mark.parametrize(("table", "key"), NUMBERS)
def test_the_example_of_an_entry_is_one(table, key):
    entry = ASKED[table][key]
    found = number_of(entry, entry.typed(f"{entry.example:g}"))
    assert found.in_unit == pytest.approx(entry.example)
    assert entry.in_si(entry.example) == pytest.approx(found.in_si, rel=1e-12)
    assert entry.low <= entry.example <= entry.high or entry.or_0


EVERY = [*ASKED.items(), *((f"{table}.{key}", columns) for (table, key), columns in ROWS.items())]


@pytest.mark.parametrize(
    ("key", "entry"), [(f"{at}.{key}", entry) for at, asked in EVERY for key, entry in asked.items()]
)
def test_the_example_that_a_refusal_gives_is_taken(key, entry):
    """What is told to write, also by the reader of numbers with units, is taken when it is written."""
    said = [entry.such]
    if entry.is_number:
        with pytest.raises(DataError) as refused:
            number_of(entry, "soft")
        said.append(re.search("such as (.+)$", str(refused.value))[1])
    for such in said:
        (item,) = tomlkit.parse(f"it = {such}").values()
        if entry.is_number:
            assert number_of(entry, str(item)).in_unit == pytest.approx(entry.example), key
        else:
            checked(entry, str(item))


@pytest.mark.parametrize(("table", "key"), NUMBERS)
def test_what_cannot_be_is_told_with_its_place(table, key, tmp_path):
    for text in (f"{ASKED[table][key].high * 10 + 1e3:g}", "soft", "3 parsec"):
        plan = Plan.read(tmp_path)
        plan.put(table, key, ASKED[table][key].typed(text))
        (fault,) = plan.faults
        assert fault.startswith(f"plan.toml, [{table}], {key} = ") and any(part in fault for part in text.split())
        with pytest.raises(DataError, match=r"plan\.toml"):
            plan.value(table, key)


def test_units_are_those_that_are_typed(folder):
    plan = Plan.read(folder)
    plan.put("nozzle", "bore", "0.16 cm")
    plan.put("fibre", "barrel_temperature", "60 °C")
    assert plan.value("nozzle", "bore") == pytest.approx(1.6e-3)
    assert plan.number("nozzle", "bore") == pytest.approx(1.6)
    assert plan.value("fibre", "barrel_temperature") == pytest.approx(333.15)
    assert plan.value("nozzle", "inlet_diameter") is None
    assert plan.choice("drive", "kind") == "screw"


def test_a_change_leaves_all_else_as_it_was_typed(folder):
    plan = Plan.read(folder)
    plan.put("nozzle", "bore", "2 mm")
    plan.save()
    assert (folder / "plan.toml").read_text() == TYPED.replace('"1.6 mm"', '"2 mm"')
    plan.put("page.region", "across", "bore")
    plan.put_rows("recipe", "ingredient", [{"name": "flour", "mass": "100 g"}, {"name": "gum", "mass": ""}])
    plan.put_property("heat_capacity", "3020 J/(kg K)", "from a table", 0.05)
    plan.put_list("fit", "leave_out", ["land 40 mm"])
    plan.save()
    again = Plan.read(folder)
    assert str(again).startswith(TYPED.replace('"1.6 mm"', '"2 mm"'))
    assert not again.faults
    assert again.text("page.region", "across") == "bore"
    assert again.rows("recipe", "ingredient") == [{"name": "flour", "mass": "100 g"}, {"name": "gum"}]
    assert again.properties["heat_capacity"] == (3020.0, 0.05, "from a table", None)
    assert again.listed("fit", "leave_out") == ["land 40 mm"]
    again.put("properties", "heat_capacity", "3100 J/(kg K)")
    assert again.properties["heat_capacity"] == (3100.0, 0.05, "from a table", None)


def test_strange_names_are_told_with_the_near_ones(folder):
    (folder / "plan.toml").write_text('[nozle]\nbore = "1 mm"\n[nozzle]\nbor = "1 mm"\n[properties]\nwater_slop = 3\n')
    said = Plan.read(folder).faults
    assert len(said) == 3 and all(
        name in one for name, one in zip(["'nozzle'", "'bore'", "'water_slope'"], said, strict=True)
    )
    with pytest.raises(DataError, match="nozle"):
        Plan.read(folder).check()


def test_what_is_no_toml_is_told_with_its_line(folder):
    (folder / "plan.toml").write_text("[nozzle]\nbore = 1.6 mm\n")
    with pytest.raises(DataError, match=r"plan\.toml.*line 2"):
        Plan.read(folder)


def test_what_another_wrote_is_never_written_over_unsaid(folder):
    one, other = Plan.read(folder), Plan.read(folder)
    one.put("nozzle", "bore", "2 mm")
    one.save()
    assert other.overtaken
    other.put("nozzle", "land_length", "10 mm")
    with pytest.raises(Overtaken, match="changed in another window"):
        other.save()
    assert Plan.read(folder).text("nozzle", "bore") == "2 mm"
    other.save(over=True)
    assert Plan.read(folder).text("nozzle", "land_length") == "10 mm"


def test_a_save_that_breaks_leaves_the_plan_as_it_was(folder, monkeypatch):
    plan = Plan.read(folder)
    plan.put("nozzle", "bore", "2 mm")

    def full(*_):
        raise OSError(28, "No space left on device")

    for broken in ("fsync", "replace"):
        with monkeypatch.context() as patch:
            patch.setattr(os, broken, full)
            with pytest.raises(DataError, match=r"full|space"):
                plan.save()
        assert (folder / "plan.toml").read_text() == TYPED
        assert [one.name for one in folder.iterdir()] == ["plan.toml"]
    plan.save()
    assert Plan.read(folder).text("nozzle", "bore") == "2 mm"


def test_savers_take_turns(folder):
    plans = [Plan.read(folder) for _ in range(8)]
    lost = []

    def change(number, plan):
        plan.put("nozzle", "bore", f"{number + 1} mm")
        try:
            plan.save()
        except Overtaken:
            lost.append(number)

    threads = [threading.Thread(target=change, args=one) for one in enumerate(plans)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(lost) == 7  # one was first, and each other was told


def test_a_demo_is_never_written():
    folder = demo("olive-stone-paste")
    before = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    plan = Plan.read(folder, place_of_plan(folder))
    plan.put("nozzle", "bore", "3 mm")
    plan.save()
    assert {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()} == before
    assert Plan.read(folder, place_of_plan(folder)).text("nozzle", "bore") == "3 mm"
    as_it_came(folder)
    assert Plan.read(folder, place_of_plan(folder)).text("nozzle", "bore") == Plan.read(folder).text("nozzle", "bore")


def test_every_folder_that_came_is_a_demo_and_a_copy_is_ones_own(tmp_path, monkeypatch):
    came = {one.name for one in (travels() / "data").iterdir() if (one / "bench.toml").is_file()}
    assert set(DEMOS) == set(demos()) and set(DEMOS) <= came
    monkeypatch.setenv("RHEOKIT_PASTES", str(tmp_path))
    copied = tmp_path / "olive-stone-paste"
    copied.mkdir()
    (copied / "bench.toml").write_bytes((demo("olive-stone-paste") / "bench.toml").read_bytes())
    assert mine() == {"olive-stone-paste": copied} and not is_demo(copied)
    assert place_of_plan(copied) == copied / "plan.toml"


def test_what_is_remembered_outlives_nonsense(tmp_path):
    remember("last", "somewhere")
    assert remembered("last") == "somewhere"
    (tmp_path / "state" / "remembered.json").write_text("[1")
    assert remembered("last", "nothing") == "nothing"
    remember("large", True)
    assert remembered("large") is True


PUT = [
    ("fit", "law", "Casson"), ("page.fit", "stiff", "x"), ("nozzle", "bore", "1.6 mm"), ("machine", "fill_length", "5 cm"),
    ("page.nozzle", "x", "y"), ("recipe", "dry_mass", "3 g"), ("job", "kind", "print"), ("page.region", "x", "y"), ("drive", "kind", "hand"),
]  # fmt: skip


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_tables_that_are_put_are_parted_by_an_empty_line_and_those_of_a_hand_stay_as_they_stand(folder, end):
    tight = '# mine\n[machine]\nfill_length = "6 cm"\n[print]\nlayer_height = "1 mm"  # [thin]\n'
    (folder / "plan.toml").write_bytes(tight.replace("\n", end).encode())
    for table, key, text in PUT:
        plan = Plan.read(folder)
        plan.put(table, key, text)
        plan.put_rows("recipe", "ingredient", [{"name": key, "mass": "1 g"}, {"name": "[b]", "mass": "2 g"}])
        plan.put_list("fit", "leave_out", [key])
        plan.save()
    text = (folder / "plan.toml").read_bytes().decode().replace("\r\n", "\n")
    assert len(re.findall(r"^\[", text, re.MULTILINE)) == 12
    assert re.findall(r"[^\n]\n(\[.*)", text) == ["[machine]", "[print]"] and "\n\n\n" not in text
    assert Plan.read(folder).text("machine", "fill_length") == "5 cm" and "# [thin]" in text


def test_notes_of_two_windows_at_once_are_all_kept_and_nothing_is_a_note_no_more():
    def write(window):
        for k in range(15):
            remember(f"{window} {k}", k)

    windows = [threading.Thread(target=write, args=(name,)) for name in "ab"]
    for one in windows:
        one.start()
    for one in windows:
        one.join()
    assert {(window, k): remembered(f"{window} {k}") for window in "ab" for k in range(15)} == {
        (window, k): k for window in "ab" for k in range(15)
    }
    remember("a 0", None)
    assert remembered("a 0", "none") == "none" and remembered("b 0") == 0
