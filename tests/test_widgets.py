"""The explorer without a browser: set a value, click, read what the page says."""

import asyncio
import html
import re
import warnings
from pathlib import Path

import clock
import numpy as np
import pytest

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.charts.looks import PAGES
from rheokit.nomenclature import cells, numbers
from rheokit.reading.faults import Faults
from rheokit.reading.forms import form_of
from rheokit.reading.headers import read_headers
from rheokit.reading.tables import Table
from rheokit.widgets import FitExplorer
from rheokit.widgets.fit.entry import EntryForm
from rheokit.widgets.fit.lending import lent_by
from rheokit.widgets.fit.menu import BenchMenu
from rheokit.widgets.fit.rates import rate_of_use, use_range_of
from rheokit.widgets.fit.typed_bench import pasted_rows, typed_bench
from rheokit.widgets.fit.words import classical_corrections, force_rows
from rheokit.widgets.page.elements import Later, Message, table
from rheokit.widgets.page.freshness import FAILED, OLD
from rheokit.widgets.page.page_words import in_words

pytestmark = pytest.mark.slow  # most fit a bench and draw the page

HEADS = ["shear rate [1/s]", "shear stress [Pa]"]
ROWS = [["1", "100"], ["3", "128"], ["10", "181"], ["30", "270"], ["100", "436"]]


NOT_NEEDED = ('"land 40 mm"', *(f'kind = "{kind}"' for kind in ("fall cone", "hanging slug", "cylinder slump")))
NOT_NEEDED += ("[apparatus.cone]", "[apparatus.tip]", "[apparatus.mould]")


@pytest.fixture
def explorer(workbook):
    """Return the page of two tests alone, a syringe and the plate: most of what it does needs no more, and this is soon fitted."""
    description = workbook / "data" / "olive-stone-paste" / "bench.toml"
    tables = re.split(r"^(?=\[)", description.read_text(encoding="utf-8"), flags=re.M)
    kept = [text for text in tables if not any(words in text for words in NOT_NEEDED)]
    assert len(kept) == len(tables) - len(NOT_NEEDED)
    description.write_text("".join(kept), encoding="utf-8")
    return FitExplorer(description.parent)


@pytest.fixture
def whole(workbook):
    """Return the page of the bench as it is."""
    return FitExplorer(workbook / "data" / "olive-stone-paste")


def plain(html):
    return re.sub(r"<[^>]+>", " ", html)


def test_it_begins_with_a_fit_and_all_pictures(whole):
    explorer = whole
    explorer.residuals.unfold()
    assert explorer.fit.problem.law_class is rk.HerschelBulkley
    assert explorer.message.value == ""
    assert "Computing" not in explorer.status.value
    for picture in (
        explorer.curve,
        explorer.residuals.along_rate,
        explorer.residuals.along_order,
        explorer.residuals.against,
        explorer.force.picture,
    ):
        assert picture.chart is not None
        assert picture.chart.description in plain(picture.words.value).replace("&#x27;", "'").replace("&lt;", "<")
    assert "INVENTED" in explorer.readings.about.value
    assert {name for name, _ in explorer.readings.choice.options} >= {
        "olive-stone-paste",
        "porcelain-body",
        "trap-transient-rows",
    }


def test_numbers_on_the_page_are_those_of_the_fit(explorer):
    row = explorer.fit.table.loc["yield_stress"]
    value, low, high = numbers(row.value, row.low, row.high)
    assert value in plain(explorer.numbers.value)
    assert f"{low} to {high}" in plain(explorer.numbers.value)
    assert explorer.fit.verdict in plain(explorer.verdict.value)
    assert plain(explorer.checks.value).count("passed") == int(explorer.fit.checks.passed.sum())


def test_another_law_changes_number_and_picture(explorer):
    before, said = explorer.curve.chart.to_dict(), explorer.numbers.value
    explorer.law.value = "Bingham"
    assert explorer.fit.problem.law_class is rk.Bingham
    assert explorer.numbers.value != said
    assert explorer.curve.chart.to_dict() != before


def test_a_picture_is_redrawn_in_place(explorer):
    widget = explorer.curve._place.children[0]
    explorer.law.value = "Bingham"
    assert explorer.curve._place.children[0] is widget


def test_a_test_that_is_not_ticked_is_not_fitted(explorer):
    explorer.readings.tests.children[1].value = False
    assert "loaded plate" not in [test.kind for test in explorer.fit.tests]
    assert len(explorer.fit.tests) == len(explorer.readings.tests.children) - 1


def test_nothing_ticked_is_complained_of_and_the_last_picture_stays(explorer):
    for box in explorer.readings.tests.children[:-1]:
        box.value = False
    last, picture = explorer.fit, explorer.curve.chart
    explorer.readings.tests.children[-1].value = False
    assert "role='alert'" in explorer.message.value
    assert "No test is ticked" in explorer.message.value
    assert "What is shown is the last fit that worked" in explorer.message.value
    assert explorer.fit is last
    assert explorer.curve.chart is picture
    explorer.readings.tests.children[0].value = True
    assert explorer.message.value == ""


