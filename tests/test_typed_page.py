"""Readings typed into the page: what was read, corrections, names of apparatus and cells. Kind: exact."""

import re
from urllib.parse import unquote

import numpy as np
import pytest

import rheokit as rk
from rheokit.reading import joined
from rheokit.widgets import FitExplorer
from rheokit.widgets.fit.entry import EntryForm
from rheokit.widgets.fit.typed_bench import typed_bench
from rheokit.widgets.page.elements import STYLE, is_shown
from rheokit.widgets.page.freshness import dated_in

HEADS = ["shear rate [1/s]", "shear stress [Pa]"]
ROWS = [["1", "100"], ["3", "128"], ["10", "181"], ["30", "270"]]
SYRINGE = {
    "density": "1110 kg/m3", "barrel_diameter": "20 mm", "fill_length": "60 mm", "plunger_friction": "1 N", "bore": "2 mm",
    "length": "12,7 mm",
}  # fmt: skip


def plain(shown):
    return re.sub("<[^>]*>", "", shown)


def form_of_kind(kind, stated=(), use=None):
    """Return a form that asks for a kind of test, with fields filled in."""
    form = EntryForm(use)
    form.kind.value = kind
    for key, text in dict(stated).items():
        form.stated[key].value = text
    return form


# --- which column was read --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "ways", "read"),
    [
        ("syringe force", {}, "force"),
        ("syringe force", {"force": ("load_mass",)}, "flow_rate"),
        ("syringe force", {"force": ("added_mass",)}, "flow_rate"),
        ("syringe force", {"force": ("pressure",)}, "flow_rate"),
        ("syringe force", {"flow_rate": ("caught_mass", "catch_time")}, "flow_rate"),
        ("syringe force", {"flow_rate": ("plunger_speed",)}, "force"),
        ("syringe force", {"flow_rate": ("plunger_speed",), "force": ("load_mass",)}, "force"),
        ("syringe force", {"flow_rate": ("plunger_speed",), "force": ("added_mass",)}, "flow_rate"),
        ("pressure run", {}, "pressure"),
        ("pressure run", {"flow_rate": ("caught_mass", "catch_time")}, "flow_rate"),
        ("pressure run", {"flow_rate": ("plunger_speed",)}, "pressure"),
    ],
)
def test_which_column_was_read_follows_from_how_the_columns_are_typed(kind, ways, read):
    form = form_of_kind(kind)
    for target, names in ways.items():
        form.table.ways[target].value = names
    choice = form.stated["read"]
    assert choice.value == read
    assert choice.said in form.fields.children
    said = plain(choice.said.value)
    other = "flow rate" if read != "flow_rate" else kind.split()[0].replace("syringe", "force")
    assert f"The {other} was set and counts as exact; an uncertainty is that of the {read.replace('_', ' ')}" in said
    assert ("Taken so because" in said) is bool(ways)
    assert (" was typed" in said) is (len(choice._told) == 1) and (" were typed" in said) is (len(choice._told) > 1)


def test_what_was_chosen_as_read_stays():
    form = form_of_kind("syringe force")
    choice = form.stated["read"]
    choice.value = "flow_rate"
    choice.value = "force"
    form.table.ways["force"].value = ("load_mass",)
    assert choice.value == "force" and "because" not in choice.said.value
    assert "an uncertainty is that of the force (load mass)" in plain(choice.said.value)
    form.kind.value = "flow curve"
    form.kind.value = "syringe force"
    assert form.stated["read"] is choice and choice.value == "force"


def test_the_heading_of_an_uncertainty_is_that_of_what_was_read_unless_it_was_changed():
    form = form_of_kind("syringe force")
    form.table.ticks["uncertainty"].value = True
    assert form.heads[-1].value == "uncertainty [N]"
    form.table.ways["force"].value = ("load_mass",)
    assert form.heads[-1].value == "uncertainty [mm3/s]"
    form.heads[-1].value = "uncertainty [mL/s]"
    form.stated["read"].value = "force"
    assert form.heads[-1].value == "uncertainty [mL/s]"


