"""Readings taken from an instrument's export stand in an appendix as the file has them: headers, cells, runs, branches. All files are invented."""

import io
import math

import openpyxl
import pytest

import rheokit as rk
from rheokit.appendix.sections import estimates, protocol, readings, residuals
from rheokit.appendix.study import Study

RATES = (0.1, 0.3, 1, 3, 10, 30, 100)
HEAD = ("Abschnitt", "Zeit", "Scherrate", "Schubspannung", "Status")
UNITS = ("", "[s]", "[1/s]", "[kPa]", "")
COLUMNS = 'columns = {shear_rate = "Scherrate", shear_stress = "Schubspannung"}'


def stress(rate, factor=1.0):
    """Return the stress [Pa] of an invented paste at a rate [1/s]."""
    return factor * (60 + 20 * rate**0.5)


def german(number):
    return f"{number:.5g}".replace(".", ",")


def test_the_caption_of_readings_names_their_batch(tmp_path):
    rows = "".join(f"{german(rate)};{german(stress(rate))}\n" for rate in RATES)
    made = study(tmp_path / "one", f"Scherrate;Schubspannung\n[1/s];[Pa]\n{rows}".encode(), name="e.txt")
    table = next(one for part in readings.section(made).sections for one in part.blocks if one.name == "readings-1")
    assert table.caption.startswith("gel of mine, flow curve, batch 1: 7 readings, from e.txt")


def loop():
    """Return rows of an export, up and then down a factor lower, with a decimal comma."""
    there = [("1", rate, stress(rate)) for rate in RATES]
    back = [("2", rate, stress(rate, 0.97)) for rate in reversed(RATES)]
    return [(part, "5", german(rate), german(tau / 1000), "ok") for part, rate, tau in there + back]


def study(place, raw, keys=COLUMNS, name="export.txt"):
    place.mkdir()
    toml = f'[specimen]\npaste = "gel of mine"\nbatch = "1"\n\n[[test]]\nkind = "flow curve"\nfile = "{name}"\nuncertainty = "2 %"\n{keys}\n'
    (place / "bench.toml").write_text(toml, encoding="utf-8")
    (place / name).write_bytes(raw)
    return Study(rk.Workbook.open(place))


def text_of(rows, separator=";", above="Gerät;erfunden\n\n"):
    return above + "".join(separator.join(row) + "\n" for row in rows)


def tables(section):
    blocks = [*section.blocks, *(block for inner in section.sections for block in inner.blocks)]
    return {block.name: block for block in blocks if hasattr(block, "columns")}


def points_of(section):
    return "\n".join(text for block in section.blocks for text in getattr(block, "texts", ()))


def column(table, head):
    place = table.columns.index(head)
    return [str(row[place]) for row in table.rows]


def test_raw_readings_of_an_export_have_the_headers_and_cells_of_the_file(tmp_path):
    rows = loop()
    shown = tables(readings.section(study(tmp_path / "gel", text_of([HEAD, UNITS, *rows]).encode("utf-16"))))
    raw, about = shown["readings-1"], shown["data-dictionary"]
    assert column(raw, "Scherrate [1/s], as typed") == [row[2] for row in rows]
    assert column(raw, "Schubspannung [kPa], as typed") == [row[3] for row in rows]
    assert column(raw, "row") == [str(number) for number in range(5, 19)]
    assert column(raw, "run") == ["1"] * 7 + ["2"] * 7
    assert column(raw, "branch") == ["up"] * 7 + ["down"] * 7
    assert [[str(cell) for cell in row[:7]] for row in about.rows] == [
        ["export.txt", "Scherrate", "rate of shear", "γ̇", "1/s", "1/s", "1"],
        ["export.txt", "Schubspannung", "shear stress", "τ", "kPa", "Pa", "1000"],
    ]
    assert "passed over" in about.note


def test_rows_that_were_chosen_are_those_of_the_file(tmp_path):
    rows = loop()
    keys = f'{COLUMNS}\nbranch = "down"'
    raw = tables(readings.section(study(tmp_path / "gel", text_of([HEAD, UNITS, *rows]).encode("utf-16"), keys)))[
        "readings-1"
    ]
    typed, use = column(raw, "Scherrate [1/s], as typed"), column(raw, "use")
    assert [one for one, how in zip(typed, use, strict=True) if how == "read"] == [row[2] for row in rows[7:]]
    assert [one for one, how in zip(typed, use, strict=True) if how == "left out"] == [row[2] for row in rows[:7]]
    assert column(raw, "row") == [str(number) for number in range(5, 19)]


def test_a_column_named_in_another_order_and_thousands_stand_as_typed(tmp_path):
    rows = [
        ("tau in Pa", "n", "rate in 1/s"),
        ("1.212,50", "1", "0,1"),
        ("1.320,00", "2", "1,0"),
        ("1.561,2", "3", "10"),
    ]
    keys = 'columns = {shear_rate = "rate", shear_stress = "tau"}'
    shown = tables(readings.section(study(tmp_path / "gel", text_of(rows).encode("cp1252"), keys)))
    raw = shown["readings-1"]
    assert column(raw, "tau in Pa, as typed") == ["1.212,50", "1.320,00", "1.561,2"]
    assert column(raw, "rate in 1/s, as typed") == ["0,1", "1,0", "10"]
    assert column(shown["data-dictionary"], "header") == ["rate in 1/s", "tau in Pa"]


