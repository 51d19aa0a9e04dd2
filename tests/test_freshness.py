"""Results that are not those of the controls: marked and grey in every explorer, until the new ones stand."""

import asyncio
import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import kPa, mm
from rheokit.widgets.page.elements import STYLE, Later
from rheokit.widgets.page.freshness import FAILED, OLD, Answer, Unheard, dated_in
from rheokit.widgets.page.strip import COMPUTING
from rheokit.workbook import demo

CURVE = rk.FlowCurve(
    shear_rate=np.geomspace(0.1, 100, 10),
    shear_stress=300 + 100 * np.geomspace(0.1, 100, 10) ** 0.4 * (1 + 0.01 * np.cos(np.arange(10))),
    relative_uncertainty=0.02,
)


@pytest.fixture(scope="module")
def fit():
    return rk.fit(rk.HerschelBulkley, CURVE)


@pytest.fixture
def folders(tmp_path):
    """Two folders of one's own, side by side: a curve of a clay, and that of a paste twice as stiff."""
    (tmp_path / "data").mkdir()
    for paste, factor in (("clay", 1), ("stiff clay", 2)):
        curve = replace(CURVE, shear_stress=factor * CURVE.shear_stress)
        rk.write_bench(rk.Bench(rk.Specimen(paste=paste), [curve]), tmp_path / "data" / paste)
    return tmp_path / "data"


def fit_explorer(folders, fit):
    explorer = rk.widgets.FitExplorer(folders / "clay")
    return (
        explorer,
        lambda: setattr(explorer.law, "value", "Bingham"),
        lambda: setattr(explorer.slow.text, "value", "five"),
    )


def force_panel(folders, fit):
    explorer = rk.widgets.FitExplorer(folders / "clay")
    bore = explorer.force.fields["nozzle", "bore"]
    return explorer.force, lambda: setattr(bore, "value", 1.5), lambda: setattr(bore, "value", 9.0)


def nozzle_explorer(folders, fit):
    explorer = rk.widgets.NozzleExplorer(fit)
    bore = explorer.controls.panel.fields["nozzle", "bore"]
    return explorer, lambda: setattr(bore, "value", 1.5), lambda: setattr(bore, "value", 9.0)


def region_explorer(folders, fit):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=8 * mm))
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, pressure_rating=1000 * kPa,
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22)
    explorer = rk.widgets.RegionExplorer(
        rk.Material.of(fit), extruder, job, up="print_speed", fine=(8, 50), quick=(4, 20)
    )
    return (
        explorer,
        lambda: setattr(explorer.controls.rating, "value", 500.0),
        lambda: setattr(explorer.controls.up, "value", explorer.controls.across.value),
    )


def recipe_explorer(folders, fit):
    explorer = rk.widgets.RecipeExplorer()
    return (
        explorer,
        lambda: setattr(explorer.recipe.water, "value", 1.1),
        lambda: setattr(explorer.recipe.fields["reading_error"].text, "value", "many"),
    )


EXPLORERS = (fit_explorer, force_panel, nozzle_explorer, region_explorer, recipe_explorer)


def shown_in(place):
    return [one for one in dated_in(place) if one.shows]


@pytest.mark.slow
@pytest.mark.parametrize("begin", EXPLORERS, ids=lambda begin: begin.__name__)
def test_results_are_old_from_the_move_of_a_control_until_new_ones_stand(begin, folders, fit):
    explorer, move, spoil = begin(folders, fit)
    shown = shown_in(explorer)
    assert len(shown) >= 3
    assert not any(OLD in one._dom_classes for one in shown)

    async def page():
        move()
        assert all(OLD in one._dom_classes for one in shown)  # before anything is computed

    asyncio.run(page())
    spoil()  # no loop runs here, so that all is worked through at once
    failed = [one for one in shown if FAILED in one._dom_classes]
    assert failed and all(OLD in one._dom_classes for one in failed)


@pytest.mark.slow
def test_no_result_stays_old_once_all_is_computed(fit, folders):
    for begin in (nozzle_explorer, region_explorer, recipe_explorer):
        explorer, move, _ = begin(folders, fit)
        move()
        assert [one for one in dated_in(explorer) if OLD in one._dom_classes] == []