def test_what_a_caught_mass_is_weighed_to_is_the_error_of_the_flow_without_a_word_about_what_was_read():
    given = []
    form = form_of_kind("syringe force", SYRINGE | {"uncertainty": "to 1 g"}, lambda bench, new: given.append(bench))
    form.table.ways["force"].value = ("load_mass",)
    form.table.ways["flow_rate"].value = ("caught_mass", "catch_time")
    rows = [["3", "60", "2500"], ["7", "60", "3500"], ["15", "60", "5000"]]
    for row, cells in zip(rows, form.cells, strict=False):
        for text, cell in zip(row, cells, strict=True):
            cell.value = text
    form.start.click()
    assert form.message.value == ""
    (test,) = given[0].tests
    assert test.read == "flow_rate"
    np.testing.assert_allclose(test.uncertainty, 1e-3 / 12**0.5 / (1110 * 60))


def test_what_is_wrong_names_fields_and_no_key_of_a_file():
    form = form_of_kind("syringe force", SYRINGE | {"plunger_friction": "", "uncertainty": "to 5 g"}, lambda *_: "")
    form.table.ways["force"].value, form.table.ways["flow_rate"].value = ("load_mass",), ("plunger_speed",)
    form.stated["read"].value = "flow_rate"
    for row, cells in zip([["1", "2000"], ["2", "3000"]], form.cells, strict=False):
        for text, cell in zip(row, cells, strict=True):
            cell.value = text
    form.start.click()
    said = plain(form.message.value)
    assert (
        "a syringe force needs plunger friction: force to move the plunger without paste; type it, such as 8 ± 1 N, or add"
        in said
    )
    assert "or choose the force as &#x27;what was read; the other was set&#x27; if it is what was read" in said
    assert "_" not in said
    form.stated["read"].value, form.stated["plunger_friction"].value = "force", "0"
    form.start.click()
    assert form.message.value == "", "no friction needs no unit"


# --- cells and fields -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cell", ["3,883", "3,883 kg", "3,883kg", "< 3,883 kg"])
def test_a_comma_that_may_part_thousands_is_told_with_its_row_and_both_numbers(cell):
    either = f"{cell.replace(',', '.')} or {cell.replace(',', '')}"
    with pytest.raises(rk.DataError, match=re.escape(f"Table, row 3: {cell!r} can be {either}; write {either}.")):
        typed_bench("cup density", ["mass [kg]"], [["4"], [cell]], {"cup_volume": "3 L"})


@pytest.mark.parametrize("cell", ["3.883 kg", "3.883kg", "3883g", "3,883 kg"])
def test_a_cell_whose_number_leaves_no_doubt_has_its_unit_read_with_and_without_a_blank(cell):
    """Another cell of the table shows that a comma is that of decimals."""
    (test,) = typed_bench("cup density", ["mass [kg]"], [["3,8"], [cell]], {"cup_volume": "3 L"}).tests
    assert list(test.mass) == pytest.approx([3.8, 3.883])


@pytest.mark.parametrize("cell", ["3.883kgf", "3.883 kgf"])
def test_a_unit_of_another_quantity_is_the_reason_that_is_told(cell):
    with pytest.raises(rk.DataError, match=re.escape(f"Table, row 2: {cell!r}: the unit [kgf] is not that of a mass")):
        typed_bench("cup density", ["mass [kg]"], [[cell]], {"cup_volume": "3 L"})


def test_a_semicolon_in_a_cell_is_told_with_its_row():
    with pytest.raises(rk.DataError, match="Table, row 3: '1;2': a cell holds one number"):
        typed_bench("flow curve", HEADS, [["1", "2"], ["1;2", "3"]], {})


@pytest.mark.parametrize("called", ["syringe", "the old one; 20 mm", 'a "b" ]'])
def test_a_name_of_an_apparatus_says_that_tests_share_it(called):
    stated = {"cup_volume": "100 mL", "apparatus": called}
    one = typed_bench("cup density", ["mass [g]"], [["111"], ["112"]], stated)
    bench = joined(one, typed_bench("flow curve", HEADS, ROWS, {"apparatus": called}))
    bench = joined(bench, typed_bench("flow curve", HEADS, [["2", "110"], ["20", "225"]], {"label": "B"}))
    assert [test.apparatus for test in bench.tests] == [called, called, ""]