def test_a_bad_path_is_complained_of_and_the_last_picture_stays(explorer):
    last, picture, bench = explorer.fit, explorer.curve.chart, explorer.bench
    explorer.readings.path.value = "/there/is/<b>nothing</b>"
    assert "there is no such folder" in explorer.message.value
    assert "<b>nothing" not in explorer.message.value  # escaped
    assert (explorer.fit, explorer.curve.chart, explorer.bench) == (last, picture, bench)


def test_a_folder_with_faults_says_each_of_them(explorer, workbook):
    folder = workbook / "data" / "olive-stone-paste"
    text = (folder / "loaded-plate.csv").read_text(encoding="utf-8")
    (folder / "loaded-plate.csv").write_text(text.replace("24.8", "fourteen"), encoding="utf-8")
    explorer.readings.path.value = str(folder)
    assert "loaded-plate.csv" in explorer.message.value
    assert "fourteen" in explorer.message.value
    assert "Traceback" not in explorer.message.value


def test_use_range_is_drawn_and_checked(explorer):
    explorer.slow.text.value = "5"
    assert "The fastest rate of use is not given" in explorer.fast.note.value and explorer.message.value == ""
    explorer.fast.text.value = "1000,0 1/s"
    assert explorer.message.value == ""
    assert explorer.fit.use_range == (5.0, 1000.0)
    failed = explorer.fit.checks[~explorer.fit.checks.passed].question
    assert "use range covered" in list(failed)
    assert "FAILED" in explorer.checks.value


@pytest.mark.parametrize(
    ("slow", "fast", "complaint"),
    [
        (
            "five",
            "10",
            "slowest rate of use [1/s]: 'five' is not a number; type one such as 10, or with its unit: 10 1/s.",
        ),
        ("5", "-1", "fastest rate of use [1/s]: '-1' is out of bounds; type 0.0001 1/s to 1000000 1/s."),
        (
            "nan",
            "10",
            "slowest rate of use [1/s]: 'nan' is not a number; type one such as 10, or with its unit: 10 1/s.",
        ),
        ("5", "1e400", "fastest rate of use [1/s]: '1e400' is out of bounds; type 0.0001 1/s to 1000000 1/s."),
        ("5", "", "The fastest rate of use is not given, and the slowest one is; give both in 1/s, or none."),
        ("50", "5", "The slowest rate of use, 50 1/s, is not below the fastest rate of use, 5 1/s; exchange them."),
    ],
)
def test_a_wrong_use_range_is_refused(slow, fast, complaint):
    with pytest.raises(rk.DataError) as refusal:
        use_range_of(*rates(slow, fast))
    assert str(refusal.value) == complaint


def test_no_use_range_is_none():
    assert use_range_of(*rates(" ", "")) is None


def rates(*typed):
    """Return the fields of the slowest and the fastest rate as somebody filled them in."""
    fields = [rate_of_use(which) for which in ("slowest", "fastest")]
    for field, text in zip(fields, typed, strict=True):
        field.text.value = text
    return fields


def test_compared_laws_are_drawn_and_ranked(explorer):
    next(box for box in explorer.others if box.description == "power law").value = True
    assert "power law" in explorer.curve.chart.description
    assert "has no yield stress, which the loaded plate shows" in explorer.ranking.value
    next(box for box in explorer.others if box.description == "power law").value = False
    assert explorer.ranking.value == ""


def test_the_page_ranks_laws_as_the_library_does(tmp_path):
    """A flow curve and a plate that shows a yield stress: laws without one are said to have none, on the page as by `which_law`."""
    rates = np.geomspace(20.0, 400.0, 6)
    law = rk.HerschelBulkley(yield_stress=90.0, consistency=28.0, flow_index=0.5)
    stress = law.shear_stress(rates) * np.array([1.01, 0.99, 1.0, 1.012, 0.985, 1.003])
    plate = rk.LoadedPlate(volume=5e-6, force=10.0, radius=[0.0381, 0.0379, 0.0385])
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02)
    rk.write_bench(rk.Bench(rk.Specimen(paste="invented paste", batch="A"), [curve, plate]), tmp_path / "bench")
    page = FitExplorer(tmp_path / "bench", law="power law")
    for box in page.others:
        box.value = box.description in ("Sisko", "Casson", "Bingham", "Herschel-Bulkley", "Robertson-Stiff")
    classes = [one for one in rk.LAWS.values() if one.name == "power law" or page._fits.get((one.name, None))]
    found = rk.which_law(page.bench, law_classes=classes)
    said = page.ranking.value
    assert found.words in html.unescape(said)
    for name, verdict in found.table.verdict.items():
        assert re.search(rf"{name}.*?{re.escape(verdict)}", html.unescape(said), re.DOTALL), name
    assert "has no yield stress, which the loaded plate shows" in said


def test_the_page_sets_colours_and_width(explorer):
    explorer.probe.page = "dark"
    explorer.probe.width = 400
    assert explorer.curve.chart.background == PAGES["dark"].background
    assert explorer.curve.chart.width == explorer.force.picture.chart.width == 400


def contents(path):
    return {
        str(p.relative_to(path)): p.read_bytes() for p in Path(path).rglob("*") if p.is_file() and p.name != "plan.toml"
    }


