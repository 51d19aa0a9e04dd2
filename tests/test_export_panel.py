"""The file of an instrument in notebook 1, without a browser: proposed, chosen, refused where it cannot be, written down.

Kind       exact: the file is invented, and its numbers are known.
"""

import re

import numpy as np
import pytest

import rheokit as rk
from rheokit.widgets import FitExplorer
from rheokit.widgets.fit.export_bench import export_bench
from rheokit.widgets.fit.export_panel import ExportPanel

RATES = ["0.1", "1", "10", "100"]
UP, DOWN = ["12.5", "20.75", "61.2", "250"], ["11.5", "19.75", "60.2", "250.5"]
PREAMBLE = "Projekt\tErfunden\n\nNr.\tScherrate\tSchubspannung\tViskosität\tStatus\n\t[1/s]\t[Pa]\t[Pa·s]\t\n"


def export(preamble=PREAMBLE):
    """Return an invented export: UTF-16, tabs, a preamble, a row of units, German, decimal commas, up and down."""
    rows = [*zip(RATES, UP, strict=True), *zip(reversed(RATES), reversed(DOWN), strict=True)]
    lines = [f"{k}\t{rate}\t{stress}\t1.5\tok".replace(".", ",") for k, (rate, stress) in enumerate(rows, 1)]
    return (preamble + "\n".join(lines) + "\n").encode("utf-16")


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "measured.txt"
    path.write_bytes(export())
    return path


@pytest.fixture
def panel(file):
    made = ExportPanel(lambda folder: made.opened.append(folder))
    made.opened = []
    made.file.value = str(file)
    return made