@pytest.mark.parametrize("name", ["FitPage", "NozzlePage", "RegionPage", "RecipePage", "FibrePage"])
def test_a_page_of_a_new_paste_waits_for_nothing(name, tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    page = getattr(rk.widgets, name)(rk.new_workbook(tmp_path / "mine"))
    assert [one.value for one in dated_in(page) if OLD in one._dom_classes] == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("FitPage", '[fit]\nslowest_rate = "-4 1/s"'),
        ("NozzlePage", '[machine]\nfill_length = "5 kg"'),
        ("RegionPage", '[machine]\nfill_length = "5 kg"'),
        ("RecipePage", '[recipe]\nwater_content = "5 kg"'),
        ("FibrePage", '[machine]\nfill_length = "5 kg"'),
    ],
)
def test_a_plan_that_cannot_be_leaves_no_strip_that_computes(name, wrong, tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    place = tmp_path / "mine"
    shutil.copytree(demo("gelatin-dope-40" if name == "FibrePage" else "olive-stone-paste"), place)
    table, entry = wrong.split("\n")
    plan = (place / "plan.toml").read_text()
    key = entry.partition(" ")[0]
    lines = [line for line in plan.splitlines() if not line.startswith(f"{key} ")]
    lines.insert(next(at for at, line in enumerate(lines) if line.startswith(table)) + 1, entry)
    (place / "plan.toml").write_text("\n".join(lines))
    page = getattr(rk.widgets, name)(place)
    strip = page.explorer.strip
    assert not [one.value for one in (strip.answer, strip.trust, strip.binds) if COMPUTING in one.value]
    assert key in page.picker.faults.value


@pytest.mark.slow
def test_a_folder_that_cannot_be_read_leaves_everything_from_before_the_error(folders):
    explorer = rk.widgets.FitExplorer(folders / "clay")
    shown = shown_in(explorer)
    explorer.readings.path.value = "/there/is/nothing"
    assert all(FAILED in one._dom_classes for one in shown)
    explorer.force.fields["nozzle", "bore"].value = 1.5  # of the last fit: it must not look new
    assert FAILED in explorer.force.headline._dom_classes
    explorer.readings.path.value = ""  # given up
    assert not any(OLD in one._dom_classes for one in shown_in(explorer))
    explorer.readings.entry.start.click()  # an empty table
    assert all(FAILED in one._dom_classes for one in shown)
    explorer.readings.typing.value = True
    explorer.readings.typing.value = False
    assert not any(OLD in one._dom_classes for one in shown_in(explorer))


@pytest.mark.slow
def test_ticks_of_the_bench_before_are_old_after_a_folder_that_cannot_be_read(folders):
    explorer = rk.widgets.FitExplorer(folders / "clay")
    explorer.readings.path.value = "/there/is/nothing"
    assert {OLD, FAILED} <= set(explorer.readings.tests._dom_classes)
    assert Path(explorer.readings.choice.value).name == "clay"  # whose fit is still shown
    explorer.readings.path.value = ""
    assert not {OLD, FAILED} & set(explorer.readings.tests._dom_classes)


@pytest.mark.slow
def test_the_list_of_folders_and_the_typed_path_do_not_contradict_each_other(folders):
    explorer = rk.widgets.FitExplorer(folders / "clay")
    explorer.readings.path.value = str(folders / "stiff clay")
    assert explorer.readings.choice.label == "stiff clay"  # what is shown
    assert explorer.bench.specimen.paste == "stiff clay"
    explorer.readings.choice.value = next(path for name, path in explorer.readings.choice.options if name == "clay")
    assert explorer.readings.path.value == ""
    assert explorer.bench.specimen.paste == "clay"


def test_the_word_old_covers_nothing():
    rule = re.search(r"[^{}]*\.old::before[^{}]*\{[^}]*\}", STYLE).group()
    (kept_free,) = re.findall(r"position: relative; padding-top: (\d+)px;", STYLE)
    assert (
        "position: absolute; top: 0; left: 0;" in rule and f"height: {kept_free}px" in rule
    )  # nor does anything move with it


def test_what_is_written_again_is_new_even_if_it_reads_as_before():
    answer = Answer()
    answer.expire()
    assert OLD not in answer._dom_classes  # there is nothing in it
    answer.value = "<p>8 N</p>"
    answer.expire()
    assert OLD in answer._dom_classes
    answer.value = "<p>8 N</p>"
    assert OLD not in answer._dom_classes


def test_a_step_that_fails_leaves_what_it_should_have_written_from_before_the_error():
    import ipywidgets as W

    first, second = Answer(), Answer()
    first.value = second.value = "before"

    def write():
        first.value = "new"

    Later(lambda words: None, W.VBox([first, second])).start([write, lambda: 1 / 0])
    assert OLD not in first._dom_classes
    assert {OLD, FAILED} <= set(second._dom_classes)


def test_the_marks_are_words_too():
    assert 'content: "old: computing ..."' in STYLE
    assert 'content: "old: from before the error"' in STYLE


def test_the_kernel_says_which_move_it_has_heard_of():
    mark = Unheard()
    mark.moved = 3
    assert mark.heard == 3