def test_saving_takes_the_tests_that_are_not_ticked_too(whole, tmp_path):
    explorer = whole
    explorer.saving.save.click()
    assert "Name a folder to save into" in explorer.saving.said.value
    explorer.readings.tests.children[3].value = False
    explorer.saving.target.value = str(tmp_path / "mine")
    explorer.saving.save.click()
    assert (
        "Saved 6 tests and 6 of properties, 1 of them not ticked (ticking chooses what is fitted, not what is saved), in"
        in explorer.saving.said.value
    )
    assert contents(tmp_path / "mine") == contents(explorer.readings.choice.value), "byte for byte"
    assert len(explorer.fit.tests) == 5


def test_saving_over_something_else_is_refused_in_words(explorer, tmp_path):
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "thesis.txt").write_text("do not touch")
    explorer.saving.target.value = str(tmp_path / "full")
    explorer.saving.save.click()
    assert "role='alert'" in explorer.saving.said.value
    assert (tmp_path / "full" / "thesis.txt").read_text() == "do not touch"


PLACES = {
    "{}/a\0b": "holds a zero byte, which no name can hold; type the name anew",
    "{}/a\ud800b": "holds a broken character, which no name can hold; type the name anew",
    "{}/" + 256 * "x": "nothing was saved: the name is too long; name a folder with a shorter name",
    "{}/link": "is a link to a place that is not there; take the link away, or name another folder",
    "{}/no/mine": "is no folder; make it first, or name another",
    "/dev/null": "is a file; name a folder",
    "/proc/mine": "nothing was saved",
}


