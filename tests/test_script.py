"""A workbook as a script: run outside Jupyter it gives the numbers of the workbook and of its pages. Kind: exact."""

import json
import os
import re
import shutil
import subprocess
import sys
import textwrap
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.nomenclature import with_limits
from rheokit.workbook import demo, standing_of
from rheokit.workbook.coded import number
from rheokit.workbook.standing import standing_of_bench

RUN = """
import json, runpy, sys
held = runpy.run_path(sys.argv[1])
def told(name):
    one = held.get(name)
    return [float(x) for x in one[:3]] if isinstance(one, (tuple, list)) else None if one is None else float(one)
case, standing, drying, add = (held.get(name) for name in ("case", "standing", "drying", "add"))
out = {name: told(name) for name in ("force", "pressure", "speed", "gap", "turns", "drawn", "again", "start")}
if case is not None:
    out |= {"best": float(case.force), "flow": float(case.flow_rate)}
if standing is not None:
    out |= {"leans": list(standing.leans), "foot": list(standing.foot)}
if drying is not None:
    out |= {"total": drying.times.total, "index": list(drying.index)}
if add is not None:
    out |= {"add": [add.mass, add.low, add.high]}
if "alone" in held:
    out |= {"chance": float(held["alone"].probability[0, 0]), "held": held.get("held")}
if "windows" in held:
    out |= {"windows": {axis: [one.low, one.high, one.best] for axis, one in held["windows"].items()}}
if "wound" in held:
    out |= {"bath": list(held["wound"].shortest_bath or ())}  # none that is known
if "sheet" in held:
    out |= {"sheet": [float(x) for x in held["sheet"].weigh]}
print(json.dumps(out, default=float), file=sys.stderr)
"""
HAND = """# by hand
[fit]
law = "Herschel-Bulkley"
leave_out = ["land 40 mm"]
slowest_rate = "2 s-1"
fastest_rate = "200 s-1"

[machine]
barrel_diameter = "2.67 cm"   # another unit than that of the page
fill_length = "60,5 mm"
pressure_rating = "none"

[nozzle]
bore = "1.6 mm"
inlet_diameter = "4 mm"
taper_half_angle = "7 °"
land_length = "8 mm"

[drive]
kind = "air"
pressure = "0.8 bar"

[print]
print_speed = "900 mm/min"
layer_height = "1 mm"
line_width = "2 mm"
shape = "ring"
ring_radius = "25 mm"
part_height = "30 mm"
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    place = tmp_path / 'meine Paste "ä"'
    shutil.copytree(demo("olive-stone-paste"), place)
    (place / "plan.toml").write_text(HAND, encoding="utf-8")
    return place


@pytest.fixture
def planned(folder):
    """Return the folder with the plan of the demonstration in place of that by hand."""
    shutil.copy(demo("olive-stone-paste") / "plan.toml", folder)
    return folder


def run(book, tmp_path, letters="utf-8"):
    """Return what the script of a workbook holds in the end, and what it prints in an alphabet."""
    path = tmp_path / "script.py"
    path.write_text(book.script(), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", RUN, str(path)], capture_output=True, text=True, encoding=letters, cwd=tmp_path, check=False,
        env=os.environ | {"PYTHONIOENCODING": letters},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stderr.splitlines()[-1]), done.stdout


def forces(book):
    """Return force and pressure of a workbook with their limits, and its case."""
    case = rk.Case.of(book.material, book.extruder, book.job)
    at = {"temperature": float(case.exit_temperature)} if "temperature" in book.fit.law.depends_on else {}
    ask = {
        "force": lambda law, rig: rig.plunger_force(law.at(**at), case.flow_rate),
        "pressure": lambda law, rig: rig.pressure(law.at(**at), case.flow_rate),
    }
    return case, {name: book.fit.interval(one, extruder=book.extruder)[:3] for name, one in ask.items()}


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["olive-stone-paste", "porcelain-body", "gelatin-dope-40", "by hand"])
def test_a_script_gives_the_numbers_of_the_workbook(name, tmp_path, folder):
    book = rk.Workbook.open(folder if name == "by hand" else demo(name))
    found, said = run(book, tmp_path)
    case, wanted = forces(book)
    for what, ends in wanted.items():
        np.testing.assert_allclose(found[what], ends, rtol=1e-9)
    assert found["best"] == pytest.approx(float(case.force), rel=1e-9)
    assert found["flow"] == pytest.approx(float(case.flow_rate), rel=1e-9)
    assert rk.verdict(rk.limits.sure(case, book.material)) in said and rk.extruder.CAUTION in said
    assert ("INVENTED machine and job" in said) == (name != "by hand")


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_script_gives_force_and_pressure_where_draws_are_refused(folder, monkeypatch, capsys):
    def refused(*_, **__):
        raise rk.DataError("draws: only 23 effective draws (400 are needed).")

    script = rk.Workbook.open(folder).script()
    monkeypatch.setattr(rk.Material, "draws", refused)
    exec(compile(script, "script", "exec"), {})
    said = capsys.readouterr().out
    assert "force " in said and "pressure " in said and "Of the extruder" in said
    assert "a hard limit holds is left out: draws: only 23" in said and "with its verdict, is left out" not in said


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["olive-stone-paste", "by hand"])
def test_a_script_has_the_force_of_the_page_of_the_nozzle(name, tmp_path, folder):
    book = rk.Workbook.open(folder if name == "by hand" else demo(name))
    page, (found, said) = rk.widgets.NozzleExplorer.of(book), run(book, tmp_path)
    assert found["best"] == pytest.approx(float(page.case.force), rel=1e-9)
    np.testing.assert_allclose(found["force"][1:], page.limits["force to run"], rtol=1e-9)
    np.testing.assert_allclose(found["pressure"][1:], page.limits["pressure at the plunger face to run"], rtol=1e-9)
    for name, unit in (("force", "N"), ("pressure", "Pa")):
        words = with_limits(*found[name], unit)
        assert f"{name} {words}" in said and f"{name.capitalize()} {words}." in page.strip.answer.value.replace(
            ", fit alone", ""
        )
    assert rk.verdict(rk.limits.sure(rk.Case.of(book.material, book.extruder, book.job), book.material)) in said
    if name == "by hand":  # no water that is known, so none is varied, and a person is told so in the script
        assert "Paste.at_water" not in said and "window:" not in said
        assert "# the water is not varied: not known is the water content of the paste, or how" in book.script()


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(
    "chosen", [{}, {"up": "print_speed", "water_content": "1,1", "point_bore": "1.2", "point_print_speed": "9"}]
)
def test_a_script_has_the_chance_the_windows_and_the_map_of_the_page(chosen, planned, tmp_path):
    book = rk.Workbook.open(planned)
    for key, text in chosen.items():
        book.plan.put("page.region", key, text)
    book.save()
    found, said = run(book, tmp_path)
    page = rk.widgets.RegionExplorer.of(book, fine=(4, 1000), quick=(4, 20))
    assert found["held"] == pytest.approx(page.controls.held() | page.controls.where(), rel=1e-9)
    assert found["chance"] == float(page.alone.probability[0, 0])
    assert rk.planning.in_words(page.alone) in said and page.alone.unjudged
    assert f"{'print speed v' if chosen else 'water content u (dry basis)'}: 48 from" in said
    for axis, ends in found["windows"].items():
        one = page.at_point(rk.window, axis, probability=rk.planning.LIKELY)
        np.testing.assert_allclose(ends, [one.low, one.high, one.best], rtol=1e-9)
    assert {"bore", "print_speed"} <= set(found["windows"])


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_script_winds_as_the_page_does(tmp_path):
    book = rk.Workbook.open(demo("gelatin-dope-40"))
    found, said = run(book, tmp_path)
    page = rk.widgets.FibreExplorer.of(book)
    winding = replace(page.winding, draws=page.fine[1] // 2)
    np.testing.assert_allclose(found["speed"], winding.winding_speed, rtol=1e-9)
    np.testing.assert_allclose(found["gap"], winding.at_diameter.longest_gap[0], rtol=1e-9)
    np.testing.assert_allclose(found["bath"], winding.at_diameter.shortest_bath, rtol=1e-9)
    assert found["chance"] == float(page.alone.probability[0, 0])
    assert "rpm" in said and "bath at least" in said


def test_a_script_names_its_folder_once_so_that_it_runs_for_a_copy(folder):
    text = rk.Workbook.open(folder).script()
    assert text.count(json.dumps(str(folder.resolve()), ensure_ascii=False)) == 1
    assert "\nbench = rk.read_bench(FOLDER)" in text


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("stiffness", ["as read", "typed", "leaned"])
def test_a_script_gives_the_numbers_of_the_page_of_the_recipe(stiffness, tmp_path, planned):
    book = rk.Workbook.open(planned)
    if stiffness == "typed":
        book.plan.put("properties", "modulus", "25 kPa")
        book.plan.put("shape", "modulus_water", "1.1")
        usual = rk.widgets.RecipeExplorer.of(book).shape.standing
        for name, text in {"modulus": "25 kPa", "static_ratio": "1.4"}.items():
            book.plan.put_property(name, text, "measured", 0.02)
    if stiffness == "leaned":
        book.plan.put("shape", "stiffness_from", "a test wall that leaned")
        book.plan.put("print", "wall_width", "3 mm")
    book.save()
    found, said = run(book, tmp_path)
    page = rk.widgets.RecipeExplorer.of(book)
    standing, drying = page.shape.standing, page.drying.drying
    np.testing.assert_allclose(found["leans"], standing.leans, rtol=1e-9)
    np.testing.assert_allclose(found["foot"], standing.foot, rtol=1e-9)
    assert (
        f"the wall leans at {with_limits(*standing.leans, 'mm')}\nits foot yields at {with_limits(*standing.foot, 'mm')}\n"
        in said
    )
    if stiffness == "typed":  # a spread that is typed is drawn
        for name in ("leans", "foot"):
            now, before = getattr(standing, name), getattr(usual, name)
            assert now.high / now.low < 0.99 * before.high / before.low
        limits = {row[0]: row[2] for row in page.shape.rows()}
        assert limits["static over dynamic yield stress r"] == "1.346 to 1.456"
    assert found["total"] == pytest.approx(drying.times.total, rel=1e-9)
    np.testing.assert_allclose(found["index"], drying.index, rtol=1e-9)
    np.testing.assert_allclose(found["sheet"], page.recipe.recipe().batch_sheet(0.5).weigh, rtol=1e-9)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_what_is_not_known_is_left_out_and_said(tmp_path):
    book = rk.Workbook.open(demo("kitchen"))
    text = book.script()
    assert "# - bore at the tip D [mm] (notebook 2, or [nozzle] bore in plan.toml)" in text
    assert "rk.Extruder" not in text and "rk.recipe" not in text
    found, said = run(book, tmp_path)
    assert found["force"] is None and "Herschel-Bulkley" in said
    assert (
        "What force, pressure and verdict are is left out; the plan lacks: bore of the barrel D_0 [mm] (notebook 2, or [machine]"
        in said
    )


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_machine_without_a_job_has_its_force_to_start_in_any_alphabet(tmp_path, folder):
    book = rk.Workbook.open(folder)
    book.plan.put("print", "print_speed", "")
    book.save()
    found, said = run(book, tmp_path, letters="cp1252")
    start = book.fit.interval(lambda law, rig: rig.start_force(law), extruder=book.extruder)
    np.testing.assert_allclose(found["start"], start[:3], rtol=1e-9)
    assert f"to start it takes at least {start.value:.1f} N" in said and rk.extruder.CAUTION in said
    assert "left out; the plan lacks: print speed v [mm/s] (notebook 2" in said and "tau_y" in said


STIFF_AS_READ = {
    ("shape", "stiffness_from"): "a test of the material",
    ("shape", "rise_speed"): "6 mm/min",
    ("properties", "static_ratio"): "1.3",
}


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("lacks", ["a law", "readings", "a paste that can be"])
def test_what_does_not_rest_on_the_law_is_computed_without_it(lacks, planned, capsys):
    book = rk.Workbook.open(planned)
    if lacks == "a law":
        names = [test.label or test.kind for test in book.bench.tests if not test.gives]
        book.plan.put_list("fit", "leave_out", names)
        for (table, key), text in STIFF_AS_READ.items():
            book.plan.put(table, key, text)
    elif lacks == "readings":
        (planned / "bench.toml").unlink()
    else:
        book.plan.put("properties", "grain_size", "0.3 mm")
    held = {}
    exec(book.script(), held)
    said = capsys.readouterr().out
    assert "material" not in held and ("paste" in held) == (lacks == "a paste that can be")
    wanted = {
        "a law": "The fit is left out: fit: no test",
        "readings": "What the readings tell is left out: bench.toml: there is no such",
    }
    assert wanted.get(lacks, "of it is left out: plan.toml, [properties] grain_size = '0.3 mm'") in said
    assert "What force, pressure and verdict are is left out: it needs the law of the paste" in said
    assert held["flow"] == pytest.approx(float(book.job.flow_rate(1.6e-3)), rel=1e-9)
    assert held["again"] == pytest.approx(rk.recipe.rewetting_water(0.2, 0.08, 1.045), rel=1e-9)
    assert ("drawn" in held) == (lacks != "readings"), "how it shrinks was read"
    if lacks == "a law":
        np.testing.assert_allclose(
            held["standing"].leans, standing_of(book, book.mixed, bridging=True).leans, rtol=1e-9
        )


def test_what_is_computed_without_stands_above_it(folder):
    text = rk.Workbook.open(folder).script()
    assert re.search(
        r"# plunger friction F_f: [\d.]+ N \([\d.]+ to [\d.]+ N\) counts, as fitted to the readings\n", text
    )
    assert "# break-loose friction F_b not known: the force to start is then a lower bound" in text
    assert 'left_out = ["land 40 mm"]' in text and "use_range=(2.0, 200.0)" in text
    assert re.search(r"barrel_diameter=26\.7 \* mm", text) and "drive=rk.AirDrive(pressure=80 * kPa)" in text


def test_parts_of_a_recipe_that_are_not_known_are_named(folder):
    plan = (demo("olive-stone-paste") / "plan.toml").read_text(encoding="utf-8")
    recipe = plan[plan.index("[recipe]") :].replace('batch = "500 g"\n', "")
    known = '[properties]\nbuild_up_time = "10 min"\ndiffusivity = "3e-10 m2/s"\n'
    (folder / "plan.toml").write_text(f"{HAND}\n{known}\n{recipe}", encoding="utf-8")
    text = rk.Workbook.open(folder).script()
    assert (
        "# Whether it stands is left out; the plan lacks:\n# - rise speed of the part [mm/min] (notebook 4, or [shape] rise_speed in plan.toml)\n"
        "# - growth of the static yield stress A_t [Pa/s] (notebook 4, or [properties] build_up_rate in plan.toml)\n# - longest bridge [mm] (notebook 2"
    ) in text
    assert "# What to weigh is left out; the plan lacks:\n# - paste to make [g] (notebook 4" in text
    assert "drying = mixed.wall(" in text and "standing" not in text


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_what_cannot_be_computed_ends_no_script(tmp_path, planned):
    book = rk.Workbook.open(planned)
    book.plan.put("drying", "dry_solids", "0.30")  # less than the fresh paste holds
    book.plan.put("recipe", "moisture_left", "60 %")
    book.save()
    found, said = run(book, tmp_path)
    sizes = [book.plan.value("drying", key) for key in ("length", "width", "height")]
    scales = [rk.shrinkage.scale_factor(book.read.known[f"shrinkage_{axis}"].value) for axis in ("xy", "xy", "z")]
    np.testing.assert_allclose(found["drawn"], np.multiply(sizes, scales), rtol=1e-9)
    assert "How long it dries is left out: The fresh paste holds" in said and found["leans"] is not None
    assert re.search(r"draw [\d.]+ mm \(95 % [\d.]+ to [\d.]+ mm\) for [\d.]+ mm when dry", said)
    page = rk.widgets.RecipeExplorer.of(book)
    assert page.drying.drying is None and page.drying.scales is not None
    assert "Draw it" not in page.strip.binds.value and "old" not in page.drying.scaled._dom_classes


def test_a_machine_that_cannot_be_is_told_in_the_script_and_ends_nothing(planned):
    book = rk.Workbook.open(planned)
    book.plan.put("nozzle", "taper_length", "5 mm")
    book.plan.put("nozzle", "inlet_diameter", "0.5 mm")
    text = book.script()
    assert (
        "# What force, pressure and verdict are is left out: plan.toml, [nozzle] inlet_diameter = '0.5 mm', [nozzle] bore = '1.6 mm': the inlet of"
        in text
    )
    assert "batch_sheet" in text


def test_readings_that_make_no_line_leave_the_rest_of_a_script(planned):
    book = rk.Workbook.open(planned)
    rows = book.plan.rows("recipe", "reading")
    waters = [row["water_content"] for row in rows]
    rising = [row | {"water_content": water} for row, water in zip(rows, reversed(waters), strict=True)]
    book.plan.put_rows("recipe", "reading", rising)
    text = book.script()
    assert (
        "# What to add, whether it stands and how it dries is left out: plan.toml, [recipe]: ln yield stress falls by"
        in text
    )
    assert "rk.verdict" in text and "batch_sheet" in text and "drawn = " in text


def test_what_to_add_asks_for_no_air(planned):
    (planned / "bench.toml").write_text("[specimen]\n", encoding="utf-8")
    text = rk.Workbook.open(planned).script()
    assert "add = water_law.correction(" in text and "mixed = " not in text
    assert (
        "# The paste as mixed, whether it stands and how it dries is left out; the plan lacks:\n# - air content" in text
    )


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_without_a_recipe_a_script_has_the_wall_of_the_page(planned):
    book = rk.Workbook.open(planned)
    book.plan.put_rows("recipe", "ingredient", [])
    lines = book.script().splitlines()
    assert "# What to weigh, what to add and how it dries is left out; the plan lacks:" in lines
    begin = lines.index("    # of the paste that was tested: there is no recipe")
    names = {"rk": rk, "material": book.material, "mm": rk.units.mm, "minute": rk.units.minute}
    end = next(at for at in range(begin, len(lines)) if lines[at].startswith("except"))
    exec(textwrap.dedent("\n".join(lines[begin:end])), names)
    assert names["standing"].leans == pytest.approx(standing_of_bench(book).leans, rel=1e-9)
    assert names["standing"].foot == pytest.approx(standing_of_bench(book).foot, rel=1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "code"),
    [
        (1.6e-3, "mm", "1.6 * mm"),
        (23e-9, "mm³/s", "23 * mm**3 / s"),
        (333.15, "°C", "60 + celsius"),
        (8, "N", "8.0"),
        (0.02, "%", "0.02"),
        (3e-10, "10⁻¹⁰ m²/s", "3e-10"),
    ],
)
def test_a_number_as_a_script_has_it(value, unit, code):
    assert number(value, unit) == code
