"""A folder of one's own in the notebooks that offer it: every cell answers in words, also where the readings leave much open."""

import re
import shutil
import warnings
from dataclasses import replace
from pathlib import Path

import nbformat
import pytest

from rheokit.workbook import shelf

BENCH = """
[specimen]
paste = "a soft paste"
density = "1080 kg/m3"

[apparatus.mould]
height = "100 mm"
diameter = "100 mm"

[[test]]
kind = "cylinder slump"
file = "slump.csv"
apparatus = "mould"
uncertainty = "1 mm"
"""

GEL = """
[specimen]
paste = "a gel"

[apparatus.syringe]
barrel_diameter = "20.1 mm"
fill_length = "60 mm"
plunger_friction = "3.5 ± 0.4 N"
barrel_drag = 1
bore = "0.84 mm ± 1 %"
length = "12.7 mm"
"""
WEIGHTS = """
[[test]]
kind = "syringe force"
file = "weights-{at}.csv"
apparatus = "syringe"
temperature = "{at} °C"
read = "flow_rate"
uncertainty = "4 %"
"""


def _codes(name):
    """Return the code cells of a notebook in the folder where we are."""
    return [one.source for one in nbformat.read(Path(f"{name}.ipynb"), as_version=4).cells if one.cell_type == "code"]


@pytest.mark.slow
def test_the_page_of_a_nozzle_says_of_slump_alone_what_it_lacks_and_keeps_what_is_typed(
    workbook, tmp_path, monkeypatch
):
    folder = tmp_path / "slump-alone"
    folder.mkdir()
    (folder / "bench.toml").write_text(BENCH)
    (folder / "slump.csv").write_text("slump [mm]\n31\n33\n30\n")
    monkeypatch.chdir(workbook / "notebooks")
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    shelf.remember(shelf.LAST, str(folder))
    known = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for cell in _codes("2-nozzle-and-force"):
            exec(cell, known)
    explorer = known["page"].explorer
    assert known["page"].workbook.folder == folder
    assert "not identified: needs readings at several rates" in explorer.message.value
    assert "Not known: needs bore of the barrel" in explorer.strip.answer.value
    explorer.controls.panel.fields["nozzle", "bore"].text.value = "1,2"
    assert 'bore = "1,2 mm"' in (folder / "plan.toml").read_text(encoding="utf-8")


@pytest.mark.slow
def test_weights_alone_say_how_long_the_gap_may_be_and_what_the_rest_lacks(workbook, tmp_path, monkeypatch, capsys):
    folder = tmp_path / "weights-alone"
    folder.mkdir()
    (folder / "bench.toml").write_text(GEL + WEIGHTS.format(at=60) + WEIGHTS.format(at=42), encoding="utf-8")
    for at in (60, 42):
        readings = workbook / "data" / "gelatin-dope-40" / f"weights-{at}.csv"
        (folder / readings.name).write_bytes(readings.read_bytes())
    monkeypatch.chdir(workbook / "notebooks")
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    (folder / "plan.toml").write_text(
        (workbook / "data" / "gelatin-dope-40" / "plan.toml").read_text(encoding="utf-8").partition("[properties]")[0]
    )
    known = {}
    first, last = _codes("6-gels-and-fibres")
    exec(first.replace("FibrePage()", f"FibrePage({str(folder)!r})"), known)
    exec(last, known)  # which is of the demo as it came
    page = known["page"].explorer
    said = re.sub(r"<[^>]+>", " ", page.wound.value)
    assert "How fast to wind is not known: dry section not known" in said
    assert "must be is not known" in said
    assert re.search(r"the gap may be at most [\d.]+ mm \(95 % [\d.]+ to [\d.]+ mm\); even draw ends it", said)
    assert "gel temperature, setting time not known" in said
    assert re.search(r"Gap ≤ [\d.]+ mm", page.strip.answer.value) and "bath ≥" not in page.strip.answer.value
    assert not re.search(r"\bnan\b", said)


@pytest.mark.slow
def test_exercises_of_an_own_gel_and_series_name_what_they_need(workbook, monkeypatch, capsys):
    """A bench says nothing of the heat capacity, and two batches that differ in water and age do not part the two."""
    monkeypatch.chdir(workbook / "notebooks")
    first, *_, thread, night, last = _codes("5-what-if-exercises")
    gel = workbook / "data" / "own-gel"
    shutil.copytree(workbook / "data" / "gelatin-dope-40", gel)
    (gel / "plan.toml").write_text('[fit]\nlaw = "Newtonian"\n', encoding="utf-8")
    bench = Path("../data/olive-stone-series/bench.toml")
    head, *tests = bench.read_text(encoding="utf-8").split("[[test]]")
    bench.write_text("[[test]]".join([head, *tests[:2], *tests[-2:]]), encoding="utf-8")
    known = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        exec(first.replace("ExercisesPage()", f"ExercisesPage({str(bench.parent)!r})"), known)
        assert known["dope"] is known["honey"] and known["series"] == bench.parent
        known["page"].open_folder(gel)
        known["dope"] = known["page"].gel_or(known["honey"])
        exec(thread, known)
        exec(night, known)
        assert capsys.readouterr().out.splitlines() == [
            "Exercise 9 needs of the dope: heat capacity.",
            "Exercise 10 needs other readings: fit: water content and age move together (syringe force (batch B) u = 0.95, 2 h; "
            "loaded plate (batch B) u = 0.95, 2 h; syringe force (batch G) u = 1.15, 24 h; loaded plate (batch G) u = 1.15, 24 h), so that "
            "nothing tells water slope and age exponent apart. A batch at u = 1.15 tested at 2 h would part them; or state one of the two, "
            "such as fixed={'age_exponent': ...}.",
        ]
        known["dope"] = replace(known["dope"], heat_capacity=3020.0)
        exec(thread, known)
    assert known["even"] == pytest.approx(5.6e-3, rel=0.1)  # the dope behind these readings is the one of the exercise
    assert known["dope"] is not known["honey"]
    assert "if dope is honey:" in last
    assert "if series == demo:" in last