def test_a_place_that_cannot_be_saved_into_is_told_in_the_page(explorer, tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    before = sorted(tmp_path.iterdir())
    for typed, words in PLACES.items():
        explorer.saving.target.value = typed.format(tmp_path)
        explorer.saving.save.click()
        assert "role='alert'" in explorer.saving.said.value and words in explorer.saving.said.value
        explorer.saving.said.value.encode()  # it goes to the browser as UTF-8
    assert sorted(tmp_path.iterdir()) == before


# --- force ------------------------------------------------------------------------------------------------------


def test_force_and_pressure_are_those_of_the_library(explorer):
    extruder, flow = explorer.force.described()
    found = explorer.fit.interval(lambda law, rig: rig.plunger_force(law, flow), extruder=extruder)
    rows = force_rows(explorer.fit, extruder, flow)
    assert rows[0][:4] == ["force on the plunger", *cells(found.value, found.low, found.high, "N")]
    assert rows[2][1].startswith("at least")
    assert "a lower bound: it uses the dynamic yield stress" in rows[2][-1]
    assert rows[0][1] in explorer.force.headline.value
    assert rk.extruder.CAUTION.split(":")[0] in "".join(
        w.value for w in explorer.force.children[1].children[1].children
    )


def test_a_smaller_bore_needs_more_force(explorer):
    before = explorer.force.headline.value
    explorer.force.fields["nozzle", "bore"].value = 1.0
    force = [float(re.search(r"plunger ([\d.]+) N", text)[1]) for text in (before, explorer.force.headline.value)]
    assert force[1] > force[0]


def test_a_nozzle_that_cannot_be_is_complained_of_and_the_picture_stays(explorer):
    picture = explorer.force.picture.chart
    explorer.force.fields["nozzle", "bore"].value = 5.0  # wider than the inlet of its taper
    wrong = (
        "The inlet of the taper D_in, 4 mm, is narrower than the bore at the tip D, 5 mm: a nozzle narrows. "
        "Correct one of them, or take the taper out"
    )
    note = explorer.force.fields["nozzle", "bore"].note
    assert wrong in note.value and explorer.force.message.value == ""
    assert explorer.force.picture.chart is picture
    explorer.force.fields["nozzle", "bore"].value = 1.2
    assert wrong not in note.value and explorer.force.message.value == ""


# --- readings typed in ------------------------------------------------------------------------------------------


def test_a_typed_flow_curve_is_the_record_it_says():
    (test,) = typed_bench("flow curve", HEADS, [*ROWS, ["", ""]], {"uncertainty": "3 %", "label": "A"}).tests
    assert list(test.shear_rate) == [1, 3, 10, 30, 100]
    assert list(test.shear_stress) == [100, 128, 181, 270, 436]
    assert test.relative_uncertainty == pytest.approx(0.03)
    assert test.name == "flow curve 'A'"


def test_a_typed_number_takes_a_comma_or_a_point():
    stated = {"uncertainty": "3,5 %", "label": "1,2 and 3"}
    for rows in ([["0,5", "100,5"], ["1", "120"]], [["0,5", "100.5"], ["1", "120"]]):
        (test,) = typed_bench("flow curve", HEADS, rows, stated).tests
        assert test.shear_rate[0] == 0.5
        assert test.shear_stress[0] == 100.5
        assert test.relative_uncertainty == 0.035
        assert test.label == "1,2 and 3"
    with pytest.raises(rk.DataError, match=r"'1,046' can be 1\.046 or 1046; write 1\.046 or 1046"):
        typed_bench("flow curve", HEADS, [["0.5", "1,046"], ["1", "1200"]], {})
    with pytest.raises(rk.DataError, match="'1,046,500' has marks inside; write 1046500"):
        typed_bench("flow curve", HEADS, [["0.5", "1,046,500"], ["1", "1200"]], {})


def test_units_may_be_changed_in_the_heading_and_commas_typed():
    heads = ["shear rate [1/s]", "shear stress [kPa]"]
    (test,) = typed_bench("flow curve", heads, [["1,5", "0,1"], ["10", "0,2"]], {}).tests
    assert list(test.shear_rate) == [1.5, 10]
    assert list(test.shear_stress) == pytest.approx([100, 200])


def test_faults_of_typed_readings_name_the_row_of_the_page():
    with pytest.raises(rk.ReadingError) as refusal:
        typed_bench("flow curve", HEADS, [["1", "100"], ["", ""], ["x", "128"]], {"uncertainty": "3"})
    said = str(refusal.value)
    assert "Table, row 4, column 1 (shear rate [1/s]): 'x' is not a number" in said
    assert "Fields: uncertainty = '3' has no unit" in said
    assert "bench.toml" not in said


@pytest.mark.parametrize("text", ['"; drop', "]]\n[specimen", '"""', "\\"])
def test_what_is_typed_stays_a_text(text):
    (test,) = typed_bench("flow curve", HEADS, ROWS, {"label": text.replace("\n", " ")}).tests
    assert test.label == text.replace("\n", " ").strip()


def test_an_empty_table_and_a_semicolon_are_refused():
    with pytest.raises(rk.DataError, match="The table is empty"):
        typed_bench("flow curve", HEADS, [["", ""]], {})
    with pytest.raises(rk.DataError, match="a cell holds one number"):
        typed_bench("flow curve", HEADS, [["1;2", "3"]], {})


def test_pasted_rows_are_cut_at_tabs():
    assert pasted_rows("1\t100\n3\t128\n\n") == [["1", "100"], ["3", "128"]]


def test_a_caught_mass_takes_the_density_of_the_page():
    heads, stated = (
        ["caught mass [g]", "catch time [s]", "gauge pressure [kPa]"],
        {"density": "1000 kg/m3", "bore": "2 mm", "length": "20 mm"},
    )
    (test,) = typed_bench(
        "pressure run", heads, [["3", "30", "200"], ["6", "30", "250"]], {**stated, "read": "flow_rate"}
    ).tests
    assert list(test.flow_rate) == pytest.approx([1e-7, 2e-7])


@pytest.mark.parametrize("kind", list(rk.KINDS))
def test_every_kind_can_be_typed(kind):
    given = []
    form = EntryForm(lambda bench, new: given.append((bench, new)))
    form.kind.value = kind
    for key, field in form.stated.items():
        placeholder = getattr(field, "placeholder", "")
        if placeholder.startswith("such as") and not re.search(r"\((optional|instead)", field.description):
            field.value = placeholder.removeprefix("such as ")
        if key == "density":
            field.value = "1110 kg/m3"
    numbers = {
        "mass": "0.7",
        "slump": "40",
        "radius": "60" if kind == "spread" else "25",
        "penetration": "14",
        "torque": "5",
    }
    numbers |= {"tare mass": "20", "dry mass": "35", "dry length": "45"} | (
        {"cup density": {"mass": "111"}, "drop mass": {"mass": "0.03"}, "setting time": {"temperature": "20"}}.get(
            kind, {}
        )
    )
    for head, cell in zip(form.heads, form.cells[0], strict=True):
        cell.value = numbers.get(head.value.split(" [")[0], "50")
    if kind == "sieve":
        for row, pair in zip(form.cells, [("0.25", "0"), ("0.18", "10"), ("0.09", "40"), ("0", "50")], strict=False):
            for cell, number in zip(row, pair, strict=True):
                cell.value = number
    form.start.click()
    assert form.message.value == ""
    ((bench, new),) = given
    assert new
    assert bench.tests[0].kind == kind


def test_typed_readings_are_fitted_added_and_saved(explorer, tmp_path):
    form = explorer.readings.entry
    form.paste.value = "\n".join("\t".join(row) for row in ROWS)
    form.fill.click()
    form.start.click()
    assert [test.kind for test in explorer.fit.tests] == ["flow curve"]
    explorer.readings.choice.value = next(
        path for name, path in explorer.readings.choice.options if name == "olive-stone-paste"
    )
    count = len(explorer.readings.tests.children)
    form.add.click()
    assert len(explorer.fit.tests) == count + 1
    explorer.saving.target.value = str(tmp_path / "both")
    explorer.saving.save.click()
    assert rk.read_bench(tmp_path / "both").tests[-1].kind == "flow curve"


def test_a_record_that_is_there_already_is_refused_beside_the_table(explorer):
    form, bench = explorer.readings.entry, explorer.bench
    form.paste.value = "\n".join("\t".join(row) for row in ROWS)
    form.fill.click()
    form.add.click()
    assert form.message.value == "" and len(explorer.bench.tests) == len(bench.tests) + 1
    bench = explorer.bench
    form.add.click()
    assert "role='alert'" in form.message.value
    assert "hold the same readings to the last digit" in form.message.value
    assert explorer.bench is bench


def typed_slump(form, density=""):
    """Type one slump of 31 mm of a cylinder 100 mm high."""
    form.kind.value = "cylinder slump"
    for key, typed in {"height": "100 mm", "diameter": "100 mm", "density": density}.items():
        form.stated[key].value = typed
    form.cells[0][0].value = "31"


def test_what_was_weighed_is_saved_as_it_was_typed(explorer, tmp_path):
    """The flow is computed with the density of the cups, which has no end in decimals."""
    form = explorer.readings.entry

    def typed(kind, stated, *rows):
        form.kind.value = kind
        for key, text in stated.items():
            form.stated[key].value = text
        for line, row in zip(form.cells, rows, strict=False):
            for cell, text in zip(line, row, strict=True):
                cell.value = text

    typed("cup density", {"cup_volume": "100 mL"}, ["111"], ["113"], ["113"])
    form.start.click()
    form.kind.value = "syringe force"
    form.table.ways["flow_rate"].value, form.table.ways["force"].value = ("caught_mass", "catch_time"), ("load_mass",)
    assert [head.value for head in form.heads] == ["caught mass [g]", "catch time [s]", "load mass [g]"]
    apparatus = {"bore": "1,6 mm", "length": "1 in", "barrel_diameter": "20,1 mm", "fill_length": "60 mm"}
    run = apparatus | {"plunger_friction": "3 N", "read": "flow_rate", "label": "needle"}
    typed("syringe force", run, ["2,1", "60", "1300"], ["9,5", "60", "2100"], ["31", "60", "3200"])
    form.add.click()
    assert form.message.value == ""
    explorer.saving.target.value = str(tmp_path / "saved")
    explorer.saving.save.click()
    lines = (tmp_path / "saved" / "needle.csv").read_text().split("\n")
    assert lines[:3] == ["caught mass [g]; catch time [s]; load mass [g]", "2,1; 60; 1300", "9,5; 60; 2100"]
    assert "density =" not in (tmp_path / "saved" / "bench.toml").read_text()


def test_the_density_of_an_open_bench_as_text():
    cup = rk.CupDensity(cup_volume=1e-4, mass=[0.111, 0.113])
    measured = lent_by(rk.Bench(rk.Specimen(), [cup]))["density"]
    found = rk.Bench(rk.Specimen(), [cup]).properties()["density"]
    value, spread = (float(one.removesuffix(" kg/m3")) for one in measured.split(" ± "))
    assert value == pytest.approx(found.value, rel=1e-3)
    assert spread == pytest.approx(found.value * found.spread, rel=1e-3)
    stated = rk.Bench(rk.Specimen(density=1132.0, spreads={"density": 0.01}), [cup])
    assert lent_by(stated) == {"density": "1132 kg/m3 ± 11.32 kg/m3"}
    assert lent_by(rk.Bench(rk.Specimen(), [rk.Spread(volume=1e-4, density=1100.0, radius=[0.06])])) == {}
    assert lent_by(None) == {}


def test_the_friction_of_one_empty_barrel_is_lent_and_of_two_none():
    barrel = KINDS["empty barrel"](force=[5.9, 6.4, 7.2], apparatus="a")
    assert lent_by(rk.Bench(rk.Specimen(), [barrel])) == {"plunger_friction": "6.5 N ± 0.8311 N"}  # 6.5 times 0.12786
    other = KINDS["empty barrel"](force=[2.0], apparatus="b")
    assert lent_by(rk.Bench(rk.Specimen(), [barrel, other])) == {}


def test_a_refused_entry_marks_what_is_shown_until_it_is_forgotten(explorer):
    form = explorer.readings.entry
    for forget in (
        lambda: setattr(form.kind, "value", "fall cone"),
        form.empty.click,
        form.fill.click,
        lambda: setattr(explorer.readings.typing, "value", False),
    ):
        explorer.readings.typing.value = True
        typed_slump(form)
        form.cells[0][0].value = "no number"
        form.add.click()
        assert "role='alert'" in form.message.value and FAILED in explorer.numbers._dom_classes
        forget()
        assert "no number" not in form.message.value
        assert OLD not in explorer.numbers._dom_classes and OLD not in explorer.readings.tests._dom_classes


def test_a_test_that_is_added_takes_the_density_of_the_open_bench(explorer, tmp_path):
    form, stated = explorer.readings.entry, explorer.bench.specimen.density
    typed_slump(form)
    form.start.click()
    assert "density" in form.message.value and "[specimen]" not in form.message.value
    form.add.click()
    assert form.message.value == ""
    assert explorer.bench.tests[-1].density == stated
    explorer.saving.target.value = str(tmp_path / "more")
    explorer.saving.save.click()
    assert "density" not in (tmp_path / "more" / "bench.toml").read_text(encoding="utf-8").rpartition("[[test]]")[2]
    explorer.read(tmp_path / "more")
    typed_slump(form, "1200 kg/m3")
    form.cells[0][0].value = "32"
    form.add.click()
    assert form.message.value == "" and explorer.bench.tests[-1].density == 1200.0


@pytest.mark.parametrize("first", ["1.5", "1,5"])
@pytest.mark.parametrize("cell", ["1,046,5", "1,2,3"])
def test_a_refused_cell_is_told_as_it_was_typed(cell, first):
    with pytest.raises(rk.ReadingError) as refused:
        typed_bench("flow curve", ["shear rate [1/s]", "shear stress [Pa]"], [[first, "20"], ["2,5", cell]], {})
    assert any(cell in fault for fault in refused.value.faults)
    remedies = [fault.partition("; write ")[2] for fault in refused.value.faults]
    assert first == "1.5" or remedies == ["digits with a decimal comma, such as 40,1"]


def typed_in(form):
    """Return all that is typed into a form."""
    cells = [[cell.value for cell in row] for row in form.cells]
    return [head.value for head in form.heads], cells, {key: field.value for key, field in form.stated.items()}


def test_another_kind_of_test_and_back_keeps_all_that_was_typed():
    form = EntryForm(None)
    form.heads[1].value = "shear stress [kPa]"
    form.cells[0][0].value, form.cells[9 - 2][1].value = "1,5", "0,1"
    form.stated["label"].value, form.stated["uncertainty"].value = "A", "3 %"
    curve = typed_in(form)
    form.kind.value = "pressure run"
    assert form.stated["label"].value == "A" and form.stated["uncertainty"].value == "3 %"  # both kinds ask for them
    assert "Kept until you choose that kind again: tables of flow curve (2 rows)." in plain(form.kept.value)
    form.stated["bore"].value, form.stated["density"].value = "2.00 ± 0.02 mm", "1110 kg/m3"
    form.stated["read"].value = form.stated["read"].options[0][1]
    form.cells[2][0].value = "7"
    run = typed_in(form)
    form.kind.value = "loaded plate"
    said = "tables of flow curve (2 rows), pressure run (1 row); fields not asked here: bore"
    assert said in plain(form.kept.value)
    form.kind.value = "flow curve"
    assert typed_in(form) == curve
    assert (
        "pressure run (1 row); fields not asked here" in plain(form.kept.value) and "flow curve" not in form.kept.value
    )
    form.kind.value = "pressure run"
    assert typed_in(form) == run


@pytest.mark.parametrize("first", list(rk.KINDS))
def test_every_field_of_every_kind_is_kept(first):
    form = EntryForm(None)
    form.kind.value = first
    for place, cell in enumerate([*form.heads, *(cell for row in form.cells for cell in row), *form.stated.values()]):
        if hasattr(cell, "placeholder"):
            cell.value = f"{cell.value} {place}"
    before = typed_in(form)
    for kind in rk.KINDS:
        form.kind.value = kind
    form.kind.value = first
    assert typed_in(form) == before


def test_pasted_rows_go_below_those_that_are_there():
    form = EntryForm(None)
    form.cells[1][0].value = "typed"
    form.paste.value = "\n".join("\t".join(row) for row in [*ROWS, ["1 046,5", ""], ["7", "8"], ["9", "10"]])
    form.fill.click()
    cells = [[cell.value for cell in row] for row in form.cells]
    assert cells == [["", ""], ["typed", ""], *ROWS, ["1 046,5", ""], ["7", "8"], ["9", "10"]]
    assert plain(form.message.value).strip() == "The pasted rows stand in rows 4 to 11 of the table."
    assert form.paste.value == ""
    form.fill.click()
    assert "nothing was pasted" in form.message.value
    assert [[cell.value for cell in row] for row in form.cells] == cells


def test_an_emptied_table_can_be_put_back():
    form = EntryForm(None)
    form.paste.value = "1\t100\n3 ± 1\t128"
    form.fill.click()
    form.paste.value = "something"
    form.empty.click()
    assert "not empty: empty it first" in form.message.value and form.cells[1][0].value == "3 ± 1"
    form.paste.value = ""
    form.empty.click()
    assert form.cells[1][0].value == "" and "to be put back" in form.message.value
    form.fill.click()
    assert [[cell.value for cell in row] for row in form.cells[:3]] == [["1", "100"], ["3 ± 1", "128"], ["", ""]]


def test_the_list_of_benches_names_what_is_shown(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "bench.toml").touch()
    asked = []
    menu = BenchMenu(str(tmp_path / "a"), asked.append)
    assert menu.label == "(no bench is open)"
    menu.name(tmp_path / "a")
    assert menu.label == "a" and [words for words, _ in menu.options] == ["a", "b"] and asked == []
    menu.value = str(tmp_path / "b")
    assert asked == [str(tmp_path / "b")]
    menu.keep()  # it could not be opened
    assert menu.label == "a" and len(asked) == 1
    menu.name(tmp_path / "elsewhere" / "c")  # by its path
    assert menu.label == "c"
    menu.name(tmp_path / "elsewhere" / "b")
    assert menu.label == str(tmp_path / "elsewhere" / "b")  # two of a name
    menu.name(tmp_path / "b")
    menu.hold("typed", new=False)
    assert menu.label == "b, with readings typed here" and menu.typed[menu.value] == "typed"
    menu.hold("typed more", new=False)
    menu.hold("others", new=True)
    menu.hold("and others", new=True)
    assert list(menu.typed.items()) == [
        ("b, with readings typed here", "typed more"), ("readings typed here", "others"), ("readings typed here (2)", "and others")
    ]  # fmt: skip
    assert len(asked) == 1


def test_typed_readings_and_ticks_are_there_again_after_another_folder(workbook, monkeypatch):
    monkeypatch.setattr(FitExplorer, "refresh", lambda self: None)  # nothing here asks for a fit
    explorer = FitExplorer(workbook / "data" / "olive-stone-paste")
    form, first = explorer.readings.entry, explorer.readings.choice.label
    form.paste.value = "\n".join("\t".join(row) for row in ROWS)
    form.fill.click()
    typed = typed_in(form)
    explorer.readings.tests.children[0].value = False
    form.add.click()
    ticked = [box.value for box in explorer.readings.tests.children]
    assert ticked == [False, *[True] * (len(ticked) - 1)]
    assert explorer.readings.choice.label == f"{first}, with readings typed here"
    bench, path = explorer.bench, dict(explorer.readings.choice.options)[first]
    explorer.readings.choice.value = path
    assert explorer.readings.choice.label == first and explorer.bench is not bench and typed_in(form) == typed
    explorer.readings.choice.value = f"{first}, with readings typed here"
    assert explorer.bench is bench and [box.value for box in explorer.readings.tests.children] == ticked
    description = Path(path) / "bench.toml"
    description.write_text("nonsense", encoding="utf-8")
    explorer.readings.choice.value = path
    assert "role='alert'" in explorer.message.value
    assert explorer.readings.choice.label == f"{first}, with readings typed here" and explorer.bench is bench


def test_a_cell_may_have_its_own_unit():
    heads = ["shear rate [1/s]", "shear stress [kPa]"]
    (test,) = typed_bench("flow curve", heads, [["60 1/min", "100 Pa"], ["10", "0,2 kPa"], ["30", "< 0,3"]], {}).tests
    assert list(test.shear_rate) == pytest.approx([1, 10, 30])
    assert list(test.shear_stress) == pytest.approx([100, 200, 300])
    (weighed,) = typed_bench("cup density", ["mass [g]"], [["0,111 kg"], ["112"]], {"cup_volume": "100 mL"}).tests
    assert list(weighed.mass) == pytest.approx([0.111, 0.112])
    with pytest.raises(
        rk.DataError, match=r"Table, row 3: '4 mm': the unit \[mm\] is not that of .*; its column is in kPa"
    ):
        typed_bench("flow curve", heads, [["1", "1"], ["2", "4 mm"]], {})
    with pytest.raises(rk.DataError, match="'4 Smoot': the unit"):
        typed_bench("flow curve", heads, [["1", "1"], ["2", "4 Smoot"]], {})


def test_columns_are_chosen_and_what_was_typed_into_others_is_kept():
    form = EntryForm(None)
    form.kind.value = "syringe force"
    assert [head.value for head in form.heads] == ["flow rate [mm3/s]", "force [N]"]
    form.cells[0][0].value = "23"
    form.table.ways["flow_rate"].value = ("caught_mass", "catch_time")
    form.table.ways["force"].value = ("load_mass",)
    assert [head.value.split(" [")[0] for head in form.heads] == ["caught mass", "catch time", "load mass"]
    assert "Kept until you choose those columns again: flow rate." in plain(form.kept.value)
    form.table.ticks["stroke"].value = form.table.ticks["uncertainty"].value = True
    assert [head.value.split(" [")[0] for head in form.heads][3:] == ["stroke", "uncertainty"]
    assert len({len(row) for row in form.cells}) == 1 and len(form.cells[0]) == 5
    form.paste.value = "3\t60\t2,5\t0\t0.1"
    form.fill.click()
    assert [cell.value for cell in form.cells[0]] == ["3", "60", "2,5", "0", "0.1"]
    form.table.ways["flow_rate"].value = ("flow_rate",)
    assert form.cells[0][0].value == "23" and form.heads[0].value == "flow rate [mm3/s]"


@pytest.mark.parametrize("kind", list(rk.KINDS))
def test_every_column_of_every_kind_can_be_chosen(kind):
    """And every one has a heading that the reader takes."""
    form, asked = EntryForm(None), form_of(rk.KINDS[kind])
    form.kind.value = kind
    for box in form.table.ticks.values():
        box.value = True
    seen = set(form.table.names)
    for control in form.table.ways.values():
        for _, names in control.options:
            control.value = names
            seen |= set(form.table.names)
    assert seen == set(asked.header_names())
    for column in seen:
        table, faults = Table(1, (form.table._title(column),), ()), Faults()
        found, _ = read_headers(asked, table, "table.csv", form._reads(), faults)
        assert faults.found == [] and set(found) == {column}


def test_from_typed_rows_to_law_force_and_verdict_in_one_bench(explorer, tmp_path):
    """A kitchen: a cup, an empty barrel, a needle by its gauge under weights, caught mass and time, a plate; then saved and read."""
    form = explorer.readings.entry

    def typed(kind, stated, rows, **ways):
        form.kind.value = kind
        for target, names in ways.items():
            form.table.ways[target].value = names
        for key, text in ({"uncertainty": ""} | stated).items():
            form.stated[key].value = text
        for row, shown in zip(rows, form.cells, strict=False):
            for text, cell in zip(row, shown, strict=True):
                cell.value = text

    typed("cup density", {"cup_volume": "100 mL", "uncertainty": "to 1 g"}, [["111"], ["0,112 kg"]])
    form.start.click()
    assert "role='alert'" not in explorer.message.value
    assert "Nothing is fitted yet: add a test that says something about the flow law" in explorer.message.value
    typed("empty barrel", {}, [["80"], ["95"], ["88"]], force=("load_mass",))
    form.add.click()
    run = {"read": "flow_rate", "barrel_diameter": "20 mm", "fill_length": "60 mm", "bore": "18G", "length": "12,7 mm"}
    rows = [["3", "60", "2,5"], ["7", "60", "3500 g"], ["15", "1 min", "5"], ["25", "60", "6,5"], ["40", "60", "8"]]
    typed(
        "syringe force",
        run | {"uncertainty": "to 1 g; 0,5 s"},
        [],
        flow_rate=("caught_mass", "catch_time"),
        force=("load_mass",),
    )
    form.heads[2].value = "load mass [kg]"
    typed("syringe force", run | {"uncertainty": "to 1 g; 0,5 s"}, rows)
    form.add.click()
    assert form.message.value == ""
    typed("loaded plate", {"volume": "5 mL", "load_mass": "1,2 kg"}, [["31"], ["32"]])
    form.add.click()
    assert form.message.value == "" and explorer.message.value == ""
    bench = explorer.bench
    assert [test.kind for test in bench.tests] == ["cup density", "empty barrel", "syringe force", "loaded plate"]
    run = bench.tests[2]
    assert run.force == pytest.approx([2.5 * 9.81, 3.5 * 9.81, 5 * 9.81, 6.5 * 9.81, 8 * 9.81])
    assert run.flow_rate[0] == pytest.approx(0.003 / (1115 * 60))
    assert run.extruder.nozzle.bore == pytest.approx(0.838e-3)
    assert run.extruder.plunger_friction == pytest.approx(0.0876667 * 9.81, rel=1e-3)
    assert run.uncertainty[0] == pytest.approx(np.hypot(1 / 12**0.5 / 3, 0.5 / 60) * run.flow_rate[0], rel=1e-3)
    assert "Force" in explorer.force.headline.value and explorer.verdict.value
    explorer.saving.target.value = str(tmp_path / "kitchen")
    explorer.saving.save.click()
    again = rk.read_bench(tmp_path / "kitchen")
    assert [test.kind for test in again.tests] == [test.kind for test in bench.tests]
    assert again.tests[2].flow_rate == pytest.approx(run.flow_rate)


def test_what_to_measure_first_is_made_when_it_is_asked_for(workbook, monkeypatch, tmp_path):
    monkeypatch.setattr(FitExplorer, "refresh", lambda self: None)
    explorer = FitExplorer(workbook / "data" / "olive-stone-paste")
    first = explorer.readings.first
    assert first.inside is None and not first._place.children
    first.opener.value = True
    panel = first.inside
    assert "1. frustum slump" in plain(panel.tests.value)
    panel.feel.value = "can be cut"
    assert "1. loaded plate" in plain(panel.tests.value)
    assert "100 kPa is the most for a barrel without a printed rating" in plain(panel.tests.value)
    for box in panel.tools.values():
        box.value = False
    assert panel.make.disabled and "No tool was named" in plain(panel.tests.value) and "<table" not in panel.tests.value
    panel.tools["viscometer"].value = True
    panel.make.click()
    assert "Name a folder to make for these tests" in panel.made.value
    panel.target.value = str(tmp_path / "paste")
    panel.make.click()
    assert "Made" in panel.made.value and (tmp_path / "paste" / "flow-curve.csv").exists()
    panel.make.click()
    assert "role='alert'" in panel.made.value
    first.opener.value = False
    assert first.inside is panel and not first.is_open and first._place.layout.display == "none"


def test_pasted_rows_of_another_width_are_refused():
    form = EntryForm(None)
    form.paste.value = "1\t2\t3"
    form.fill.click()
    assert "pasted row 1 has 3 cells; the table has 2 columns" in form.message.value


# --- parts ------------------------------------------------------------------------------------------------------


def test_work_stops_at_the_first_fault_and_says_it():
    done, said = [], []
    Later(lambda error: said.append(in_words(error))).start(
        [lambda: done.append(1), lambda: 1 / 0, lambda: done.append(3)]
    )
    assert done == [1]
    assert said == [
        "The computation failed (ZeroDivisionError); nobody can say of these numbers why. Change what was changed last. What "
        "is shown is from before."
    ]


def test_later_work_replaces_what_waits():
    done = []

    async def page():
        later = Later(done.append)
        later.start([lambda: done.append("first"), lambda: done.append("its rest")])
        later.start([lambda: done.append("second"), lambda: done.append("its end")])
        assert done == []  # the page is free meanwhile
        await asyncio.sleep(0.3)

    clock.run(page())
    assert done == ["second", "its end"]


def test_everything_shown_is_escaped():
    assert "<script>" not in table(["<script>"], [["<script>"]], "<script>")
    message = Message()
    message.complain("<script>\nline two")
    assert "<script>" not in message.value
    assert message.value.count("<div>") == 2
    assert in_words(FileNotFoundError(2, "No such file or directory", "a.csv")) == (
        "No such file or directory: a.csv. Check the path and its permissions."
    )


def test_no_warning_escapes_to_the_notebook(workbook):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        explorer = FitExplorer(workbook / "data" / "trap-migration")
    assert explorer.fit is not None
    assert "FAILED" in explorer.checks.value


def test_classical_corrections_stand_folded_beside_the_fit(whole):
    shown = whole.classical.value
    assert "<summary>two lengths: analysable</summary>" in shown
    assert "<summary>Mooney: not analysable</summary>" in shown
    assert "Measure three bores or more" in shown
    assert "wall_shear_stress [Pa]" in shown
    plate = whole.bench.where(lambda test: test.kind == "loaded plate")
    assert classical_corrections(plate) == ""