def test_a_name_of_an_apparatus_that_cannot_be_is_told_in_words_of_the_page():
    with pytest.raises(rk.DataError, match="Fields: apparatus") as refused:
        typed_bench("flow curve", HEADS, ROWS, {"apparatus": "x" * 1000})
    assert "bench.toml" not in str(refused.value) and "[apparatus]" not in str(refused.value)


def test_cells_are_named_after_their_heading_as_it_reads():
    form = form_of_kind("syringe force")

    def called(cell):
        return [unquote(word).partition(":")[2] for word in cell._dom_classes]

    assert called(form.cells[0][1]) == ["force [N], row 2"]
    form.heads[1].value = "force [kgf]"
    assert [called(row[1]) for row in form.cells] == [[f"force [kgf], row {k}"] for k in range(2, 10)]
    form.more.click()
    assert called(form.cells[-1][1]) == ["force [kgf], row 10"]
    form.heads[1].value = ""
    assert called(form.cells[0][1]) == ["force, row 2"]


def test_the_banner_of_a_restart_says_what_running_all_cells_takes_away():
    banner = STYLE.partition(".jupyter-widgets-disconnected::before")[2].partition("}")[0]
    said = "".join(re.findall('"([^"]*)"', banner))
    assert said.index("Copy first what you typed and did not save") < said.index("Run All Cells")


# --- corrections ------------------------------------------------------------------------------------------------


@pytest.fixture
def page(workbook, monkeypatch):
    """Return the form of a page that fits nothing, and its readings."""
    monkeypatch.setattr(FitExplorer, "_fit", lambda self: None)
    monkeypatch.setattr(FitExplorer, "steps", ())
    readings = FitExplorer(workbook / "data" / "olive-stone-paste").readings
    return readings.entry, readings


def typed_curve(form, rows=ROWS, label="A"):
    form.kind.value, form.stated["label"].value = "flow curve", label
    for row, cells in zip(rows, form.cells, strict=False):
        for text, cell in zip(row, cells, strict=True):
            cell.value = text


def test_a_changed_cell_is_put_in_place_of_the_test_typed_before(page):
    form, readings = page
    typed_curve(form)
    assert not is_shown(form.replace) and not is_shown(form.remove)
    form.add.click()
    count = len(readings.bench.tests)
    assert plain(form.done.value) == "Taken: flow curve &#x27;A&#x27;, 4 readings."
    assert is_shown(form.replace)
    assert form.replace.description == "Put it in place of the test that stands there (flow curve 'A')"
    readings.tests.children[0].value = readings.tests.children[-1].value = False
    form.cells[0][1].value = "101"
    form.replace.click()
    assert form.message.value == "" and "4 readings, in place of flow curve" in plain(form.done.value)
    assert len(readings.bench.tests) == count
    assert list(readings.bench.tests[-1].shear_stress) == [101, 128, 181, 270]
    ticks = [box.value for box in readings.tests.children]
    assert ticks == [False, *[True] * (len(ticks) - 2), False]


def test_a_changed_setting_is_refused_with_the_way_to_correct_it(page):
    form, readings = page
    typed_curve(form)
    form.add.click()
    form.stated["uncertainty"].value = "3 %"
    form.add.click()
    said = plain(form.message.value)
    assert "to correct that test, press &#x27;Put it in place of the test that stands there&#x27;" in said
    assert "file" not in said and "Bench" not in said
    form.replace.click()
    assert form.message.value == "" and readings.bench.tests[-1].relative_uncertainty == pytest.approx(0.03)


def test_two_typed_tests_of_one_name_are_told_and_the_last_can_be_taken_out(page):
    form, readings = page
    typed_curve(form)
    form.add.click()
    form.cells[0][1].value = "101"
    form.add.click()
    assert "2 tests of the bench have this kind and label now, told apart by their files, and all count." in plain(
        form.done.value
    )
    form.remove.click()
    assert plain(form.done.value) == "Taken out of the bench: flow curve &#x27;A&#x27; (a-2.csv), 4 readings."
    assert [test.shear_stress[0] for test in readings.bench.tests if test.kind == "flow curve"] == [100]
    form.replace.click()
    assert [test.shear_stress[0] for test in readings.bench.tests if test.kind == "flow curve"] == [101]
    readings.choice.value = readings.choice.options[0][1]
    assert not is_shown(form.replace)  # another bench is open


