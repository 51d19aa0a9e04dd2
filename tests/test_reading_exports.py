"""Instruments' exports: read by naming once which column is which, every value exactly as it was written.

All files are invented, in shapes that exports have: no instrument wrote them. Expected values are the decimal texts of the files.
"""

# ruff: noqa: RUF001  (headers of other scripts)

import io
import subprocess
import sys
from dataclasses import replace
from decimal import Decimal

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rheokit as rk
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files


def bench(raw, keys, name="e.txt", kind="flow curve"):
    toml = f'[specimen]\npaste = "p"\n\n[[test]]\nkind = "{kind}"\nfile = "{name}"\n{keys}\n'
    return read_files(Memory({"bench.toml": toml.encode(), name: raw if isinstance(raw, bytes) else raw.encode()}))


def one(raw, keys, **more):
    (test,) = bench(raw, keys, **more).tests
    return test


def refusal(raw, keys, **more):
    """Return the one line with which a bench is refused."""
    with pytest.raises(rk.ReadingError) as raised:
        bench(raw, keys, **more)
    (line,) = raised.value.faults
    return line


def notes(raw, keys, **more):
    """Return what the notes say of the file."""
    found = bench(raw, keys, **more).origin.notes
    return [note.removeprefix("e.txt, bench.toml, [[test]] 1: ") for note in found if note.startswith("e.")]


def exactly(texts, factor="1"):
    return [float(Decimal(text) * Decimal(factor)) for text in texts.split()]


def table(separator, rows):
    return "".join(separator.join(row) + "\n" for row in rows)


def workbook(rows, merged=()):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for area in merged:
        book.active.merge_cells(area)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


BOTH = 'columns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}'
HEAD = ["No.", "Time", "Shear Rate", "Shear Stress", "Viscosity", "Status"]
UNITS = ["", "[s]", "[1/s]", "[Pa]", "[Pa·s]", ""]
THREE = [
    ["1", "5", "0.1", "12.50", "125", "ok"],
    ["2", "10", "1", "20.75", "20.75", ""],
    ["3", "15", "1e1", "61.2", "6.12", "-"],
]
RATES, STRESSES = "0.1 1 10", "12.50 20.75 61.2"
PREAMBLE = "Project\tInvented paste\nNumber of points\t3\n\n"
UNITS_ROW = PREAMBLE + table("\t", [HEAD, UNITS, *THREE])

SHAPES = {
    "UTF-16 with mark, tabs, preamble, row of units": (UNITS_ROW.encode("utf-16"), BOTH, RATES, STRESSES),
    "UTF-16 little end first, no mark": (UNITS_ROW.encode("utf-16-le"), BOTH, RATES, STRESSES),
    "UTF-16 big end first, no mark": (UNITS_ROW.encode("utf-16-be"), BOTH, RATES, STRESSES),
    "UTF-8 with mark, carriage returns": (b"\xef\xbb\xbf" + UNITS_ROW.replace("\n", "\r\n").encode(), BOTH, RATES, STRESSES),
    "row of units after an empty row": (PREAMBLE + table("\t", [HEAD, [""] * 6, UNITS, *THREE]), BOTH, RATES, STRESSES),
    "row of units without brackets": (table("\t", [HEAD, ["", "s", "1/s", "Pa", "Pa.s", ""], *THREE]), BOTH, RATES, STRESSES),
    "German, semicolons, decimal commas, Windows-1252": (
        "Gerät;erfunden\nMeßzeit in s;Schergeschwindigkeit in 1/s;Schubspannung in Pa;Prüfer\n"
        "1;0,1;12,50;Jörg\n2;1;20,75;\n3;10;61,2;\n".encode("cp1252"),
        'columns = {shear_rate = "schergeschwindigkeit", shear_stress = "Schubspannung"}', RATES, STRESSES),
    "French, row of units, narrow spaces between thousands": (
        "Vitesse de cisaillement\tContrainte\tViscosité\ns⁻¹\tPa\tPa·s\n0,1\t1\u202f212,50\t\n1\t20\u00a0000,75\t\n10\t61,2\t\n",
        'columns = {shear_rate = "Vitesse de cisaillement", shear_stress = "Contrainte"}', RATES, "1212.50 20000.75 61.2"),
    "Japanese, wide brackets": (
        "番号,ずり速度（1/s）,ずり応力（kPa）,粘度（mPa・s）\n1,0.1,0.0125,\n2,1,0.02075,\n3,10,0.0612,\n",
        'columns = {shear_rate = "ずり速度", shear_stress = "ずり応力"}', RATES, STRESSES),
    "Chinese, UTF-16, tabs": (
        "样品\t虚构\n剪切速率 [1/s]\t温度 [°C]\t剪切应力 [Pa]\n0.1\t25.1\t12.50\n1\t25.0\t20.75\n10\t25.0\t61.2\n".encode("utf-16"),
        'columns = {shear_rate = "剪切速率", shear_stress = "剪切应力"}', RATES, STRESSES),
    "signs of mathematics, a stroke before the unit": (
        "γ̇ / s^-1;τ / Pa\n0.1;12.50\n1;20.75\n10;61.2\n", 'columns = {shear_rate = "γ̇", shear_stress = "τ / Pa"}', RATES, STRESSES),
    "commas, quoted cells with commas, points": (
        '"Comment, free","Shear Rate, 1/s","Shear Stress, Pa"\n"a, b",0.1,12.50\n"",1,20.75\n"c ""d""",10,61.2\n',
        BOTH, RATES, STRESSES),
    "a header over two lines in quotes": (
        'No.;"Shear Rate\n[1/s]";"Shear Stress\n[Pa]"\n1;0.1;12.50\n2;1;20.75\n3;10;61.2\n', BOTH, RATES, STRESSES),
    "no unit in the file": (
        "gamma_dot;tau\n0.1;12.50\n1;20.75\n10;61.2\n",
        'columns = {shear_rate = "gamma_dot [1/s]", shear_stress = "tau [Pa]"}', RATES, STRESSES),
    "thousands with commas": (
        table("\t", [["Shear Rate (1/s)", "Shear Stress (Pa)"], ["0.1", "1,212.50"], ["1", "20,000"], ["10", "1,234,567.5"]]),
        BOTH, RATES, "1212.50 20000 1234567.5"),
    "thousands with points": (
        table(";", [["Shear Rate (1/s)", "Shear Stress (Pa)"], ["0,1", "1.212,50"], ["1,0", "20.000"], ["1,00E+01", "61,2"]]),
        BOTH, RATES, "1212.50 20000 61.2"),
    "a row of remarks and an empty row between readings": (
        table("\t", [HEAD, UNITS, THREE[0], ["", "", "---", "---", "", "overload"], THREE[1], [""] * 6, THREE[2]]),
        BOTH, RATES, STRESSES),
    "comment sign before the header": ("# Shear Rate [1/s]\tShear Stress [Pa]\n0.1\t12.50\n1\t20.75\n10\t61.2\n", BOTH, RATES, STRESSES),
    "readings wider than their headers": (
        table("\t", [["Shear Rate [1/s]", "Shear Stress [Pa]"], ["0.1", "12.50", "ok"], ["1", "20.75", "ok"], ["10", "61.2", "M"]]),
        BOTH, RATES, STRESSES),
}  # fmt: skip


