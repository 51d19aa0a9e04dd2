"""Small files that would eat a machine are answered soon and in little memory, and a workbook says where it is odd.

Kind: measured, against a bound of five seconds and 500 MB for a file under one megabyte; the messages are exact.
"""

import io
import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import openpyxl.chart
import pytest

import rheokit as rk
from rheokit.reading.tables import read_csv
from rheokit.reading.workbook import Workbook

EATERS = Path(__file__).with_name("eaters.py")
HEADER = ["shear rate [1/s]", "shear stress [Pa]"]


def test_small_files_that_eat_the_machine(tmp_path):
    """All are read in one process, so the memory of the last one is the most of any."""
    done = subprocess.run(
        [sys.executable, EATERS, tmp_path],
        capture_output=True,
        text=True,
        timeout=300,
        env=os.environ | {"OMP_NUM_THREADS": "1"},
    )
    assert done.returncode == 0, done.stderr
    answers = [line.split("\t") for line in done.stdout.splitlines()]
    assert len(answers) > 20
    for seconds, most, name, told in answers:
        assert float(seconds) < 5, (name, seconds)
        assert float(most) < 500, (name, most)
        assert told, name
    told = {name: words for _, _, name, words in answers}
    assert told["workbook: a workbook of one sheet"] == "1 readings"
    assert told["text: bounds"] == "99000 readings"
    assert told["toml: segments"] == (
        "bench.toml, [[test]] 1: nozzle has 4000 segments; 20 at most: a taper is one segment"
    )
    assert told["toml: dotted keys"] == (
        "bench.toml: it is not valid TOML: the key 'a.a.a.a.a.a.a.a.' has more than 8 parts between points (line 1)"
    )
    assert told["workbook: many parts"] == (
        "t.xlsx, bench.toml, [[test]] 1: is a ZIP archive of more than 2000 files, and no workbook of readings"
    )


def saved(book):
    raw = io.BytesIO()
    book.save(raw)
    return raw.getvalue()


def sheet_with(cells, rows=((1, 20), (2, 30))):
    """Return a workbook of a header, rows, and cells by their reference."""
    book = openpyxl.Workbook()
    for row in (HEADER, *rows):
        book.active.append(row)
    for place, value in cells.items():
        book.active[place] = value
    return saved(book)


@pytest.mark.parametrize(("cells", "words"), [
    ({"AP2": 7}, "row 2, column 42: something stands beyond column 40; 40 columns at most"),
    ({"XFD3": "x"}, "row 3, column 16384: something stands beyond column 40; 40 columns at most"),
    ({"B2": "=1/0"}, "row 2, column 2: the formula '=1/0' was saved without its result; open the workbook, save it, or paste the values"),
])  # fmt: skip
def test_a_cell_of_a_workbook_is_named_where_it_stands(cells, words):
    with pytest.raises(rk.DataError) as caught:
        Workbook(sheet_with(cells)).table()
    assert str(caught.value) == words


def test_one_stray_cell_in_the_last_row_is_told_where_it_stands(tmp_path):
    (tmp_path / "bench.toml").write_text('[[test]]\nkind = "flow curve"\nfile = "t.xlsx"\n')
    (tmp_path / "t.xlsx").write_bytes(sheet_with({"B1048576": "stray"}))
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(tmp_path)
    assert caught.value.faults == (
        "t.xlsx, row 1048576, column 1 (shear rate [1/s]): is empty; fill it in, or leave the row out",
        "t.xlsx, row 1048576, column 2 (shear stress [Pa]): 'stray' is not a number; write digits with a decimal point, such as 40.1",
    )


def test_a_sheet_of_a_chart_is_called_so():
    book = openpyxl.Workbook()
    book.active.append(HEADER)
    book.create_chartsheet("Plot").add_chart(openpyxl.chart.LineChart())
    with pytest.raises(rk.DataError) as caught:
        Workbook(saved(book)).table("Plot")
    assert str(caught.value) == "sheet 'Plot' is a chart, not a sheet of cells; name the sheet that holds the readings"


def test_a_workbook_is_read_as_another_reader_reads_it():
    """Every kind of cell against openpyxl: texts, shared and rich, whole and broken numbers, formulas with results, errors."""
    book = openpyxl.Workbook()
    rows = [
        HEADER,
        [0.1, 1e-7],
        [3, "  <2 "],
        [None, 1e22],
        ["# a comment"],
        ["a & b < c", -0.30000000000000004],
        [12345678901234567890, "#N/A"],
    ]
    for row in rows:
        book.active.append(row)
    table = Workbook(saved(book)).table()
    (head, *wanted) = (
        [c.value for c in row] for row in openpyxl.load_workbook(io.BytesIO(saved(book))).active.iter_rows()
    )
    assert list(table.header) == head
    texts = [
        ("" if v is None else v.strip() if isinstance(v, str) else repr(v))
        for row in wanted
        for v in row
        if row[0] != "# a comment"
    ]
    assert [cell for row in table.rows for cell in row.cells] == texts
    assert table.rows.numbers.tolist() == [2, 3, 4, 6, 7]


def test_a_bench_of_many_megabytes_is_told(tmp_path):
    test = '[[test]]\nkind = "flow curve"\nfile = "{}.csv"\n'
    (tmp_path / "bench.toml").write_text("".join(test.format(k) for k in range(3)))
    for k in range(3):
        (tmp_path / f"{k}.csv").write_bytes(b"# " + b"x" * 14_000_000)
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(tmp_path)
    assert caught.value.faults[-1] == (
        "2.csv, bench.toml, [[test]] 3: the files of this bench have more than 40 MB together; take the steady readings, not the "
        "raw log, or make two folders"
    )


def test_columns_at_once_are_the_columns_cell_by_cell():
    """A column of plain numbers is converted at once; to the last digit the same as each cell alone."""
    from decimal import Decimal

    from rheokit.units import unit_scale

    texts = [f"{k * 7919 % 1000003 / 997:.{k % 9}f}" for k in range(2000)] + ["1e-5", "2.5E3", "-0.1", "0"]
    for unit, si in (("kPa", "Pa"), ("°C", "K"), ("in", "m"), ("mL/min", "m³/s"), ("s", "s")):
        scale = unit_scale(unit, si)
        assert scale.all_to_si(texts).tolist() == [scale.to_si(Decimal(text)) for text in texts]


def test_rows_are_kept_as_lines_and_compare_as_they_are():
    raw = b'a [Pa]; b [Pa]\n1,5; 2\n\n# c\n3; "4,5"\n'
    table = read_csv(raw)
    assert [tuple(row) for row in table.rows] == [(2, ("1,5", "2")), (5, ("3", "4,5"))]
    assert table == read_csv(raw)
    assert table != read_csv(raw.replace(b"4,5", b"4,6"))
