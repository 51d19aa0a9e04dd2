"""Workbooks as spreadsheets show them: per cent, hidden rows, words beside the readings, and files that are none."""

import pytest

import rheokit as rk

from .eaters import packed

HEADS = ("shear rate [1/s]", "shear stress [Pa]", "relative uncertainty [%]")
STYLES = (
    '<numFmts><numFmt numFmtId="164" formatCode="0.00%"/><numFmt numFmtId="165" formatCode="0.00&quot;%&quot;"/></numFmts>'
    '<cellXfs><xf numFmtId="0"/><xf numFmtId="9"/><xf numFmtId="164"/><xf numFmtId="165"/></cellXfs>'
)


def text(words):
    return f'<c t="inlineStr"><is><t>{words}</t></is></c>'


def number(value, style=0):
    return f'<c s="{style}"><v>{value}</v></c>'


def rows(*below, heads=HEADS):
    """Return the XML of a sheet: its header and the rows below, each the XML of its cells or that with attributes."""
    lines = ["".join(map(text, heads)), *below]
    return "".join(
        f"<row {line[0]}>{line[1]}</row>" if isinstance(line, tuple) else f"<row>{line}</row>" for line in lines
    )


def bench_of(folder, raw):
    folder.mkdir()
    (folder / "bench.toml").write_text('[[test]]\nkind = "flow curve"\nfile = "r.xlsx"\n', encoding="utf-8")
    (folder / "r.xlsx").write_bytes(raw)
    return rk.read_bench(folder)


def fault_of(folder, raw):
    with pytest.raises(rk.ReadingError) as refused:
        bench_of(folder, raw)
    (fault,) = refused.value.faults
    return fault


@pytest.mark.parametrize(
    ("style", "value", "share"), [(1, "0.04", 0.04), (2, "0.035", 0.035), (3, "4", 0.04), (0, "4", 0.04)]
)
def test_a_cell_that_shows_per_cent_is_read_as_it_shows(tmp_path, style, value, share):
    """A cell of 0.04 that the sheet shows as 4 % is no 0.04 %; a mere sign behind a number scales nothing."""
    sheet = rows(number(1) + number(20) + number(value, style), number(10) + number(50) + number(value, style))
    bench = bench_of(tmp_path / "b", packed(sheet, STYLES))
    assert bench.tests[0].relative_uncertainty == pytest.approx([share, share], rel=1e-12)


def test_a_cell_that_shows_per_cent_is_no_stress(tmp_path):
    sheet = rows(number(1) + number(20, 1), heads=HEADS[:2])
    fault = fault_of(tmp_path / "b", packed(sheet, STYLES))
    assert fault == (
        "r.xlsx, row 2, column 2 (shear stress [Pa]): '2000 %' is not a number; write digits with a decimal point, such as 40.1"
    )


def test_hidden_rows_are_read_and_told(tmp_path):
    line = number(2) + number(30)
    sheet = rows(number(1) + number(20), ('hidden="1"', line), heads=HEADS[:2])
    bench = bench_of(tmp_path / "b", packed(sheet))
    assert list(bench.tests[0].shear_stress) == [20, 30]
    assert (
        "r.xlsx, bench.toml, [[test]] 1: row 3 is hidden in the sheet, and read as the others are; delete what is not to count."
    ) in bench.origin.notes
    more = rows(
        number(1) + number(20), *[('hidden="true"', number(k) + number(30 + k)) for k in (3, 4, 5)], heads=HEADS[:2]
    )
    told = bench_of(tmp_path / "c", packed(more)).origin.notes
    assert any("3 rows (the first is 3) are hidden in the sheet" in note for note in told)


def test_words_beside_the_readings(tmp_path):
    sheet = rows(number(1) + number(20) + text("steady"), heads=HEADS[:2])
    assert fault_of(tmp_path / "b", packed(sheet)) == (
        "r.xlsx, row 2: 3 cells under 2 headers ('1 | 20 | steady'); take away what stands beside the readings, and whole rows "
        "of text"
    )


NONE = {
    "protected, or older": (
        b"\xd0\xcf\x11\xe0" + b"\0" * 600,
        "is protected with a password, or a workbook of the older kind (.xls) under another name; open it, take the password "
        "away, and save it as XLSX or CSV UTF-8",
    ),
    "empty": (b"", "is empty; save the readings again as XLSX or CSV UTF-8"),
    "text": (
        b"shear rate [1/s], shear stress [Pa]\n1, 2\n",
        "is no XLSX workbook, whatever its name; if it is text, call it .csv here and in file =, else save it as XLSX",
    ),
    "cut off": (packed()[:600], "is no readable XLSX workbook (BadZipFile); save it again as XLSX or CSV UTF-8"),
}


@pytest.mark.parametrize("name", NONE)
def test_what_is_no_workbook(tmp_path, name):
    raw, words = NONE[name]
    assert fault_of(tmp_path / "b", raw) == f"r.xlsx, bench.toml, [[test]] 1: {words}"


def test_what_looks_like_a_bound_and_is_none(tmp_path):
    sheet = rows(text("&lt;b&gt;7&lt;/b&gt;") + number(20), heads=HEADS[:2])
    assert fault_of(tmp_path / "b", packed(sheet)).endswith(
        "'<b>7</b>' is not a number; write digits with a decimal point, such as 40.1"
    )