@pytest.mark.parametrize("shape", SHAPES)
def test_an_export_is_read_exactly_by_one_entry(shape):
    raw, keys, rates, stresses = SHAPES[shape]
    test = one(raw, keys)
    np.testing.assert_array_equal(test.shear_rate, exactly(rates))
    np.testing.assert_array_equal(test.shear_stress, exactly(stresses))


@pytest.mark.parametrize("shape", SHAPES)
def test_an_unchanged_export_is_written_byte_for_byte_and_a_changed_one_reads_as_written(shape):
    raw, keys, _, _ = SHAPES[shape]
    found = bench(raw, keys)
    assert bench_files(found) == found.origin.files
    (test,) = found.tests
    fewer = rk.Bench(found.specimen, [test.where(np.arange(3) != 1)], found.origin)
    files = bench_files(fewer)
    assert files["e.txt"] == found.origin.files["e.txt"]  # only which rows count is said
    np.testing.assert_array_equal(read_files(Memory(files)).tests[0].shear_stress, test.shear_stress[[0, 2]])
    other = rk.Bench(found.specimen, [replace(test, shear_stress=test.shear_stress * [1, 1.5, 1])], found.origin)
    files = bench_files(other)
    assert "columns" not in files["bench.toml"].decode()
    assert set(files) == {"bench.toml", "flow-curve.csv"}
    again = read_files(Memory(files)).tests[0]
    np.testing.assert_array_equal(again.shear_stress, test.shear_stress * [1, 1.5, 1])
    np.testing.assert_array_equal(again.shear_rate, test.shear_rate)


@pytest.mark.parametrize("shape", SHAPES)
def test_what_is_proposed_for_an_export_reads_it(shape):
    raw, _, rates, stresses = SHAPES[shape]
    found = rk.reading.proposal(raw if isinstance(raw, bytes) else raw.encode(), file="e.txt")
    if shape == "no unit in the file":
        assert not found.complete
        assert any('if it is 1/s, write shear_rate = "gamma_dot [1/s]"' in problem for problem in found.problems)
        return
    assert found.complete, found.problems
    assert found.count == 3
    test = one(raw, next(line for line in found.toml.splitlines() if line.startswith("columns")))
    np.testing.assert_array_equal(test.shear_rate, exactly(rates))
    np.testing.assert_array_equal(test.shear_stress, exactly(stresses))


@pytest.mark.parametrize(
    ("encoding", "rate", "stress"),
    [
        ("cp932", "ずり速度", "ずり応力"),
        ("gb18030", "剪切速率", "剪切应力"),
        ("cp1251", "Скорость сдвига", "Напряжение сдвига"),
        ("cp1250", "Prędkość ścinania", "Naprężenie ścinające"),
        ("cp949", "전단속도", "전단응력"),
    ],
)
def test_the_names_of_headers_tell_the_encoding_of_an_older_file(encoding, rate, stress):
    raw = f"No;{rate} (1/s);{stress} (Pa)\n1;0,1;12,50\n2;1;20,75\n3;10;61,2\n".encode(encoding)
    keys = f'columns = {{shear_rate = "{rate}", shear_stress = "{stress}"}}'
    np.testing.assert_array_equal(one(raw, keys).shear_stress, exactly(STRESSES))
    assert notes(raw, keys)[0].startswith("it was read as ")


# --- workbooks ------------------------------------------------------------------------------------------------------