def test_the_test_of_the_kind_and_name_that_are_typed_is_the_one_to_replace(page):
    form, readings = page
    typed_curve(form, label="A")
    form.start.click()
    typed_curve(form, [["2", "110"], ["20", "225"]], label="B")
    form.add.click()
    form.stated["label"].value = "A"
    assert form.replace.description.endswith("(flow curve 'A')")
    form.kind.value = "cylinder slump"
    assert not is_shown(form.replace)
    form.kind.value = "flow curve"
    form.cells[0][1].value, form.cells[1][1].value = "111", "226"
    for cell in (*form.cells[2], *form.cells[3]):
        cell.value = ""
    form.replace.click()
    assert form.message.value == ""
    assert [test.label for test in readings.bench.tests] == ["B", "A"]


def test_the_only_test_is_replaced_with_its_density_and_is_not_taken_out(page, tmp_path):
    form, readings = page
    form.kind.value = "cylinder slump"
    for key, text in {"height": "100 mm", "diameter": "100 mm", "density": "1110 kg/m3"}.items():
        form.stated[key].value = text
    form.cells[0][0].value = "31"
    form.start.click()
    form.remove.click()
    assert "It is the only test of the bench" in form.message.value
    form.stated["density"].value = "1150 kg/m3"
    form.replace.click()
    (test,) = readings.bench.tests
    assert test.density == readings.bench.specimen.density == 1150
    readings.save(str(tmp_path / "slump"))
    for cell, density in (("32", "1155 kg/m3"), ("33", "1160 kg/m3")):
        form.cells[0][0].value, form.stated["density"].value = cell, density
        form.replace.click()
        readings.save(str(tmp_path / "slump"))
    again = rk.read_bench(tmp_path / "slump")
    assert {path.name for path in (tmp_path / "slump").iterdir()} == {"bench.toml", "cylinder-slump.csv"}
    assert again.tests[0].slump[0] == pytest.approx(0.033)
    assert [test.density for test in again.tests] == [again.specimen.density] == [1160]


def test_a_density_goes_with_the_test_it_came_with_and_takes_no_other_spread_along(page):
    form, readings = page
    (curve,) = typed_bench("flow curve", HEADS, ROWS, {}).tests
    known = rk.Specimen(water_content=1.0, spreads={"water_content": 0.02})
    readings._show_bench(rk.Bench(known, [curve]))
    form.kind.value = "cylinder slump"
    for key, text in {"height": "100 mm", "diameter": "100 mm", "density": "1110 ± 11 kg/m3"}.items():
        form.stated[key].value = text
    form.cells[0][0].value = "31"
    form.add.click()
    assert readings.bench.specimen.spreads == pytest.approx({"water_content": 0.02, "density": 11 / 1110})
    form.stated["density"].value = "1150 kg/m3"
    form.replace.click()
    assert readings.bench.specimen.density == 1150
    assert readings.bench.specimen.spreads == pytest.approx({"water_content": 0.02})
    form.remove.click()
    assert "The density typed with it, 1150 kg/m³, stays that of the bench." in plain(form.done.value)


def test_a_test_takes_the_density_of_a_cup_that_was_put_in_place_of_another(page):
    form, readings = page
    form.kind.value, form.stated["cup_volume"].value = "cup density", "100 mL"
    form.cells[0][0].value = "111"
    form.start.click()
    form.kind.value = "cylinder slump"
    for key, text in {"height": "100 mm", "diameter": "100 mm"}.items():
        form.stated[key].value = text
    form.cells[0][0].value = "31"
    form.add.click()
    form.kind.value = "cup density"
    form.cells[0][0].value = "119"
    form.replace.click()
    assert "keep the" not in plain(form.done.value)
    assert [test.density for test in readings.bench.tests if test.kind == "cylinder slump"] == [pytest.approx(1190)]


