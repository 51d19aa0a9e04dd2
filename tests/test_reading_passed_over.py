"""Rows of an instrument's export that are no readings: each is refused, or a note names it and says why it was passed over.

All files are invented. The principle: a row with digits under a named header is read by its own header, refused, or told.
"""

import os
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rheokit as rk
from rheokit import reading
from rheokit.reading.files import Disk, Memory
from rheokit.reading.folder import read_files

NAMES = 'columns = {shear_rate = "Rate", shear_stress = "Stress"}'
TOP = "Rate [1/s];Stress [Pa]\n"
THREE = f"{TOP}1;10\n2;20\n3;30\n"
BESIDE = "No;Time;Rate [1/s];Stress [Pa];Eta;Status;Note\n"


def read(raw, keys=NAMES):
    """Return rows, rates and stresses that are read, and the notes on the file."""
    toml = f'[[test]]\nkind = "flow curve"\nfile = "e.txt"\n{keys}\n'
    found = read_files(Memory({"bench.toml": toml.encode(), "e.txt": raw.encode()}))
    (test,) = found.tests
    notes = [note.removeprefix("e.txt, bench.toml, [[test]] 1: ") for note in found.origin.notes if note[:2] == "e."]
    return list(test.row_numbers), list(test.shear_rate), list(test.shear_stress), notes


def faults(raw, keys=NAMES):
    with pytest.raises(rk.ReadingError) as raised:
        read(raw, keys)
    return list(raised.value.faults)


# --- other tables ---------------------------------------------------------------------------------------------------

OTHERS = {
    "three headers on a line": ("\nTime [s];Temp [°C];Gap [mm]\n30;23.5;1\n31;23.6;1\n", 6, "6-8"),
    "a first name that is the same": ("\nRate [1/s];Torque [mNm]\n30;23.5\n", 6, "6-7"),
    "a name in the place of another": ("\nStress [Pa];Torque [mNm]\n30;23.5\n", 6, "6-7"),
    "no empty row before it": ("Time [s];Torque [mNm]\n30;23.5\n31;24\n", 5, "5-7"),
    "another sign between its cells": ("\nTime [s],Torque [mNm]\n30,23.5\n31,24\n", 6, "6-8"),
    "units in a row below": ("Time;Temp\ns;°C\n30;23.5\n", 5, "5-7"),
    "units behind in": ("\nTime in s;Temp in °C\n30;23.5\n", 6, "6-7"),
    "units behind strokes": ("\nTime / s;Gap / mm\n30;23.5\n", 6, "6-7"),
    "one column": ("\nYield stress [Pa]\n23.5\n", 6, "6-7"),
    "no units, but more columns": ("\nStep;Slope;Intercept\n1;0.5;12\n", 6, "6-7"),
}


@pytest.mark.parametrize("comma", [False, True])
@pytest.mark.parametrize("case", OTHERS)
def test_a_table_below_with_other_headers_is_passed_over_and_told(case, comma):
    below, begin, rows = OTHERS[case]
    raw = (THREE + below).replace(";", ",") if comma and "," not in below else THREE + below
    number, rates, stresses, notes = read(raw)
    assert (number, rates, stresses) == ([2, 3, 4], [1, 2, 3], [10, 20, 30])
    assert notes[-1] == f"another table begins in row {begin}, with other headers, and was passed over: rows {rows}."


def test_a_table_below_one_reading_is_seen():
    assert read(f"{TOP}1;10\nTime [s];Temp [°C]\n30;23.5\n")[0] == [2]


def test_a_table_that_holds_the_names_is_read_by_its_own_header():
    number, rates, stresses, _ = read(f"{THREE}\nStress [Pa];Rate [1/s]\n30;23.5\n")
    assert (number, rates[-1], stresses[-1]) == ([2, 3, 4, 7], 23.5, 30)