SHEET = [
    ["Project", "Invented"],
    [],
    ["Shear Rate", "Remark", "Shear Stress", "When"],
    ["1/s", None, "kPa", None],
    [0.1, "a", 1.25, None],
    [1, None, "2,075.5", "n/a"],
    [10, "=1+1", 6.12, None],
]


def test_a_workbook_is_read_by_the_same_keys():
    test = one(workbook(SHEET, merged=["A1:D1"]), BOTH, name="e.xlsx")
    np.testing.assert_array_equal(test.shear_rate, [0.1, 1.0, 10.0])
    np.testing.assert_array_equal(test.shear_stress, exactly("1.25 2075.5 6.12", "1000"))
    assert list(test.row_numbers) == [5, 6, 7]
    found = rk.reading.proposal(workbook(SHEET))
    assert found.complete
    assert (found.header_row, found.unit_row, found.count) == (3, 4, 3)


def test_a_workbook_that_is_ticked_keeps_its_file_and_a_changed_one_becomes_a_plain_table():
    found = bench(workbook(SHEET), BOTH, name="e.xlsx")
    assert bench_files(found) == found.origin.files
    (test,) = found.tests
    files = bench_files(rk.Bench(found.specimen, [test.where([True, False, True])], found.origin))
    assert files["e.xlsx"] == found.origin.files["e.xlsx"]
    assert 'rows = "5, 7"' in files["bench.toml"].decode()
    files = bench_files(rk.Bench(found.specimen, [replace(test, shear_stress=test.shear_stress * 2)], found.origin))
    assert files["flow-curve.csv"].decode().splitlines()[0] == "shear rate [1/s], shear stress [kPa]"


def test_a_formula_without_result_counts_only_in_a_named_column():
    rows = [*SHEET[:6], [10, None, "=2*3", None]]
    assert refusal(workbook(rows), BOTH, name="e.xlsx") == (
        "e.xlsx, row 7, column 3 (Shear Stress): the formula '=2*3' was saved without its result; open the workbook, save it, or "
        "paste the values"
    )


# --- blocks, runs, rows ---------------------------------------------------------------------------------------------

BLOCK = [["", "Interval", "data"], HEAD, UNITS, *THREE]
SWAPPED = [["1", "", "", "", "", ""], [*HEAD[:2], "Shear Stress", "Shear Rate"], ["", "[s]", "[Pa]", "[1/s]"]]
BLOCKS = table("\t", [*BLOCK, [""], ["Points", "", "2", ""], *SWAPPED, ["1", "5", "61", "10"], ["2", "9", "13", "0.1"]])


def test_blocks_are_runs_each_read_by_its_own_header():
    test = one(BLOCKS, BOTH)
    np.testing.assert_array_equal(test.shear_rate, [0.1, 1, 10, 10, 0.1])
    np.testing.assert_array_equal(test.shear_stress, [12.5, 20.75, 61.2, 61, 13])
    np.testing.assert_array_equal(test.run, [1, 1, 1, 2, 2])
    assert list(test.row_numbers) == [4, 5, 6, 12, 13]
    assert notes(BLOCKS, BOTH)[-1] == "2 blocks of readings below the headers in rows 2, 10; each block is a run."
    assert list(one(BLOCKS, BOTH + "\nruns = [2]").shear_stress) == [61, 13]
    assert list(one(BLOCKS, BOTH + '\nbranch = "up"').shear_stress) == [12.5, 20.75, 61.2]
    assert list(one(BLOCKS, BOTH + '\nrows = "5-6, 13"').shear_stress) == [20.75, 61.2, 13]


def test_blocks_in_other_units_are_refused_together_and_read_alone():
    other = BLOCKS.replace("[Pa]\t[1/s]", "[kPa]\t[1/s]")
    assert refusal(other, BOTH) == (
        "e.txt, bench.toml, [[test]] 1: 'Shear Stress' is below row 2 in [Pa] and below row 10 in [kPa]; read one unit at a time: "
        'rows = "4-6" in its [[test]], the others in another'
    )
    np.testing.assert_array_equal(one(other, BOTH + '\nrows = "12-13"').shear_stress, [61000, 13000])


STRANGE = [["No.", "Time", "Strain", "Modulus"], ["1", "2", "0.5", "1200"]]


def test_a_table_with_other_headers_is_passed_over_and_a_note_says_so():
    raw = table("\t", [HEAD, UNITS, *THREE, [""], ["Step", "", "", ""], *STRANGE])
    assert list(one(raw, BOTH).shear_stress) == [12.5, 20.75, 61.2]
    assert notes(raw, BOTH)[-1] == "another table begins in row 8, with other headers, and was passed over: rows 8-9."


def test_an_empty_row_parts_a_table_with_other_headers():
    raw = table("\t", [HEAD, UNITS, *THREE]) + "\n" + table("\t", STRANGE)
    assert list(one(raw, BOTH).shear_stress) == [12.5, 20.75, 61.2]