RUN = {"density": "1110 kg/m3", "barrel_diameter": "20 mm", "fill_length": "60 mm", "bore": "2 mm", "length": "12.7 mm"}


def type_barrel(form, masses):
    form.kind.value = "empty barrel"
    form.table.ways["force"].value = ("load_mass",)
    for row, text in zip(form.cells, masses, strict=False):
        row[0].value = text


def type_run(form, **stated):
    form.kind.value = "syringe force"
    for key, text in (RUN | stated).items():
        form.stated[key].value = text
    form.table.ways["flow_rate"].value = ("plunger_speed",)
    for row, cells in zip(form.cells, (("0.1", "12"), ("0.3", "16")), strict=False):
        for cell, text in zip(row, cells, strict=True):
            cell.value = text


def test_the_mass_of_a_carrier_is_asked_where_it_counts_and_kept_elsewhere(page):
    """Typed beside added masses, it does not go along with loads that hold it."""
    form, readings = page
    typed_curve(form)
    form.start.click()
    form.kind.value = "empty barrel"
    form.table.ways["force"].value = ("added_mass",)
    form.stated["carrier_mass"].value = "45 g"
    type_barrel(form, ("340", "360", "335"))
    assert "carrier_mass" not in form.stated and not any(
        "carrier" in one.description for one in form.fields.children if hasattr(one, "description")
    )
    assert "carrier mass" in plain(form.kept.value)
    form.add.click()
    assert form.message.value == "" and "carrier" not in readings.bench.origin.files["bench.toml"].decode()
    form.table.ways["force"].value = ("added_mass",)
    assert form.stated["carrier_mass"].value == "45 g"


def test_an_uncertainty_of_what_was_set_names_the_field_that_says_what_was_read():
    heads, stated = ["plunger speed [mm/s]", "load mass [g]"], SYRINGE | {"read": "flow_rate", "uncertainty": "1 g"}
    with pytest.raises(
        rk.DataError, match="or choose the force as 'what was read; the other was set' if it is what was read"
    ):
        typed_bench("syringe force", heads, [["0.1", "4000"], ["0.2", "5000"]], stated)


def test_a_friction_that_was_typed_is_kept_and_told_when_the_empty_barrel_is_replaced(page):
    form, readings = page
    typed_curve(form)
    form.start.click()
    type_barrel(form, ("340", "360", "335"))
    form.add.click()
    type_run(form, plunger_friction="1 N")
    form.add.click()
    type_barrel(form, ("540", "560", "535"))
    form.replace.click()
    assert "Tests added before keep the plunger friction they were typed with: syringe force" in plain(form.done.value)
    assert [t.extruder.plunger_friction for t in readings.bench.tests if t.kind == "syringe force"] == [1.0]


def test_a_friction_that_the_empty_barrel_lends_is_not_written_and_follows_it(page, tmp_path):
    """340, 360, 335 g: 345 g × 9.81 m/s² = 3.384 N; 545 g × 9.81 m/s² = 5.346 N, by hand in the file as by the page."""
    form, readings = page
    typed_curve(form)
    form.start.click()
    type_barrel(form, ("340", "360", "335"))
    form.add.click()
    type_run(form)
    form.add.click()
    assert form.message.value == ""
    assert readings.bench.tests[-1].extruder.plunger_friction == pytest.approx(3.384, rel=1e-3)
    readings.save(str(tmp_path / "own"))
    assert "plunger_friction" not in (tmp_path / "own" / "bench.toml").read_text()
    (barrel,) = [one for one in (tmp_path / "own").glob("*.csv") if "340" in one.read_text()]
    was = barrel.read_text()
    barrel.write_text(was.replace("340", "540").replace("360", "560").replace("335", "535"))
    again = rk.read_bench(tmp_path / "own")
    assert again.tests[-1].extruder.plunger_friction == pytest.approx(5.346, rel=1e-3)
    (note,) = [one for one in again.origin.notes if "plunger_friction" in one]
    assert note.startswith(
        "plunger_friction of its [[test]] is not stated; 5.35 ± 0.56 N, measured by the empty barrel"
    )
    barrel.write_text(was)
    type_barrel(form, ("540", "560", "535"))
    form.replace.click()
    assert form.message.value == "" and "keep the" not in plain(form.done.value)
    readings.save(str(tmp_path / "own"))
    assert "plunger_friction" not in (tmp_path / "own" / "bench.toml").read_text()
    (run,) = [test for test in rk.read_bench(tmp_path / "own").tests if test.kind == "syringe force"]
    assert run.extruder.plunger_friction == pytest.approx(5.346, rel=1e-3)
    form.remove.click()  # of the barrel: nobody lends the friction now, so the test keeps the one that it was fitted with
    readings.save(str(tmp_path / "own"))
    (run,) = [test for test in rk.read_bench(tmp_path / "own").tests if test.kind == "syringe force"]
    assert run.extruder.plunger_friction == pytest.approx(5.346, rel=1e-3)