def test_blocks_of_a_file_are_runs_that_no_header_names(tmp_path):
    rows = loop()
    raw = text_of([HEAD, UNITS, *rows[:7]]) + text_of([HEAD, UNITS, *rows[7:]], above="\nzweiter Lauf\n")
    made = study(tmp_path / "gel", raw.encode("utf-16"))
    shown = tables(readings.section(made))
    assert "run, by the blocks of the file" in shown["readings-1"].columns
    assert column(shown["readings-1"], "branch") == ["up"] * 7 + ["down"] * 7
    assert column(shown["data-dictionary"], "header") == [
        "Scherrate",
        "Schubspannung",
        "none: counted by the blocks of the file",
    ]
    assert column(tables(protocol.section(made))["protocol"], "runs, up or down") == ["2 runs: 1 up, 2 down"]


def test_an_export_of_a_workbook_shows_its_cells(tmp_path):
    book = openpyxl.Workbook()
    for row in [
        ("made", "by hand"),
        ("Scherrate [1/s]", "Schubspannung [Pa]"),
        *((rate, stress(rate)) for rate in RATES),
    ]:
        book.active.append(row)
    held = io.BytesIO()
    book.save(held)
    raw = tables(readings.section(study(tmp_path / "gel", held.getvalue(), name="export.xlsx")))["readings-1"]
    assert [float(cell) for cell in column(raw, "Scherrate [1/s], as typed")] == list(RATES)
    assert not any("\x02" in str(cell) for row in raw.rows for cell in row)


@pytest.mark.slow
def test_runs_and_directions_are_told_alike_in_protocol_residuals_and_checks(tmp_path):
    made = study(tmp_path / "gel", text_of([HEAD, UNITS, *loop()]).encode("utf-16"))
    said = protocol.section(made)
    assert column(tables(said)["protocol"], "runs, up or down") == ["2 runs: 1 up, 2 down"]
    told = points_of(said)
    assert (
        "Direction of the rates or loads: as the files have it, flow curve: shear rate, in the order of the rows, 2 runs: 1 up, 2 down."
        in told
    )
    assert "(direction)" not in told, "the program knows it, so that nobody is asked"
    left = tables(residuals.section(made))["residuals"]
    assert column(left, "run") == ["1"] * 7 + ["2"] * 7
    assert column(left, "branch") == ["up"] * 7 + ["down"] * 7
    read, predicted, u, residual = (
        [float(cell) for cell in column(left, head)] for head in ("read", "predicted", "u", "residual [-]")
    )
    by_hand = [math.log(one / other) * one / error for one, other, error in zip(read, predicted, u, strict=True)]
    assert by_hand == pytest.approx(residual, rel=0.02, abs=0.05), "from the cells as printed"
    factors = tables(estimates.section(made))["run-factors"]
    assert column(factors, "branch") == ["up", "down"]
    assert len(made.fit.problem.runs) == 2
    assert "up and down branch agree" in list(made.fit.checks.question)


def test_what_the_authors_write_of_the_direction_stands_alone(tmp_path):
    made = study(tmp_path / "gel", text_of([HEAD, UNITS, *loop()]).encode("utf-16"))
    (made.book.folder / "plan.toml").write_text('[page.appendix]\ndirection = "up, then down"\n', encoding="utf-8")
    told = points_of(protocol.section(Study(rk.Workbook.open(made.book.folder))))
    assert "Direction of the rates or loads: up, then down" in told
    assert "as the files have it" not in told


def runs_up(count):
    """Return a flow curve of several runs, each up the same rates."""
    rates = list(RATES) * count
    stresses = [stress(rate) for rate in rates]
    return rk.FlowCurve(
        shear_rate=rates, shear_stress=stresses, uncertainty=0.02, run=[k // 7 + 1 for k in range(7 * count)]
    )


def test_many_runs_are_counted_and_a_shuffled_one_has_no_order():
    many = runs_up(3)
    from rheokit.appendix.directions import columns_of, in_words, told_of

    assert in_words(many) == "3 runs: 1 up, 2 up, 3 up"
    assert in_words(runs_up(6)) == "6 runs: 6 up"
    rising = rk.FlowCurve(shear_rate=RATES, shear_stress=[stress(rate) for rate in RATES], uncertainty=0.02)
    assert told_of([rising]) == "flow curve: shear rate, in the order of the rows, up"
    assert told_of([rising, rising, many]) == (
        "2 tests of flow curve, each: shear rate, in the order of the rows, up; "
        "flow curve: shear rate, in the order of the rows, 3 runs: 1 up, 2 up, 3 up"
    )
    mixed = [1.0, 30.0, 0.3, 100.0, 3.0, 0.1, 10.0]
    shuffled = rk.FlowCurve(shear_rate=mixed, shear_stress=[stress(rate) for rate in mixed], uncertainty=0.02)
    assert (in_words(shuffled), told_of([shuffled]), columns_of(shuffled)) == ("one, in no order", "", {})