def test_a_row_of_words_and_numbers_below_the_readings_is_refused_unless_rows_choose():
    """A mean, and what stands above the next block."""
    curve = [
        ["Time", "Shear Rate [1/s]", "Shear Stress [Pa]"],
        ["1", "0.1", "12.5"],
        ["2", "1", "20.75"],
        ["3", "10", "61.2"],
    ]
    raw = table(
        "\t", [*curve, ["Mean", "3.7", "31.5"], ["Interval", "2", "3"], *curve[:1], ["1", "2", "30"], ["2", "3", "31"]]
    )
    with pytest.raises(rk.ReadingError) as raised:
        bench(raw, BOTH)
    assert list(raised.value.faults) == [
        f"e.txt, row {row}: '{words}' stands before its numbers, so it may be no reading; choose the rows that are: "
        'rows = "2-4, 8-9" in its [[test]]'
        for row, words in ((5, "Mean"), (6, "Interval"))
    ]
    assert list(one(raw, BOTH + '\nrows = "2-4, 8-9"').shear_stress) == [12.5, 20.75, 61.2, 30, 31]
    assert list(one(raw, BOTH + '\nrows = "2-5"').shear_stress) == [12.5, 20.75, 61.2, 31.5]


def test_what_may_be_another_header_or_a_remark_is_refused():
    raw = table("\t", [HEAD, UNITS, *THREE, *STRANGE])
    assert refusal(raw, BOTH) == (
        "e.txt, row 7: row 6 looks like another header than that of row 1, so this row cannot be read by it; choose the rows of one "
        'of them, such as rows = "3-5" in its [[test]]; if it is a remark among the readings, write rows = "3-5, 7" in its [[test]]'
    )
    assert list(one(raw, BOTH + '\nrows = "3-5"').shear_stress) == [12.5, 20.75, 61.2]


def test_what_is_wrong_with_a_run_that_is_not_asked_for_does_not_count():
    wrong = BLOCKS.replace("13\t0.1", "0\t-0.1")
    assert "is negative" in refusal(wrong, BOTH)
    assert list(one(wrong, BOTH + "\nruns = [1]").shear_stress) == [12.5, 20.75, 61.2]


def test_a_proposal_leaves_out_runs_that_cannot_be_read():
    found = rk.reading.proposal(BLOCKS.replace("13\t0.1", "0\t0.1").encode(), file="e.txt")
    assert found.complete
    assert found.toml.endswith("runs = [1]\n")
    assert found.problems[0] == "left out: run 2, since e.txt, row 13: shear stress is 0, which has no relative error"
    assert [(run.number, run.way, run.rows, run.settings) for run in found.runs] == [
        (1, "up", "4-6", "shear rate 0.1 to 10 1/s")
    ]


PLAIN = "shear rate [1/s], shear stress [Pa], Status\n1, 10, ok\n10, 20, ok\n100, 30, ok\n10, 21, ok\n1, 11, ok\n"


def test_rows_runs_and_columns_of_a_plain_table_are_chosen():
    assert list(one(PLAIN, 'ignore = ["status"]').shear_stress) == [10, 20, 30, 21, 11]
    ignore = 'ignore = "Status"\n'
    assert list(one(PLAIN, ignore + "runs = [2]").shear_stress) == [21, 11]
    assert list(one(PLAIN, ignore + 'branch = "up"').shear_stress) == [10, 20, 30]
    assert list(one(PLAIN, ignore + 'rows = "2, 4-5"').shear_stress) == [10, 30, 21]


def test_a_plain_table_with_a_column_passed_over_is_changed_in_place():
    found = bench(PLAIN, 'ignore = ["Status"]')
    (test,) = found.tests
    files = bench_files(rk.Bench(found.specimen, [test.where(test.shear_rate > 1)], found.origin))
    assert files["e.txt"].decode() == PLAIN.replace("1, 10, ok\n", "", 1).replace("1, 11, ok\n", "")


def test_a_plain_table_of_which_rows_were_chosen_says_which_count_when_ticked():
    found = bench(PLAIN, 'ignore = ["Status"]\nbranch = "up"')
    (test,) = found.tests
    files = bench_files(rk.Bench(found.specimen, [test.where(test.shear_rate > 1)], found.origin))
    assert files["e.txt"].decode() == PLAIN
    assert 'rows = "3-4"' in files["bench.toml"].decode()
    assert "branch" not in files["bench.toml"].decode()


def test_two_tests_read_different_rows_of_one_file_and_never_the_same():
    def entries(first, second):
        entry = f'[[test]]\nkind = "flow curve"\nfile = "e.txt"\n{BOTH}\n'
        return {"bench.toml": f"{entry}{first}\n{entry}{second}\n".encode(), "e.txt": BLOCKS.encode()}

    up, down = read_files(Memory(entries("runs = [1]", "runs = [2]"))).tests
    assert (len(up.readings), len(down.readings)) == (3, 2)
    with pytest.raises(rk.ReadingError) as raised:
        read_files(Memory(entries("runs = [1]", 'rows = "6-12"')))
    (line,) = raised.value.faults
    assert line == (
        "bench.toml, [[test]] 2: [[test]] 1 reads row 6 of 'e.txt' too: readings count once; choose other rows, runs or another branch "
        "for one of them"
    )


# --- refused, each with its place and remedy ------------------------------------------------------------------------