def plain(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_it_shows_what_it_understood_and_what_it_reads(panel):
    said = plain(panel.understood.value)
    assert "UTF-16, columns parted by tabs" in said
    assert "Headers stand in row 3, units in row 4. 8 rows of readings." in said
    assert "2 Scherrate 1/s shear rate by its unit" in said and "5 Status none found passed over" in said
    assert "1 up 5-8" in said and "2 down 9-12" in said
    assert panel.columns["shear_rate"].value == "Scherrate" and panel.columns["shear_stress"].value == "Schubspannung"
    assert "As chosen it reads flow curve: 8 readings of τ, 11.5 to 250 Pa." in plain(panel.reads.value)


def test_rows_runs_and_branches_are_chosen_and_a_fault_loses_nothing(panel):
    panel.chosen["branch"].value = "down"
    assert "4 readings of τ, 11.5 to 250 Pa" in plain(panel.reads.value)
    panel.chosen["branch"].value = ""
    panel.chosen["rows"].value = "6-7"
    assert "2 readings of τ, 20.8 to 61.2 Pa" in plain(panel.reads.value)
    panel.chosen["runs"].value = "two"
    assert "role='alert'" in panel.reads.value and "must be numbers parted by commas, such as 1, 3" in panel.reads.value
    panel.target.value = "somewhere"
    panel.write.click()
    assert "role='alert'" in panel.done.value and panel.opened == []
    assert panel.chosen["rows"].value == "6-7" and panel.chosen["runs"].value == "two"
    panel.chosen["runs"].value, panel.chosen["rows"].value = "9", ""
    assert "there is no run 9; there are run 1 in rows 5-8, up" in panel.reads.value
    panel.chosen["runs"].value = "1"
    assert "4 readings of τ, 12.5 to 250 Pa" in plain(panel.reads.value)


def test_a_wrong_column_is_refused_with_its_unit_and_a_right_one_read(panel):
    panel.columns["shear_rate"].value = "Viskosität"
    assert "role='alert'" in panel.reads.value and "the unit [Pa·s] is not that of a rate" in plain(panel.reads.value)
    panel.columns["shear_rate"].value = ""
    assert "no column shear rate" in plain(panel.reads.value)
    panel.columns["shear_rate"].value = "Scherrate"
    assert "8 readings" in plain(panel.reads.value)


def test_a_header_without_a_unit_gets_one(panel, file):
    file.write_bytes(b"gamma\ttau\n0.1\t12.5\n1\t20.75\n10\t61.2\n")
    panel.file.value = f" {file}"
    panel.columns["shear_rate"].value, panel.columns["shear_stress"].value = "gamma", "tau"
    assert panel.units["shear_rate"] in panel._left.children
    panel.units["shear_rate"].value, panel.units["shear_stress"].value = "1/s", "[kPa]"
    assert "3 readings of τ, 12.5 to 61.2 kPa" in plain(panel.reads.value)


def test_it_is_written_down_with_its_bytes_and_opened_and_another_test_goes_beside_it(panel, file, tmp_path):
    panel.write.click()
    assert "Name a bench folder" in panel.done.value
    panel.target.value = str(tmp_path / "bench")
    panel.chosen["branch"].value, panel.chosen["label"].value = "up", "up"
    panel.write.click()
    assert panel.opened == [tmp_path / "bench"] and "which is open above" in panel.done.value
    assert (tmp_path / "bench" / "measured.txt").read_bytes() == file.read_bytes()
    text = (tmp_path / "bench" / "bench.toml").read_text(encoding="utf-8")
    assert 'columns = {shear_rate = "Scherrate", shear_stress = "Schubspannung"}' in text and 'branch = "up"' in text
    panel.chosen["branch"].value, panel.chosen["label"].value = "down", "down"
    panel.write.click()
    bench = rk.read_bench(tmp_path / "bench")
    assert [test.label for test in bench.tests] == ["up", "down"]
    np.testing.assert_array_equal(bench.tests[0].shear_stress, [float(one) for one in UP])
    np.testing.assert_array_equal(np.sort(bench.tests[1].shear_stress), np.sort([float(one) for one in DOWN]))
    panel.write.click()
    assert "hold the same readings to the last digit" in panel.done.value
    assert len(rk.read_bench(tmp_path / "bench").tests) == 2


def test_a_folder_that_holds_something_else_is_refused(panel, tmp_path):
    panel.target.value = str(tmp_path)
    panel.write.click()
    assert "holds no bench" in panel.done.value and not (tmp_path / "bench.toml").exists() and panel.opened == []


@pytest.mark.parametrize("name", ["nothing.txt", "empty.txt", "picture.bin"])
def test_a_file_that_is_none_of_readings_is_said_in_words(panel, tmp_path, name):
    (tmp_path / "empty.txt").write_bytes(b"")
    (tmp_path / "picture.bin").write_bytes(bytes(range(256)) * 9)
    panel.file.value = str(tmp_path / name)
    said = plain(panel.wrong.value + panel.understood.value + panel.reads.value)
    assert re.search("no such file|no row of headers|is empty|is not text", said), said
    assert "Traceback" not in said and "role='alert'" in panel.wrong.value and panel._asked.layout.display == "none"
    panel.file.value = ""
    assert panel._asked.layout.display == "none"


@pytest.mark.parametrize("kind", rk.KINDS)
def test_every_kind_can_be_asked_of_a_file(panel, kind):
    panel.kind.value = kind
    assert panel.columns and ("role='alert'" in panel.reads.value or "As chosen it reads" in panel.reads.value)
    assert "Traceback" not in panel.reads.value


def test_a_run_takes_its_dimensions_from_fields():
    raw = b"Kolben mm/s;Kraft N\n0,01;20\n0,1;30\n1;55\n"
    stated = {
        "kind": "syringe force", "file": "e.txt", "columns": {"plunger_speed": "Kolben", "force": "Kraft"}, "read": "force",
        "barrel_diameter": "20 mm", "fill_length": "60 mm", "plunger_friction": "5 ± 1 N", "bore": "2 mm", "length": "20 mm",
        "density": "1100 kg/m3",
    }  # fmt: skip
    bench = export_bench(raw, stated)
    assert bench.specimen.density == 1100
    assert bench.tests[0].force == pytest.approx([20, 30, 55])
    assert bench.tests[0].flow_rate[0] == pytest.approx(1e-5 * np.pi * 0.02**2 / 4)


@pytest.mark.slow
def test_in_the_page_it_is_fitted_once_it_is_written(workbook, file, tmp_path):
    explorer = FitExplorer(workbook / "data" / "olive-stone-paste")
    export = explorer.readings.export
    assert export.inside is None
    export.opener.value = True
    export.inside.file.value = str(file)
    export.inside.target.value = str(tmp_path / "bench")
    export.inside.write.click()
    assert explorer.readings.choice.label == "bench"
    assert [test.kind for test in explorer.fit.tests] == ["flow curve"]
    assert len(explorer.fit.tests[0].readings) == 8


def test_what_a_fault_asks_for_stands_on_the_page():
    from rheokit.widgets.fit.export_words import of_export_page

    assert of_export_page("bench.toml, [[test]] 1: no column shear rate: shear rate; name it in columns") == (
        "no column shear rate: shear rate; choose it among the columns"
    )
    assert (
        of_export_page(
            "bench.toml, [[test]] 1, columns: 'Rate' has no unit, in its header or below; write it behind the words in columns, such as x = "
            '"Rate [1/s]"'
        )
        == "columns: 'Rate' has no unit, in its header or below; type it in the field for the unit of this column"
    )
    assert (
        of_export_page("e.txt, row 3: cup_volume is missing in its apparatus") == "e.txt, row 3: cup_volume is missing"
    )


def test_fields_are_the_same_ones_when_a_file_is_opened_again(panel, file):
    """What is typed while another file is read is typed into the field that stays."""
    rows, label = panel.chosen["rows"], panel.chosen["label"]
    label.value = "first"
    panel.file.value = ""
    assert panel._asked.layout.display == "none"
    panel.file.value = str(file)
    assert panel._asked.layout.display is None
    assert panel.chosen["rows"] is rows and panel.chosen["label"] is label
    assert label.value == "first"
    rows.value = "1-2"
    assert "names no row with readings" in panel.reads.value