@pytest.mark.parametrize("words", ["Slope;Intercept", "start;stop", "Low;High"])
@pytest.mark.parametrize("gap", ["", "\n"])
def test_words_that_may_be_headers_or_a_remark_are_refused_and_rows_decide(words, gap):
    raw, row = f"{THREE}{gap}{words}\n5;50\n6;60\n", 5 + len(gap)
    both = f"2-4, {row + 1}-{row + 2}"
    assert faults(raw) == [
        f"e.txt, row {row + 1}: row {row} looks like another header than that of row 1, so this row cannot be read by it; choose the "
        f'rows of one of them, such as rows = "2-4" in its [[test]]; if it is a remark among the readings, write rows = "{both}" in '
        "its [[test]]"
    ]
    assert read(raw, f'{NAMES}\nrows = "2-4"')[2] == [10, 20, 30]
    assert read(raw, f'{NAMES}\nrows = "{both}"')[2] == [10, 20, 30, 50, 60]


@pytest.mark.parametrize("words", ["overload;overload", "pause;", ";---"])
def test_a_remark_between_readings_loses_none_of_them(words):
    number, _, stresses, notes = read(f"{THREE}{words}\n5;50\n")
    assert (number, stresses) == ([2, 3, 4, 6], [10, 20, 30, 50])
    assert notes == ["passed over, since nothing was read there: row 5."]


# --- units ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["[1/s];[kPa]", "1/s;kPa", ";kPa", "1/min;Pa"])
def test_another_row_of_units_is_never_ignored(units):
    (fault,) = faults(f"{THREE}{units}\n4;0.04\n")
    assert re.match(
        r"e.txt, row 6: row 5 says '\[?(kPa|1/min)\]?' under '\w+ \[[Pa1/s]+\]', but row 1 says \[(Pa|1/s)\], ", fault
    )
    assert 'rows = "2-4"' in fault
    assert faults(f"{THREE}{units}\n4;0.04\n", f'{NAMES}\nrows = "3, 6"')


def test_a_second_row_of_units_below_the_header_is_refused():
    assert faults("Rate;Stress\n[1/s];[Pa]\n[1/s];[kPa]\n4;0.04\n") == [
        "e.txt, row 4: row 3 says '[kPa]' under 'Stress', but row 2 says [Pa], so this row cannot be read by it; choose the rows above it, "
        "of which there are none, or repeat the headers there"
    ]


def test_the_same_units_again_in_another_spelling_change_nothing():
    assert read(f"{THREE}s^-1;[Pa]\n4;40\n")[2] == [10, 20, 30, 40]


def test_a_header_and_a_row_below_may_spell_one_unit_in_two_ways():
    assert read("Rate [1/s];Stress [Pa]\ns^-1;N/m2\n4;40\n")[2] == [40]


# --- what stands in other columns -----------------------------------------------------------------------------------


@pytest.mark.parametrize("place", [0, 1, 4, 5, 6])
@pytest.mark.parametrize("words", ["overflow", "OL", "M-", "3a", "00:30", "repeat", "2026-03-02", "", "!", "n/a"])
def test_only_the_named_columns_say_what_is_a_reading(place, words):
    rows = [[str(k), str(5 * k), str(k), str(10 * k), "10", "7", "1"] for k in range(1, 6)]
    for k in (2, 4):
        rows[k][place] = words
    number, _, stresses, _ = read(BESIDE + "".join(";".join(row) + "\n" for row in rows))
    assert (number, stresses) == ([2, 3, 4, 5, 6], [10, 20, 30, 40, 50])


def test_words_before_the_numbers_are_told():
    assert read("Eta;Rate [1/s];Stress [Pa]\n10;1;10\nOL;2;20\n9;3;30\n")[3][-1] == (
        "read as the others are, though words stand before the numbers: row 3."
    )


# --- digits that are no number --------------------------------------------------------------------------------------

MARKED = [
    "4*;66*",
    "4?;66?",
    "4 (u);66 (u)",
    "−4;−66",
    "50 1/s;41 Pa",
    "4*;66",
    "4;66*",
    "4*;",
    "T=20;T=21",
    "~4;~66",
]


@pytest.mark.parametrize("gap", ["", "\n"])
@pytest.mark.parametrize("below", ["", "5;50\n6;60\n", "\nRate [1/s];Stress [Pa]\n5;50\n6;60\n"])
@pytest.mark.parametrize("cells", MARKED)
def test_a_row_of_digits_that_are_no_number_is_refused(cells, below, gap):
    if cells in ("4*;", "T=20;T=21") and gap and TOP in below:
        pytest.skip("it can belong to the next header")
    raw = f"{THREE}{gap}{cells}\n{below}"
    (fault,) = faults(raw)
    assert fault.startswith(f"e.txt, row {5 + len(gap)}, column ")
    rows = re.search('rows = "([^"]+)"', fault)[1]
    assert read(raw, f'{NAMES}\nrows = "{rows}"')[2] == [10, 20, 30, *([50, 60] if below else [])]