@pytest.mark.slow
def test_a_bench_of_properties_alone_is_taken_without_an_error_and_without_the_answers_of_another(workbook):
    explorer = FitExplorer(workbook / "data" / "olive-stone-paste")
    form = explorer.readings.entry
    assert explorer.verdict.value and explorer.curve.shows and explorer.force.headline.value
    form.kind.value, form.stated["cup_volume"].value = "cup density", "100 mL"
    form.cells[0][0].value, form.cells[1][0].value = "111", "112"
    form.start.click()
    assert "It says nothing about the flow law; it gives density." in plain(form.done.value)
    said = explorer.message.value
    assert "role='alert'" not in said and "role='status'" in said
    assert "Taken: cup density, 2 readings. Density ρ = 1115 kg/m³ (95 %" in said
    assert "Nothing is fitted yet: add a test" in said and "none yet" in explorer.readings._to_fit.value
    shown = [
        explorer.verdict,
        explorer.numbers,
        explorer.checks,
        explorer.classical,
        explorer.curve,
        explorer.residuals.against,
    ]
    shown += [explorer.residuals.along_rate, explorer.residuals.along_order, *dated_in(explorer.force)]
    assert not any(one.shows for one in shown)
    assert explorer.fit is None and explorer.status.value == "<div role='status'></div>"
    explorer.law.value = "Bingham"
    assert "role='alert'" not in explorer.message.value
    typed_curve(form, [["1", "100"], ["3", "128"], ["10", "181"], ["30", "270"], ["100", "436"]])
    form.add.click()
    assert explorer.message.value == "" and explorer.verdict.value and explorer.force.headline.value
    assert "none yet" not in explorer.readings._to_fit.value


@pytest.mark.parametrize(
    ("stated", "cells", "named"),
    [
        ({"bore": "abc", "fill_length": ""}, {}, ["fill_length", "bore"]),
        ({"length": "-3 mm", "uncertainty": "3 kg"}, {}, ["length", "uncertainty"]),
        ({"density": "1 kg"}, {(1, 0): "a"}, ["density", (1, 0)]),
        ({}, {(0, 1): "1.5 parsec"}, [(0, 1)]),
        ({}, {(0, 0): "a", (1, 1): ""}, [(0, 0), (1, 1)]),
        ({"barrel_diameter": "1.5 mm"}, {}, []),
    ],
)
def test_what_a_refusal_names_is_marked_until_it_no_longer_stands(page, stated, cells, named):
    form, _ = page
    type_run(form, plunger_friction="1 N")
    for key, text in stated.items():
        form.stated[key].value = text
    for (row, place), text in cells.items():
        form.cells[row][place].value = text

    def wrong():
        fields = [key for key, control in form.stated.items() if "wrong" in control._dom_classes]
        return fields + [
            (k, n) for k, row in enumerate(form.cells) for n, cell in enumerate(row) if "wrong" in cell._dom_classes
        ]

    form.add.click()
    assert "alert" in form.message.value and wrong() == named and "bench.toml" not in form.message.value
    type_run(form, plunger_friction="1 N", uncertainty="")
    form.stated["density"].value = RUN["density"]
    form.add.click()
    assert form.message.value == "" and wrong() == []
