"""A new folder of a paste holds nothing that nobody typed, and what is typed into it reads back. Kind: exact."""

import tomllib

import pytest
from test_appendix_sections import DATA

import rheokit as rk
from rheokit.appendix.authors import KEYS, check
from rheokit.command import main
from rheokit.workbook import ASKED, NotKnownYet, demo


def test_a_new_workbook_knows_nothing(tmp_path):
    folder = rk.new_workbook(tmp_path / "mine", ["flow curve", "cup density"])
    assert sorted(one.name for one in folder.iterdir()) == [
        "bench.toml",
        "cup-density.csv",
        "flow-curve.csv",
        "plan.toml",
    ]
    book = rk.Workbook.open(folder)
    assert (
        not any(book.plan.text(table, key) for table, keys in ASKED.items() for key in keys)
        and not book.plan.properties
    )
    for what in ("extruder", "job", "recipe"):
        with pytest.raises(NotKnownYet):
            getattr(book, what)


def test_what_only_authors_know_is_asked_for_in_the_plan_the_help_and_the_readme(tmp_path, capsys):
    """Every entry stands in a new plan, none says anything, and the lines are TOML as soon as their # is gone."""
    folder = rk.new_workbook(tmp_path / "mine", "flow curve")
    text = (folder / "plan.toml").read_text("utf-8")
    start = text.index("# [page.appendix]")
    opened = "\n".join(line.removeprefix("# ") for line in text[start:].splitlines())
    assert list(tomllib.loads(opened)["page"]["appendix"]) == list(KEYS)
    assert not rk.Workbook.open(folder).plan.keys("page.appendix")
    (folder / "plan.toml").write_text(text[:start] + opened.replace('room = ""', 'room = "21 °C"'), "utf-8")
    plan = rk.Workbook.open(folder).plan
    check(plan)
    assert plan.text("page.appendix", "room") == "21 °C"
    with pytest.raises(SystemExit):
        main(["appendix", "--help"])
    assert "[page.appendix] of plan.toml" in " ".join(capsys.readouterr().out.split())
    assert "[page.appendix]" in (DATA.parent / "README.md").read_text("utf-8")


def test_readings_come_into_one_that_was_made_without(tmp_path):
    folder, typed = rk.new_workbook(tmp_path / "mine"), rk.read_bench(demo("gelatin-dope"))
    book = rk.Workbook.open(folder)
    book.plan.put("nozzle", "bore", "0.84 mm")
    book.save()
    rk.write_bench(rk.Bench(typed.specimen, typed.tests), folder)
    again = rk.Workbook.open(folder)
    assert len(again.bench.tests) == len(typed.tests) and again.plan.text("nozzle", "bore") == "0.84 mm"


def test_a_folder_that_holds_something_is_refused(tmp_path):
    folder = rk.new_workbook(tmp_path / "mine")
    before = (folder / "plan.toml").read_bytes()
    with pytest.raises(rk.DataError, match="holds a paste already; name an empty or a new folder"):
        rk.new_workbook(folder, "sieve")
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "cat.jpg").write_bytes(b"x")
    with pytest.raises(rk.DataError, match="is not empty"):
        rk.new_workbook(tmp_path / "photos")
    with pytest.raises(rk.DataError, match="no such kind of test: 'seive'; did you mean 'sieve'"):
        rk.new_workbook(tmp_path / "other", ["seive"])
    assert (folder / "plan.toml").read_bytes() == before and not (tmp_path / "other").exists()


def test_the_command_makes_one(tmp_path, capsys):
    assert main(["new", str(tmp_path / "mine"), "sieve"]) == 0
    assert "holds bench.toml, plan.toml, sieve.csv. Fill them in" in capsys.readouterr().out