def test_a_typographic_minus_is_named():
    assert (
        "'−4' is no plain number (a dash stands there for the hyphen of a minus); mend it"
        in faults(f"{THREE}−4;−66\n")[0]
    )


def test_what_leads_up_to_the_next_header_is_told():
    raw = f"{THREE}\nPoints;2\nT=20;T=21\n{TOP}5;50\n"
    number, _, stresses, notes = read(raw)
    assert (number, stresses) == ([2, 3, 4, 9], [10, 20, 30, 50])
    assert notes[0] == "passed over, since they lead up to the next headers, apart from the readings: rows 6-7."


def test_a_block_of_which_no_row_can_be_read_is_refused_not_dropped():
    (fault,) = faults(f"{THREE}\n{TOP}4;\n")
    assert fault.startswith("e.txt, row 7, column 2 (Stress [Pa]): '' is no number, but '4' stands under 'Rate [1/s]'")


KINDS = st.sampled_from(
    ["4;40", "4;40", "4;40", "4;40", "4*;40*", "4;", ";", "pause;", "start;stop", "T=1;T=2", "Time [s];Gap [mm]", TOP.strip(), "",
     "1/s;kPa", "1/s;Pa", "OL;OL", "a;4", "−4;4", "Mean 3;4", "Points;2"]
)  # fmt: skip


@pytest.mark.slow
@settings(max_examples=600, deadline=None)
@given(st.lists(KINDS, min_size=1, max_size=14))
def test_every_row_with_digits_is_read_or_refused_or_told(rows):
    """Rows read, with those that notes name by their numbers, are all that hold a digit under a name; else there is a refusal."""
    raw = TOP + "".join(row + "\n" for row in rows)
    try:
        number, rates, stresses, notes = read(raw)
    except rk.ReadingError:
        return
    assert set(zip(rates, stresses, strict=True)) <= {(4.0, 40.0)}
    told = set()
    for note in notes:
        for low, high in re.findall(r"(\d+)(?:-(\d+))?", note.rpartition(": row")[2]):
            told |= set(range(int(low), int(high or low) + 1))
    no_reading = {TOP.strip(), "1/s;Pa"}
    held = {k for k, row in enumerate(rows, 2) if re.search(r"\d", row) and row not in no_reading}
    assert held - {*number} - told <= {k for k, row in enumerate(rows, 2) if row == "1/s;kPa"}
    last_units = [k for k, row in enumerate(rows, 2) if row == "1/s;kPa"]
    for k in last_units:  # nothing is read below another row of units, up to the next header
        after = rows[k - 1 :]
        end = k + next((n for n, row in enumerate(after) if row == TOP.strip()), len(after))
        assert not {*range(k + 1, end + 1)} & {*number}


# --- names ----------------------------------------------------------------------------------------------------------


def test_capitals_decide_where_two_headers_differ_by_them_alone():
    raw = "T;t;Rate [1/s];Stress [Pa]\n20;1;1;10\n21;2;2;20\n"
    keys = NAMES.replace("{", '{temperature = "T [°C]", time = "t [min]", ')
    toml = f'[[test]]\nkind = "flow curve"\nfile = "e.txt"\n{keys}\n'
    (test,) = read_files(Memory({"bench.toml": toml.encode(), "e.txt": raw.encode()})).tests
    assert list(test.temperature) == [293.15, 294.15]
    assert list(test.time) == [60, 120]


def test_a_proposal_does_not_follow_units_that_contradict_the_words():
    heads = "No\tShear Rate\tShear Stress\tEta\n"
    below = "1\t1\t10\t10\n2\t2\t20\t10\n3\t3\t30\t10\n"
    assert rk.reading.proposal(f"{heads}\t[1/s]\t[Pa]\t[Pa·s]\n{below}".encode()).complete
    for shifted in ("[1/s]\t[Pa]\t[Pa·s]\t", "\t\t[1/s]\t[Pa]", "\t[Pa]\t[1/s]\t"):
        found = rk.reading.proposal(f"{heads}{shifted}\n{below}".encode())
        assert not found.complete
        assert re.search(
            r"row 2 says \[(Pa|1/s)\] below 'Shear (Rate|Stress)', which is no unit of a shear (rate|stress)",
            found.problems[0],
        )
        assert "\n# columns = " in found.toml