TOP = table("\t", [HEAD, UNITS])
ROW = "1\t5\t0.1\t12.5\t\t\n"
IN_TEST = "e.txt, bench.toml, [[test]] 1: "
REFUSED = {
    "cells parted by another sign in one row": (
        "Shear Rate [1/s];Shear Stress [Pa]\n0.1;12\n1\t20\n10;30\n", BOTH,
        r"e.txt, row 3: '1\t20' holds numbers parted by tabs, but the headers in row 1 are not; use one sign in a file, or choose other "
        "rows with rows = in its [[test]]"),
    "cells parted by another sign in all rows": (
        "Shear Rate [1/s];Shear Stress [Pa]\n0.1\t12\n1\t20\n", BOTH,
        r"e.txt: row 1 holds headers parted by semicolons, but row 2 ('0.1\t12') numbers parted by tabs; use one sign in a file"),
    "no number below": (
        TOP + "1\t5\t-\t-\n", BOTH,
        "e.txt: row 1 holds the headers, but no row below has a number under each of them; there are no readings to take, or columns "
        "names the wrong headers"),
    "marked numbers alone": (
        TOP + "1\t5\t4*\t66*\n", BOTH,
        "e.txt: row 1 holds the headers, but no row below has a number under each of them: row 3 has '4*', which is no plain number; "
        "mend it"),
    "one sign for decimals and thousands": (
        TOP + ROW, BOTH + '\ndecimal = "point"\nthousands = "point"',
        IN_TEST + "decimal and thousands are both 'point': one sign cannot part both; take out the one that is wrong"),
    "another unit in columns than in the row of units": (
        TOP + ROW, BOTH.replace("Shear Stress", "Shear Stress [kPa]"),
        IN_TEST + "columns says 'Shear Stress [kPa]', but row 2, column 4 says '[Pa]' below 'Shear Stress'; correct the one that is wrong"),
    "a unit with a number": (
        "Shear Rate [1/s]\tShear Stress [10^3 Pa]\n1\t2\n", BOTH,
        "e.txt: row 1, column 2 ('Shear Stress [10^3 Pa]'): the unit [10^3 Pa] is not understood: a unit is names with one-digit powers, "
        "such as mm/s, N/mm2, kg/m3 or s-1, without arithmetic; export it in a unit that is understood"),
    "a unit of something else in brackets": (
        "Shear Rate [rad/s]\tShear Stress [Pa]\n1\t2\n", BOTH,
        "e.txt: row 1, column 1 ('Shear Rate [rad/s]'): the unit [rad/s] is not that of a rate: write 1/s or 1/min; export it in a unit "
        "that is understood"),
    "a header with more words": (
        "Shear Rate (set) [1/s]\tShear Stress [Pa]\n1\t2\n", BOTH,
        "e.txt: row 1 holds 'Shear Stress' but not 'Shear Rate'; did you mean 'Shear Rate (set) [1/s]'?; its headers are "
        "'Shear Rate (set) [1/s]', 'Shear Stress [Pa]'"),
    "a run with decimals": (
        TOP + ROW, BOTH + "\nruns = [1.5, \"a\"]",
        "bench.toml, [[test]] 1: runs = [1.5, 'a'] must be a list of their numbers, such as runs = [1, 3]"),
    "decimal commas between commas": (
        "No.,Shear Rate [1/s],Shear Stress [Pa]\n1,0,1,12,5\n", BOTH,
        "e.txt, row 2: 5 cells under 3 headers ('1,0,1,12,5'); a decimal comma needs semicolons or tabs between the columns; mend the row, "
        "or choose others with rows = in its [[test]]"),
    "a row of units one column off": (
        table("\t", [HEAD, [*UNITS[1:], ""], THREE[0]]), BOTH,
        "e.txt: row 2, column 3 ('[Pa]' below 'Shear Rate'): the unit [Pa] is not that of a rate: write 1/s or 1/min; if the row of units "
        'stands beside its columns, write the unit behind the words in columns, such as shear_rate = "Shear Rate [1/s]"'),
    "two units of one column": (
        table("\t", [[*HEAD[:3], "Shear Stress [kPa]"], UNITS[:4], THREE[0][:4]]), BOTH,
        "e.txt: row 1, column 4 ('Shear Stress [kPa]') has its unit, but row 2, column 4 says '[Pa]'; correct the one that is wrong"),
    "a hole": (
        TOP + ROW + "2\t9\t\t20\t\t\n" + ROW.replace("0.1", "2"), BOTH,
        "e.txt, row 4, column 3 (Shear Rate): '' is no number, but '20' stands under 'Shear Stress'; mend it, or choose rows without it: "
        'rows = "3, 5" in its [[test]]'),
    "a remark for a number": (
        TOP + ROW + "2\t9\t1\toverload\t\t\n" + ROW.replace("0.1", "2"), BOTH,
        "e.txt, row 4, column 4 (Shear Stress): 'overload' is no number, but '1' stands under 'Shear Rate'; mend it, or choose rows without "
        'it: rows = "3, 5" in its [[test]]'),
    "decimals or thousands": (
        TOP + ROW.replace("12.5", "2,000").replace("0.1", "1"), BOTH,
        "e.txt: row 3, column 4 (Shear Stress): '2,000' can be a decimal or a thousand; write decimal = \"comma\" or thousands = \"comma\" in "
        "its [[test]]"),
    "two decimal signs": (
        TOP + ROW.replace("12.5", "2,05"), BOTH,
        "e.txt: row 3, column 4 (Shear Stress): '2,05' has a decimal comma but row 3, column 3 (Shear Rate) has '0.1' with a decimal point; "
        "use one decimal sign in a file"),
    "a sign between thousands in some numbers alone": (
        TOP + ROW.replace("12.5", "2,000") + ROW.replace("12.5", "2000.5"), BOTH,
        "e.txt: row 3, column 4 (Shear Stress): '2,000' has another sign than the decimals of this file, but row 4, column 4 (Shear Stress) "
        "has '2000.5' without one between thousands; write decimal = \"point\" in its [[test]] if it parts thousands, else correct it"),
    "thousands that are none": (
        TOP + ROW.replace("12.5", "1,23,456.5"), BOTH,
        "e.txt: row 3: '1,23,456.5' is no number with commas between thousands; correct it"),
    "two columns of one name": (
        "Shear Rate [1/s]\tShear Stress [Pa]\tShear Stress [kPa]\n1\t2000\t2\n", BOTH,
        "e.txt: row 1: shear_stress = 'Shear Stress' in columns is column 2 ('Shear Stress [Pa]') and column 3 ('Shear Stress [kPa]'); name "
        "the one that is meant as it stands, with its unit"),
    "no unit": (
        "Shear Rate\tShear Stress [Pa]\n1\t2000\n", BOTH,
        "e.txt: row 1, column 1 ('Shear Rate') has no unit, in its header or below; write it behind the words in columns, such as "
        'shear_rate = "Shear Rate [1/s]"'),
    "a header that is not there": (
        "Shear Rate [1/s]\tSheer Stress [Pa]\n1\t2000\n", BOTH,
        "e.txt: row 1 holds 'Shear Rate' but not 'Shear Stress'; did you mean 'Sheer Stress [Pa]'?; its headers are 'Shear Rate [1/s]', "
        "'Sheer Stress [Pa]'"),
    "one cell for two names": (
        "Shear Rate [1/s]\n1\n", 'columns = {shear_rate = "Shear Rate", shear_stress = "shear rate"}',
        "e.txt: row 1 holds every header that columns names, but not each in a cell of its own; name them as they stand in the file, each "
        "with its unit"),
    "no header at all": (
        "a\tb\n1\t2000\n", BOTH,
        IN_TEST + "no row of 2 holds the header 'Shear Rate' or 'Shear Stress'; write in columns the words of its headers as they stand in "
        "the file"),
    "a quantity that is none": (
        TOP + ROW, BOTH.replace("shear_rate", "shear_rat"),
        "bench.toml, [[test]] 1: columns: 'shear_rat' is not a column of a flow curve; did you mean 'shear_rate'?; it reads time, stroke, "
        "temperature, water_content, age, run_order, run, shear_rate, shear_stress, uncertainty, relative_uncertainty"),
    "a quantity that is missing": (
        TOP + ROW, 'columns = {shear_rate = "Shear Rate"}',
        "e.txt, row 1: no column shear stress; name it in columns"),
    "names that are no table": (
        TOP + ROW, 'columns = "Shear Rate"',
        "bench.toml, [[test]] 1: columns = 'Shear Rate' must name the header of each column, such as columns = {shear_rate = \"Shear Rate\", "
        'shear_stress = "Shear Stress"}'),
    "rows that are none": (
        TOP + ROW, BOTH + '\nrows = "3, 7-9"',
        "bench.toml, [[test]] 1: rows: 7-9 names no row with readings; they stand in row 3"),
    "rows in words": (
        TOP + ROW, BOTH + '\nrows = "all"',
        "bench.toml, [[test]] 1: rows = 'all' must be numbers of rows as they stand in the file, such as rows = \"12-45, 50\""),
    "a run that is none": (
        TOP + ROW, BOTH + "\nruns = [4]",
        "bench.toml, [[test]] 1: runs = [4]: there is no run 4; there are run 1 in row 3"),
    "a branch that is none": (
        TOP + ROW + ROW.replace("0.1", "1"), BOTH + '\nbranch = "down"',
        "bench.toml, [[test]] 1: branch = 'down': no settings go down in run 1 in rows 3-4, up"),
    "a negative rate": (
        TOP + ROW + ROW.replace("0.1", "-1"), BOTH,
        "e.txt, row 4, column 3 (Shear Rate): '-1' is negative; correct it, or leave the row out with rows = in its [[test]]"),
    "an export as a plain table": (
        PREAMBLE + TOP + ROW, "",
        IN_TEST + "it is no plain table but an instrument's export (headers in row 4, units in row 5); say in its [[test]] which column is "
        'which, if this is right: columns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}'),
    "an export in UTF-16 as a plain table": (
        (PREAMBLE + TOP + ROW).encode("utf-16"), "",
        IN_TEST + "it is no plain table but an instrument's export (UTF-16 text, headers in row 4, units in row 5); say in its [[test]] which "
        'column is which, if this is right: columns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}'),
    "a million rows": (
        TOP + ROW * 1_000_000, BOTH,
        IN_TEST + "has 1000002 lines; 200000 at most: take the steady readings, not the raw log"),
    "rows of headers without end": (
        "Shear Rate [1/s]\tShear Stress [Pa]\n1\t2\n" * 5000, BOTH,
        IN_TEST + "holds 5000 rows of headers; 1000 at most: take the curves that are meant into a file of their own"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_read_is_refused_with_place_and_remedy(case):
    raw, keys, words = REFUSED[case]
    assert refusal(raw, keys) == words


def test_a_row_of_units_that_stands_beside_its_columns_is_overruled_by_name():
    raw = table("\t", [HEAD, [*UNITS[1:], ""], *THREE])
    keys = 'columns = {shear_rate = "Shear Rate [1/s]", shear_stress = "Shear Stress [kPa]"}'
    np.testing.assert_array_equal(one(raw, keys).shear_stress, exactly(STRESSES, "1000"))
    assert notes(raw, keys)[1:] == [
        "'Shear Rate' was read in 1/s, as columns says; row 2, column 3 of the file says '[Pa]'.",
        "'Shear Stress' was read in kPa, as columns says; row 2, column 4 of the file says '[Pa·s]'.",
    ]


def test_a_sign_that_stands_twice_in_a_number_parts_thousands():
    assert list(one(TOP + ROW.replace("12.5", "1,234,567").replace("0.1", "1"), BOTH).shear_stress) == [1234567.0]


def test_a_pressure_says_from_which_zero():
    keys = 'columns = {pressure = "P", flow_rate = "Q"}\nbore = "2 mm"\nlength = "20 mm"\nread = "pressure"'
    raw = "P [bar]\tQ [mL/min]\n2\t3\n3\t5\n"
    assert refusal(raw, keys, kind="pressure run") == (
        "bench.toml, [[test]] 1: columns: pressure does not say from which zero: write gauge_pressure or absolute_pressure"
    )
    gauge, absolute = (
        one(raw, keys.replace("{pressure", "{" + zero + "_pressure"), kind="pressure run").pressure
        for zero in ("gauge", "absolute")
    )
    np.testing.assert_array_equal(gauge, [200000.0, 300000.0])
    np.testing.assert_allclose(gauge - absolute, 101325.0)


@pytest.mark.parametrize("stated", ['decimal = "point"', 'thousands = "comma"'])
def test_a_doubt_about_numbers_is_settled_by_its_remedy(stated):
    raw = TOP + ROW.replace("12.5", "2,000").replace("0.1", "1")
    assert list(one(raw, f"{BOTH}\n{stated}").shear_stress) == [2000.0]
    assert list(one(raw, BOTH + '\ndecimal = "comma"').shear_stress) == [2.0]


@pytest.mark.parametrize(
    "raw", [b"", b"\0\1\2" * 50, b"PK\3\4 no book", b"\xff\xfe\0", b"words alone", "ü".encode("cp1252")]
)
def test_a_proposal_says_what_it_cannot_understand(raw):
    found = rk.reading.proposal(raw)
    assert not found.complete
    assert found.problems
    assert str(found)


def test_a_proposal_needs_a_file_and_a_kind(tmp_path):
    with pytest.raises(rk.DataError, match="there is no such file"):
        rk.reading.proposal(tmp_path / "none.txt")
    with pytest.raises(rk.DataError, match=r"there is no kind of test .flow curv.; did you mean"):
        rk.reading.proposal(b"", "flow curv")


def test_a_proposal_shows_the_first_of_several_blocks_and_every_run():
    longer = table("\t", [HEAD, UNITS, *THREE, THREE[0], ["5", "9", "2", "25", "12", ""]])
    found = rk.reading.proposal((table("\t", [HEAD, UNITS, *THREE]) + "\n" + longer).encode(), file="e.txt")
    assert (found.header_row, found.unit_row, found.count, len(found.runs)) == (1, 2, 8, 2)


def test_a_proposal_names_what_is_open():
    two = "Shear Rate [1/s]\tUpper [Pa]\tLower [Pa]\n1\t2\t3\n2\t3\t4\n"
    found = rk.reading.proposal(two.encode(), file="e.txt")
    assert found.problems == (
        "shear stress is open: column 2 ('Upper [Pa]') or column 3 ('Lower [Pa]') have its unit; name the one that is meant",
    )
    assert found.toml.splitlines()[-1] == (
        '# columns = {shear_rate = "Shear Rate [1/s]", shear_stress = ""}   # fill in and take the # away'
    )
    assert [one.quantity for one in found.columns] == ["shear_rate", "", ""]


def test_a_proposal_reads_a_file_from_disk_for_other_kinds(tmp_path):
    (tmp_path / "press.csv").write_text(
        "Test;press 3\n\nWeg in mm;Geschwindigkeit in mm/s;Kraft in N\n1;0,1;12,5\n2;1;20\n"
    )
    found = rk.reading.proposal(tmp_path / "press.csv", "syringe force")
    assert found.complete
    assert 'columns = {plunger_speed = "Geschwindigkeit in mm/s", force = "Kraft in N"}' in found.toml


def test_help_says_how_an_export_is_read():
    assert "columns = {shear_rate" in rk.reading.__doc__
    assert "rows = " in rk.reading.__doc__


# --- any export -----------------------------------------------------------------------------------------------------

NUMBERS = st.decimals(min_value="0.001", max_value="5000", places=3)
FILLED = {"point": ("", "."), "comma": ("", ","), "points": (".", ","), "commas": (",", "."), "spaces": ("\u202f", ",")}


def typed(number, style):
    """Return a number as a file of one style has it."""
    group, decimal = FILLED[style]
    whole, rest = f"{number:,}".split(".")
    return whole.replace(",", group) + decimal + rest


@st.composite
def exports(draw):
    """Return the bytes of an export, its rates and stresses as Decimals, and the factor of its stresses."""
    sign = draw(st.sampled_from("\t;"))
    style, unit = draw(st.sampled_from(sorted(FILLED))), draw(st.sampled_from(["Pa", "kPa"]))
    below, named = draw(st.booleans()), ["Shear Rate", "Shear Stress"]
    heads = (
        named
        if below
        else [f"{named[0]} (1/s)", draw(st.sampled_from(["{} [{}]", "{} in {}", "{}, {}"])).format(named[1], unit)]
    )
    order = draw(st.permutations(["No.", heads[0], "Viscosity", heads[1], "Status"]))
    units = {heads[0]: "[s⁻¹]", heads[1]: f"[{unit}]", "Viscosity": "[Pa·s]"}
    count = draw(st.integers(3, 8))
    rates = draw(st.lists(NUMBERS, min_size=count, max_size=count, unique=True))
    stresses = draw(st.lists(NUMBERS, min_size=count, max_size=count, unique=True))
    rates[0], stresses[0] = Decimal("12345.678"), Decimal("0.125")  # which leave no doubt of the style
    lines = draw(st.lists(st.sampled_from(["Sample" + sign + "invented", "", "Date" + sign + "today"]), max_size=4))
    lines += [sign.join(order), *([sign.join(units.get(head, "") for head in order)] if below else [])]
    for k, (rate, stress) in enumerate(zip(rates, stresses, strict=True)):
        cells = {
            "No.": str(k),
            heads[0]: typed(rate, style),
            heads[1]: typed(stress, style),
            "Viscosity": "",
            "Status": "ok",
        }
        lines.append(sign.join(cells[head] for head in order))
        if draw(st.booleans()):
            lines.append("")
    end = draw(st.sampled_from(["\n", "\r\n"]))
    raw = (end.join(lines) + end).encode(
        draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"]))
    )
    return raw, rates, stresses, Decimal(1000 if unit == "kPa" else 1)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(exports(), st.data())
def test_any_export_is_read_exactly_and_comes_back_as_it_was_written(export, data):
    raw, rates, stresses, factor = export
    found = bench(raw, BOTH)
    (test,) = found.tests
    np.testing.assert_array_equal(test.shear_rate, [float(rate) for rate in rates])
    np.testing.assert_array_equal(test.shear_stress, [float(stress * factor) for stress in stresses])
    assert bench_files(found) == found.origin.files
    keep = np.array(data.draw(st.lists(st.booleans(), min_size=len(rates), max_size=len(rates)).filter(any)))
    changed = test.where(keep)
    if data.draw(st.booleans()):
        changed = replace(changed, shear_stress=changed.shear_stress * np.linspace(1.1, 1.7, keep.sum()))
    again = read_files(Memory(bench_files(rk.Bench(found.specimen, [changed], found.origin)))).tests[0]
    np.testing.assert_array_equal(again.shear_rate, changed.shear_rate)
    np.testing.assert_array_equal(again.shear_stress, changed.shear_stress)


LIMIT = """
import time
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
toml = b'[[test]]\\nkind = "flow curve"\\nfile = "e.txt"\\ncolumns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}'
raw = ("No.;Shear Rate [1/s];Shear Stress [Pa];Status\\n" + "".join(f"{k};{k % 900 + 1},5;1.{k % 977:03},25;ok\\n" for k in range(99000))).encode("utf-16")
begin = time.process_time()
(test,) = read_files(Memory({"bench.toml": toml, "e.txt": raw})).tests
peak = next(int(line.split()[1]) for line in open("/proc/self/status", encoding="ascii") if line.startswith("VmHWM:"))
print(len(test.readings), time.process_time() - begin, peak / 1024)
"""


@pytest.mark.slow
def test_the_largest_export_is_read_within_5_s_and_500_mb():
    told = subprocess.run([sys.executable, "-c", LIMIT], capture_output=True, text=True, check=True).stdout
    count, seconds, megabytes = map(float, told.split())
    assert count == 99000
    assert seconds < 5
    assert megabytes < 500


GERMAN = "Messpunkt;Scherrate;Schubspannung;Viskosität\n[];[1/s];[Pa];[Pa·s]\n1;1,500;4,433;2,9555\n2;2,609;7,068;2,7093\n3;4,538;11,288;2,4877\n"


def test_a_column_that_is_not_read_settles_which_sign_parts_decimals(tmp_path):
    """ "1,500" alone can be a thousand; 2,9555 in the same row cannot. A day and month beside it settle nothing."""
    stated = '[[test]]\nkind = "flow curve"\nfile = "c.csv"\nuncertainty = "2 %"\ncolumns = {shear_rate = "Scherrate", shear_stress = "Schubspannung"}\n'
    (tmp_path / "bench.toml").write_text(f'[specimen]\npaste = "gel"\n{stated}', "utf-8")
    (tmp_path / "c.csv").write_text(GERMAN, "utf-8")
    (test,) = rk.read_bench(tmp_path).tests
    assert test.shear_rate.tolist() == [1.5, 2.609, 4.538]
    without = "\n".join(line.replace("11,288", "1,288").rpartition(";")[0] + ";18.05" for line in GERMAN.splitlines())
    (tmp_path / "c.csv").write_text(
        without.replace("Schubspannung;18.05", "Schubspannung;Tag").replace("[Pa];18.05", "[Pa];[]"), "utf-8"
    )
    with pytest.raises(rk.DataError, match="can be a decimal or a thousand"):
        rk.read_bench(tmp_path)
