"""Readings typed into the page: what was read, corrections, names of apparatus and cells. Kind: exact."""

import re
from urllib.parse import unquote

import numpy as np
import pytest

import rheokit as rk
from rheokit.reading import joined
from rheokit.widgets.fit.entry import EntryForm
from rheokit.widgets.fit.typed_bench import typed_bench
from rheokit.widgets.page.elements import STYLE

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
        ("syringe force", {"flow_rate": ("plunger_speed",), "force": ("load_mass",)}, "flow_rate"),
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
    assert choice.said in form._fields.children
    said = plain(choice.said.value)
    other = "flow rate" if read != "flow_rate" else kind.split()[0].replace("syringe", "force")
    assert f"The {other} was set and counts as exact; an uncertainty is that of the {read.replace('_', ' ')}" in said
    assert ("Taken so because" in said) is bool(ways)


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