@pytest.mark.parametrize("below", ["\nTime [s];Gap [mm]\n30;23.5\n", "[1/s];[kPa]\n4;0.04\n", "4*;66*\n"])
def test_a_proposal_says_what_of_a_file_is_no_reading(below):
    found = rk.reading.proposal((THREE + below).encode())
    assert found.problems
    assert found.complete is ("Time" in below)


# --- files that change ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [THREE, ""])
def test_a_file_that_is_written_all_the_time_is_refused_in_seconds(tmp_path, monkeypatch, text):
    """Written anew after each time that it is read: what another process does meanwhile depends on how busy the machine is."""
    keys = f'[[test]]\nkind = "flow curve"\nfile = "e.txt"\n{NAMES}\n'
    (tmp_path / "bench.toml").write_text(keys, encoding="utf-8")
    file, plain, reads = tmp_path / "e.txt", Disk.plain, []  # reads: when what was read had been written
    file.write_text(text, encoding="utf-8")

    def written_meanwhile(disk, name, largest):
        raw = plain(disk, name, largest)
        if name == file.name:
            reads.append(file.stat().st_mtime_ns)
            file.write_text(text, encoding="utf-8")
            os.utime(file, ns=(reads[-1] + 1, reads[-1] + 1))  # the clock of a disk may stand still meanwhile
        return raw

    monkeypatch.setattr(Disk, "plain", written_meanwhile)
    assert reading.PATIENCE + reading.TRIES * reading.PAUSE < 3  # s
    monkeypatch.setattr(reading, "PATIENCE", 0.1)
    with pytest.raises(rk.ReadingError, match="its files change while they are read; wait until that is over"):
        rk.read_bench(tmp_path)
    assert len(reads) >= reading.TRIES


@pytest.mark.parametrize("gap", ["", "\n"])
@pytest.mark.parametrize("counts", ["2\t3", "2\t3\t3\t3"])
def test_a_line_that_counts_the_points_of_the_next_block_is_no_reading(gap, counts):
    """It may stand right below the last reading, with a number under each name; its first cell names what follows."""
    head = "Block data:\tPoint\tShear Rate\tShear Stress\n\t\t[1/s]\t[Pa]\n"
    blocks = [
        "".join(f"\t{k}\t{rate}\t{stress}\n" for k, rate, stress in ((1, 0.5, 41 + b), (2, 4, 57 + b))) for b in (0, 2)
    ]
    text = f"Sample:\tx\nPoints of this block:\t1\t2\n{head}{blocks[0]}{gap}Points of this block:\t{counts}\n{head}{blocks[1]}"
    toml = b'[[test]]\nkind = "flow curve"\nfile = "e.txt"\ncolumns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}\n'
    bench = read_files(Memory({"bench.toml": toml, "e.txt": text.encode("utf-16")}))
    (curve,) = bench.tests
    assert curve.shear_rate.tolist() == [0.5, 4.0, 0.5, 4.0]
    assert curve.shear_stress.tolist() == [41.0, 57.0, 43.0, 59.0]
    assert any(f"row {7 + len(gap)}" in note for note in bench.origin.notes)


@pytest.mark.parametrize("columns", ['"Rate", shear_rate = "Stress"', '"Rate [Pa]", shear_rate = "Stress [1/s]"'])
@pytest.mark.parametrize("head", ["No;Rate;Stress\n;[1/s];[Pa]", "No;Rate [1/s];Stress [Pa]"])
def test_two_names_that_were_exchanged_are_told_so(columns, head):
    """A unit behind the words must not lead into the mistake."""
    toml = f'[[test]]\nkind = "flow curve"\nfile = "e.txt"\ncolumns = {{shear_stress = {columns}}}\n'
    text = f"{head}\n1;0.5;41\n2;4;57\n"
    stands = "Rate [" not in head or "[" not in columns
    with pytest.raises(
        rk.ReadingError, match="are exchanged in columns: .*; write .*" if stands else "no row of 3 holds the header"
    ):
        read_files(Memory({"bench.toml": toml.encode(), "e.txt": text.encode()}))
