"""Folders that are wrong in one way each: the message names place, value and remedy, quickly, and the disk stays as it was.

Kind of every check here: exact (what the format says, by its own definition).
"""

import io
import os
import time
import zipfile

import openpyxl
import pytest

import rheokit as rk

TOML = """\
[specimen]
paste = "clay"
density = "1760 kg/m3"
water_content = "28.6 %"
water_basis = "wet"

[apparatus.syringe]
barrel_diameter = "26.70 ± 0.05 mm"
fill_length = "60 mm"
plunger_friction = "8 ± 1 N"
bore = "2.00 mm ± 1 %"
length = "20 mm"

[apparatus.mould]
height = "100 mm"
diameter = "100 mm"

[[test]]
kind = "syringe force"
file = "force.csv"
apparatus = "syringe"
read = "force"
uncertainty = "0.5 N"

[[test]]
kind = "cylinder slump"
file = "slump.csv"
apparatus = "mould"
"""
FORCE = "plunger speed [mm/s], force [N]\n0.01, 46.5\n0.02, 48.9\n0.05, 54.6\n"
SLUMP = "slump [mm]\n35\n38\n"


def make(folder, toml=TOML, **files):
    """Write a folder; `force`, `slump` and others are the files of readings, text or bytes, by stem (None: no file)."""
    folder.mkdir(exist_ok=True)
    contents = {"bench.toml": toml} | {f"{s}.csv": t for s, t in ({"force": FORCE, "slump": SLUMP} | files).items()}
    for name, text in contents.items():
        if text is not None:
            (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def toml(old, new, source=TOML):
    """Return bench.toml with one place changed; it must be there."""
    assert old in source
    return source.replace(old, new, 1)


def snapshot(folder):
    """Return every file of a folder with its bytes and its time of change."""
    found = {}
    for path in sorted(folder.rglob("*")):
        about = path.lstat()
        found[str(path)] = (about.st_mtime_ns, about.st_mode, path.read_bytes() if path.is_file() else None)
    return found


def faults_of(folder):
    """Return the lines of the error that reading a folder raises; it takes under two seconds and changes nothing."""
    before, start = snapshot(folder), time.process_time()
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(folder)
    assert time.process_time() - start < 2.0
    assert snapshot(folder) == before
    lines = caught.value.faults
    assert lines
    assert "\n".join(lines) == str(caught.value)
    for line in lines:
        assert line.isprintable(), line
        assert len(line) < 700, line
    return lines


def csv(first, *rows):
    return "\n".join([first, *rows]) + "\n"


HEADER = "plunger speed [mm/s], force [N]"

# name: (what is changed, what one line of the message must hold, all of it)
HOSTILE = {
    # headers and units
    "wrong unit": (dict(force=csv("plunger speed [mm/s], force [mm]", "1, 2.5")), ["force.csv, row 1, column 2", "'force [mm]'", "a force: write N, kN or kgf"]),
    "unit missing": (dict(force=csv("plunger speed [mm/s], force", "0.01, 46.5")), ["force.csv, row 1, column 2", "'force' has no unit", "'force [N]'"]),
    "unit empty": (dict(force=csv("plunger speed [mm/s], force []", "0.01, 46.5")), ["column 2", "'force []' has no unit"]),
    "unit unknown": (dict(force=csv("plunger speed [mm/s], force [Newtonen]", "0.01, 46.5")), ["column 2", "[Newtonen] is not known"]),
    "arithmetic in a unit": (dict(force=csv("plunger speed [mm/s**9**9**9], force [N]", "0.01, 46.5")), ["row 1, column 1", "mm/s**9**9**9", "without arithmetic"]),
    "code in a unit": (dict(force=csv("plunger speed [__import__('os')], force [N]", "0.01, 46.5")), ["row 1, column 1", "is not understood"]),
    "unit too long": (dict(force=csv(f"plunger speed [{'m' * 5000}], force [N]", "0.01, 46.5")), ["row 1, column 1", "too long (5000 characters"]),
    "two strokes in a unit": (dict(slump="slump [m/s/s]\n1.5\n"), ["slump.csv, row 1, column 1", "two strokes"]),
    "per minute of an angle": (dict(force=csv("flow rate [rpm], force [N]", "0.01, 46.5")), ["column 1", "a volume flow: write mm3/s"]),
    "duplicated header": (dict(force=csv("force [N], force [N]", "0.01, 46.5")), ["force.csv, row 1, column 2", "stands twice (columns 1 and 2)", "keep one"]),
    "column not known": (dict(force=csv("plungr speed [mm/s], force [N]", "0.01, 46.5")), ["column 1", "did you mean 'plunger_speed'"]),
    "column missing": (dict(force=csv("plunger speed [mm/s]", "0.01", "0.02")), ["force.csv, row 1", "no column force or load mass or added mass or pressure", "add one"]),
    "half of a way": (dict(force=csv("caught mass [g], force [N]", "0.15, 46.5")), ["force.csv, row 1", "catch time is missing", "flow rate"]),
    "given twice": (dict(force=csv("plunger speed [mm/s], flow rate [mm3/s], force [N]", "0.1, 5.6, 46.5")), ["more than one way (flow rate, plunger speed)", "keep one"]),
    "pressure without zero": (dict(force=csv("plunger speed [mm/s], pressure [kPa]", "0.1, 90.5")), ["column 2", "'gauge pressure [kPa]' or 'absolute pressure [kPa]'"]),
    "gauge force": (dict(force=csv("plunger speed [mm/s], gauge force [N]", "0.1, 90.5")), ["column 2", "write 'force [N]'"]),
    "radius for diameter": (dict(toml=toml('bore = "2.00 mm ± 1 %"', 'bore_radius = "1.00 mm"')), ["[apparatus.syringe]", "'bore_radius'", "twice the number", "bore = "]),
    "diameter for radius": (
        dict(toml=TOML + '[[test]]\nkind = "spread"\nfile = "spread.csv"\nvolume = "100 mL"\n', spread="diameter [mm]\n150\n"),
        ["spread.csv, row 1, column 1", "'diameter [mm]'", "write radius and half"],
    ),
    "radius of the mould": (dict(toml=toml('diameter = "100 mm"', 'radius = "50 mm"')), ["[apparatus.mould]", "'radius'", "write diameter and twice the number"]),
    # cells
    "text in a cell": (dict(force=csv(HEADER, "0.01, 46.5", "0.02, about 49")), ["force.csv, row 3, column 2 (force [N])", "'about 49' is not a number"]),
    "empty cell": (dict(force=csv(HEADER, "0.01, 46.5", "0.02,")), ["force.csv, row 3, column 2", "is empty"]),
    "NaN": (dict(force=csv(HEADER, "0.01, NaN")), ["row 2, column 2", "'NaN' is not a number", "leave out rows"]),
    "infinity": (dict(force=csv(HEADER, "0.01, -inf")), ["row 2, column 2", "'-inf' is not a number"]),
    "overflow": (dict(force=csv(HEADER, "0.01, 1e999")), ["row 2, column 2", "'1e999' is too large"]),
    "hexadecimal": (dict(force=csv(HEADER, "0.01, 0x2F")), ["row 2, column 2", "'0x2F' is not a number"]),
    "underscore": (dict(force=csv(HEADER, "0.01, 4_6")), ["row 2, column 2", "'4_6' is not a number"]),
    "foreign digits": (dict(force=csv(HEADER, "0.01, ٤٦")), ["row 2, column 2", "is not a number"]),
    "typographic minus": (dict(force=csv("plunger speed [mm/s], force [N], temperature [°C]", "0.01, 46.5, −5.0")), ["row 2, column 3", "type the hyphen"]),
    "note behind a number": (dict(force=csv(HEADER, "0.01, 46.5 # steady")), ["row 2, column 2", "'46.5 # steady' is not a number"]),
    "thousands by a space": (dict(slump="slump [um]\n35 000\n"), ["slump.csv, row 2, column 1", "write 35000"]),
    "negative force": (dict(force=csv(HEADER, "0.01, -46.5")), ["row 2, column 2", "'-46.5' is negative", "take the row out"]),
    "negative pressure": (dict(force=csv("plunger speed [mm/s], gauge pressure [kPa]", "0.01, -90.5")), ["row 2, column 2", "'-90.5' is negative"]),
    "absolute below the air": (dict(force=csv("plunger speed [mm/s], absolute pressure [kPa]", "0.01, 90.5")), ["row 2, column 2", "'90.5' lies below the ambient pressure of 101.325 kPa", "absolute and gauge mixed up"]),
    "bound in a set column": (dict(force=csv(HEADER, "<0.01, 46.5")), ["row 2, column 1", "'<0.01' is a bound", "only the column that was read"]),
    "zero slump": (dict(slump="slump [mm]\n0\n"), ["slump.csv, row 2", "slump is 0", "such as <2"]),
    "swapped columns": (dict(force=csv(HEADER, "4650, 0.01", "4890, 0.02")), ["row 2, column 1", "'4650'", "0 to 100 mm/s", "is that the unit"]),
    "slump above the mould": (dict(slump="slump [mm]\n35\n138\n"), ["slump.csv, row 3", "slump is larger than the height"]),
    "force below friction": (dict(force=csv(HEADER, "0.01, 4.65")), ["force.csv", "below the plunger friction", "check the unit"]),
    # decimal signs and separators
    "decimal comma": (dict(force=csv(HEADER, "0,01, 46,5")), ["force.csv, row 2", "4 cells under 2 headers", "decimal comma needs semicolons"]),
    "decimal comma that reads as two": (dict(force=csv("plunger speed [mm/s],force [N]", "0,1", "46,5")), ["force.csv", "row 2", "two numbers or one with a decimal comma", 'separator = "comma"']),
    "comma or thousand": (dict(force=csv("plunger speed [mm/s]; force [N]", "0; 1,234")), ["row 2", "'1,234' can be a decimal or a thousand", 'decimal = "comma"']),
    "point or thousand": (dict(force=csv("plunger speed [mm/s]; force [N]", "1; 1.234")), ["row 2", "'1.234' can be a decimal or a thousand"]),
    "two decimal signs": (dict(force=csv("plunger speed [mm/s]; force [N]", "0,01; 46.5")), ["row 2", "'0,01' has a comma", "'46.5' with a point", "one decimal sign"]),
    "thousands and decimals": (dict(slump="slump [um]; time [s]\n35.000,5; 10\n"), ["slump.csv", "row 2", "a comma", "a point"]),
    "semicolons and tabs": (dict(force=csv("plunger speed [mm/s]; force [N]\ttime [s]", "0.01; 46.5\t3")), ["row 1", "semicolons and tabs", "separator ="]),
    "too few cells": (dict(force=csv(HEADER, "0.01")), ["row 2", "1 cells under 2 headers"]),
    "too many cells": (dict(force=csv(HEADER, "0.01, 46.5, 12")), ["row 2", "3 cells under 2 headers"]),
    "open quotation": (dict(force=csv(HEADER, '0.01, "46.5')), ["row 2", "quotation mark that does not close"]),
    "separator not known": (dict(toml=toml('read = "force"', 'read = "force"\nseparator = "|"')), ["force.csv, bench.toml, [[test]] 1", "separator = '|' is not known", "'semicolon'"]),
    # files
    "empty file": (dict(force=""), ["force.csv", "no header and no rows"]),
    "comments only": (dict(force="# nothing yet\n\n"), ["force.csv", "no header and no rows"]),
    "no rows": (dict(force=HEADER + "\n"), ["force.csv, row 1", "no readings", "type them below"]),
    "missing file": (dict(force=None), ["force.csv", "no such file"]),
    "binary": (dict(force=b"\x7fELF\x02\x01\x01\x00\x00\x00" * 50), ["force.csv", "zero byte", "CSV UTF-8"]),
    "NUL in a number": (dict(force=HEADER.encode() + b"\n0.01, 4\x006.5\n"), ["force.csv", "zero byte"]),
    "not UTF-8": (dict(force="# Kraft in µN\n".encode("latin-1") + FORCE.encode()), ["force.csv", "not UTF-8 text (row 1, byte 0xb5)", "CSV UTF-8"]),
    "UTF-16": (dict(force=FORCE.encode("utf-16")), ["force.csv", "UTF-16", "CSV UTF-8"]),
    "control character": (dict(force=FORCE + "0.1, 62.2\x1b[31m\n"), ["force.csv", "control character (0x1b) in row 5"]),
    "form feed between rows": (dict(force=FORCE + "0.1, 62.2\x0c0.2, 70\n"), ["force.csv", "control character (0x0c) in row 5"]),
    "too many rows": (dict(force=HEADER + "\n" + "1, 2\n" * 100_001), ["force.csv", "100001 rows; 100000 at most"]),
    "huge file": (dict(force=b"#" * 20_000_001), ["force.csv", "20.0 MB; 20 MB at most"]),
    "many columns": (dict(force=csv(", ".join(f"force{k} [N]" for k in range(500)), "1")), ["force.csv", "500 columns; 40 at most"]),
    "workbook that is none": (dict(toml=toml("force.csv", "force.xlsx"), slump=SLUMP), ["force.xlsx", "no such file"]),
    # paths
    "path upwards": (dict(toml=toml("force.csv", "../force.csv")), ["[[test]] 1", "'../force.csv' must be the plain name of a file inside the folder"]),
    "path hidden upwards": (dict(toml=toml("force.csv", "a/../../force.csv")), ["[[test]] 1", "inside the folder"]),
    "absolute path": (dict(toml=toml("force.csv", "/etc/passwd.csv")), ["[[test]] 1", "'/etc/passwd.csv' must be the plain name"]),
    "drive": (dict(toml=toml("force.csv", "C:/force.csv")), ["[[test]] 1", "'C:/force.csv' must be the plain name"]),
    "backslash": (dict(toml=toml('"force.csv"', "'..\\force.csv'")), ["[[test]] 1", "must be the plain name"]),
    "not a table": (dict(toml=toml("force.csv", "force.py")), ["[[test]] 1", "'force.py' is no CSV or XLSX"]),
    "file twice": (dict(toml=toml("slump.csv", "force.csv")), ["[[test]] 2", "already read by [[test]] 1", "count once"]),
    "file is a number": (dict(toml=toml('"force.csv"', "7")), ["[[test]] 1", "file = must be a text in quotes, not '7'"]),
    # bench.toml
    "no bench.toml": (dict(toml=None), ["bench.toml", "no such file", "a bench folder holds bench.toml"]),
    "empty bench.toml": (dict(toml=""), ["bench.toml", "no test"]),
    "no TOML": (dict(toml=toml('paste = "clay"', "paste = clay")), ["bench.toml", "not valid TOML", "line 2", "in quotes"]),
    "key twice": (dict(toml=toml('paste = "clay"', 'paste = "a"\npaste = "b"')), ["bench.toml", "not valid TOML"]),
    "nested too deeply": (dict(toml="a = " + "[" * 100_000), ["bench.toml", "not valid TOML"]),
    "bench.toml too large": (dict(toml="#" * 500_001), ["bench.toml", "0.5 MB at most"]),
    "test with one bracket": (dict(toml=toml("[[test]]", "[test]", TOML[: TOML.rindex("[[test]]")])), ["bench.toml", "write [[test]]"]),
    "too many tests": (dict(toml='[[test]]\nkind = "spread"\n' * 201), ["bench.toml", "201 tests; 200 at most"]),
    "table not known": (dict(toml=TOML + "[aparatus.x]\n"), ["bench.toml", "'aparatus'", "did you mean 'apparatus'"]),
    "kind not known": (dict(toml=toml("syringe force", "syringe forse")), ["[[test]] 1", "'syringe forse'", "did you mean 'syringe force'", "'fall cone'", "'vane peak'"]),
    "kind missing": (dict(toml=toml('kind = "syringe force"\n', "")), ["[[test]] 1", "kind is missing"]),
    "kind is a list": (dict(toml=toml('kind = "syringe force"', "kind = [1]")), ["[[test]] 1", "is not known"]),
    "apparatus not found": (dict(toml=toml('apparatus = "syringe"', 'apparatus = "syring"')), ["[[test]] 1", "'syring' has no table", "did you mean 'syringe'"]),
    "key not known": (dict(toml=toml("read =", "raed =")), ["[[test]] 1", "'raed' is not a key", "did you mean 'read'"]),
    "dimension not known": (dict(toml=toml("fill_length", "fil_length")), ["[apparatus.syringe]", "'fil_length' is read by none", "did you mean 'fill_length'"]),
    "dimension missing": (dict(toml=toml('fill_length = "60 mm"\n', "")), ["[[test]] 1", "needs fill_length", 'fill_length = "60 mm"']),
    "read missing": (dict(toml=toml('read = "force"\n', "")), ["[[test]] 1", "which column was read", 'read = "force"']),
    "read wrong": (dict(toml=toml('read = "force"', 'read = "speed"')), ["[[test]] 1", "read = 'speed'", 'read = "flow_rate"']),
    "number without unit": (dict(toml=toml('"60 mm"', "60")), ["[apparatus.syringe]", "fill_length = 60 has no unit", "in quotes"]),
    "unit of a dimension": (dict(toml=toml('"60 mm"', '"60 N"')), ["[apparatus.syringe]", "fill_length = the unit [N]", "a length"]),
    "dimension NaN": (dict(toml=toml('"60 mm"', '"nan mm"')), ["[apparatus.syringe]", "fill_length = 'nan mm' is not a number"]),
    "dimension with a comma": (dict(toml=toml('"60 mm"', '"1,060 mm"')), ["[apparatus.syringe]", "'1,060 mm'", "write '1.060 mm'"]),
    "uncertainty without unit": (dict(toml=toml('"2.00 mm ± 1 %"', '"2.00 ± 1 %"')), ["[apparatus.syringe]", "bore = '2.00 ± 1 %' has no unit", "'2.00 mm ± 1 %'"]),
    "negative dimension": (dict(toml=toml('height = "100 mm"', 'height = "-100 mm"')), ["[apparatus.mould]", "height = '-100 mm' must be positive"]),
    "zero bore": (dict(toml=toml('"2.00 mm ± 1 %"', '"0 mm"')), ["[apparatus.syringe]", "bore = '0 mm' must be positive"]),
    "absurd bore": (dict(toml=toml('"2.00 mm ± 1 %"', '"2.00 m"')), ["[apparatus.syringe]", "bore = '2.00 m' is outside 0.05 to 10 mm", "is that the unit", 'unusual = ["bore"]']),
    "barrel narrower than the nozzle": (dict(toml=toml('"26.70 ± 0.05 mm"', '"1.67 mm"')), ["[[test]] 1", "wider than the barrel"]),
    "segments in the wrong order": (
        dict(toml=toml('bore = "2.00 mm ± 1 %"\nlength = "20 mm"', 'nozzle = [{diameter = "1 mm", length = "8 mm"}, {diameter = "2 mm", length = "8 mm"}]')),
        ["[[test]] 1", "step up", "flow order"],
    ),
    "segment with a radius": (dict(toml=toml('bore = "2.00 mm ± 1 %"\nlength = "20 mm"', 'nozzle = [{radius = "1 mm", length = "8 mm"}]')), ["segment 1 of the nozzle", "twice the number"]),
    "nozzle and bore": (dict(toml=toml('length = "20 mm"', 'nozzle = [{diameter = "2 mm", length = "20 mm"}]')), ["nozzle = [...] and bore", "keep one"]),
    "water without basis": (dict(toml=toml('water_basis = "wet"\n', "")), ["[specimen]", "water_basis is missing", "dry", "wet"]),
    "wet above one": (dict(toml=toml("28.6 %", "128.6 %")), ["[specimen]", "water_content = 1.286 cannot be on a wet basis", 'water_basis = "dry"']),
    "density of water in g": (dict(toml=toml("1760 kg/m3", "1.76 kg/m3")), ["[specimen]", "density = '1.76 kg/m3' is outside 500 to 3500 kg/m³", "is that the unit"]),
    "temperature in the wrong unit": (dict(toml=toml('paste = "clay"', 'temperature = "21 K"')), ["[specimen]", "temperature = '21 K' is outside -20 to 130 °C"]),
    "escape sequence in a name": (dict(toml=toml('"clay"', '"clay\\u001b[2J"')), ["[specimen]", "paste = 'clay\\x1b[2J'", "control character"]),
    "line break in a name": (dict(toml=toml('"clay"', '"clay\\nforce.csv: all is well"')), ["[specimen]", "line break"]),
    "endless name": (dict(toml=toml('"clay"', f'"{"x" * 5000}"')), ["[specimen]", "5000 characters long"]),
    "uncertainty of nothing": (dict(toml=toml('"0.5 N"', '"0 N"')), ["[[test]] 1", "uncertainty = '0 N' must be positive"]),
    "uncertainty in mm": (dict(toml=toml('"0.5 N"', '"0.5 mm"')), ["[[test]] 1", "uncertainty = the unit [mm]", "a force"]),
    "model error without reason": (dict(toml=toml('read = "force"', 'read = "force"\nmodel_error = 0.2')), ["[[test]] 1", "model_error is stated without its reason"]),
    "choice not known": (dict(toml=toml('read = "force"', 'read = "force"\nslip = "maybe"')), ["[[test]] 1", "slip = 'maybe'", "'fitted'"]),
}  # fmt: skip


def test_the_base_folder_reads(tmp_path):
    assert len(rk.read_bench(make(tmp_path / "bench")).tests) == 2


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_folder_gives_a_message(tmp_path, name):
    change, words = HOSTILE[name]
    lines = faults_of(make(tmp_path / "bench", **change))
    assert any(all(word in line for word in words) for line in lines), "\n".join(lines)
    assert len(lines) <= 3, "one fault gives one line, or two where it has two sides:\n" + "\n".join(lines)


def test_faults_of_all_files_come_together(tmp_path):
    lines = faults_of(
        make(tmp_path / "bench", toml("60 mm", "60 N"), force=csv(HEADER, "0.01, x", "y, 4"), slump="slump [N]\n3\n")
    )
    for part in (
        "fill_length",
        "force.csv, row 2, column 2",
        "force.csv, row 3, column 1",
        "slump.csv, row 1, column 1",
    ):
        assert sum(part in line for line in lines) == 1, "\n".join(lines)


def test_many_faults_of_one_file_are_counted(tmp_path):
    lines = faults_of(make(tmp_path / "bench", force=HEADER + "\n" + "a, b\n" * 5000))
    assert len(lines) == 13
    assert "force.csv: 9988 more faults" in lines[-1]


def test_a_link_out_of_the_folder_is_not_followed(tmp_path):
    secret = tmp_path / "secret.csv"
    secret.write_text(FORCE)
    folder = make(tmp_path / "bench", force=None)
    (folder / "force.csv").symlink_to(secret)
    assert any("leads out of the folder" in line for line in faults_of(folder))


def test_a_linked_bench_toml_is_not_followed(tmp_path):
    (tmp_path / "other.toml").write_text(TOML)
    folder = make(tmp_path / "bench", toml=None)
    (folder / "bench.toml").symlink_to(tmp_path / "other.toml")
    assert any("leads out of the folder" in line for line in faults_of(folder))


def test_a_circle_of_links(tmp_path):
    folder = make(tmp_path / "bench", force=None)
    (folder / "force.csv").symlink_to(folder / "force.csv")
    assert any("force.csv" in line and "a link to something that is not there" in line for line in faults_of(folder))
    (folder / "force.csv").unlink()
    (folder / "force.csv").symlink_to("nowhere.csv")
    assert any("force.csv" in line and "a link to something that is not there" in line for line in faults_of(folder))


def test_a_pipe_does_not_hang(tmp_path):
    folder = make(tmp_path / "bench", force=None)
    os.mkfifo(folder / "force.csv")
    assert any("not a file" in line for line in faults_of(folder))


def test_a_folder_in_place_of_a_file(tmp_path):
    folder = make(tmp_path / "bench", force=None)
    (folder / "force.csv").mkdir()
    assert any("not a file" in line for line in faults_of(folder))


@pytest.mark.parametrize("place", ["missing", "file"])
def test_no_folder(tmp_path, place):
    target = tmp_path / "nothing"
    if place == "file":
        target.write_text("x")
    with pytest.raises(rk.ReadingError, match="there is no such folder"):
        rk.read_bench(target)


# --- workbooks ------------------------------------------------------------------------------------------------------


def workbook(folder, rows, sheets=("Sheet1",)):
    """Write force.xlsx with the same rows in every sheet."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title in sheets:
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(folder / "force.xlsx")


HEAD = ["plunger speed [mm/s]", "force [N]"]
SHEETS = {
    "formula without result": (
        [HEAD, [0.01, "=40+6.5"]],
        ["row 2, column 2", "'=40+6.5' was saved without its result"],
    ),
    "date": ([HEAD, [0.01, __import__("datetime").date(2026, 3, 2)]], ["row 2, column 2", "is a date, a time"]),
    "truth value": ([HEAD, [0.01, True]], ["row 2, column 2", "'True' is a date, a time or a truth value"]),
    "error value": ([HEAD, [0.01, "#DIV/0!"]], ["row 2, column 2", "'#DIV/0!' is not a number"]),
    "text": ([HEAD, [0.01, "46,5"]], ["row 2, column 2", "'46,5' has a comma; write 46.5"]),
    "empty": ([], ["no header and no rows"]),
    "hole": ([HEAD, [0.01, 46.5], [0.02, None]], ["row 3, column 2", "is empty"]),
    "stray cell": ([HEAD, [0.01, 46.5, 7]], ["row 2", "3 cells under 2 headers"]),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_hostile_workbook_gives_a_message(tmp_path, name):
    rows, words = SHEETS[name]
    folder = make(tmp_path / "bench", toml("force.csv", "force.xlsx"), force=None)
    workbook(folder, rows)
    lines = faults_of(folder)
    assert any(line.startswith("force.xlsx") and all(word in line for word in words) for line in lines), "\n".join(
        lines
    )


def test_sheets_are_asked_for(tmp_path):
    folder = make(tmp_path / "bench", toml("force.csv", "force.xlsx"), force=None)
    workbook(folder, [HEAD, [0.01, 46.5]], sheets=("run 1", "run 2"))
    assert any("'run 1', 'run 2'" in line and "sheet =" in line for line in faults_of(folder))
    (folder / "bench.toml").write_text(
        toml('"force.xlsx"', '"force.xlsx"\nsheet = "run 3"', toml("force.csv", "force.xlsx"))
    )
    assert any("no sheet 'run 3'" in line for line in faults_of(folder))


def test_damaged_workbooks(tmp_path):
    folder = make(tmp_path / "bench", toml("force.csv", "force.xlsx"), force=None)
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as parts:
        parts.writestr("[Content_Types].xml", "<a>" * 1000)
    for raw in (b"PK\x03\x04 and nothing more", whole.getvalue()):
        (folder / "force.xlsx").write_bytes(raw)
        assert any(line.startswith("force.xlsx") and "no readable XLSX workbook" in line for line in faults_of(folder))


@pytest.mark.slow
def test_a_workbook_that_unpacks_to_gigabytes(tmp_path):
    folder = make(tmp_path / "bench", toml("force.csv", "force.xlsx"), force=None)
    packed = zipfile.ZipFile(folder / "force.xlsx", "w", zipfile.ZIP_DEFLATED)
    with packed as parts, parts.open("xl/worksheets/sheet1.xml", "w") as part:
        for _ in range(201):
            part.write(b"0" * 1_000_000)
    assert any("unpacks to more than 200 MB" in line for line in faults_of(folder))


def test_entities_of_a_workbook_are_not_expanded(tmp_path):
    folder = make(tmp_path / "bench", toml("force.csv", "force.xlsx"), force=None)
    workbook(folder, [HEAD, [0.01, 46.5]])
    with zipfile.ZipFile(folder / "force.xlsx") as parts:
        contents = {name: parts.read(name) for name in parts.namelist()}
    (tmp_path / "secret").write_text("46.5")
    bomb = "".join(f'<!ENTITY e{k} "{f"&e{k - 1};" * 10}">' for k in range(1, 12))
    head = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e0 "9999999999">{bomb}<!ENTITY f SYSTEM "file://{tmp_path}/secret">]>'
    sheet = contents["xl/worksheets/sheet1.xml"].decode()
    contents["xl/worksheets/sheet1.xml"] = (head + sheet.replace("46.5", "&e11;")).encode()
    with zipfile.ZipFile(folder / "force.xlsx", "w") as parts:
        for name, raw in contents.items():
            parts.writestr(name, raw)
    assert any(line.startswith("force.xlsx") for line in faults_of(folder))


# --- any value of any type in any place -----------------------------------------------------------------------------

STRANGE = ["true", "-1", "0", "1.5", "nan", "inf", "1e400", "12345678901234567890123", "2026-03-02", "12:00:00", '""', '" "', '"±"', '"1 ± mm"',
           '"1 mm ± -1 mm"', '"- mm"', '"1e999 m"', "[]", "{}", '["a", 1]', "[[]]", '{a = "1 mm"}', '[{a = 1}]', '[{diameter = [], length = {}}]',
           "'\\\\'", '"\\u0000"', '"none"']  # fmt: skip
EXTRA = """
label = "x"
batch = "b"
error = "absolute"
slip = "none"
end_correction = "formula"
ambient_pressure = "100 kPa"
model_error = 0.1
model_error_reason = "r"
unusual = ["bore"]
separator = "comma"
decimal = "point"
barrel_drag = 1
"""
FULL = toml('read = "force"\n', 'read = "force"\n' + EXTRA.strip() + "\n").replace(
    'paste = "clay"\n',
    'paste = "clay"\ndate = 2026-03-02\nbatch = "A"\nage = "1 h"\nair_content = 0.01\ninvented = true\nnote = "n"\nunusual = []\n',
)
CONFLICTING = FULL.replace('read = "force"\n', 'read = "force"\nsheet = "s"\nnozzle = []\n')
PLACES = [k for k, line in enumerate(FULL.splitlines()) if " = " in line]


@pytest.mark.slow
@pytest.mark.parametrize("place", PLACES, ids=lambda k: f"{k}-{FULL.splitlines()[k].split()[0]}")
def test_any_value_in_any_place_gives_a_message_or_a_bench(tmp_path, place):
    folder = make(tmp_path / "bench")
    for strange in STRANGE:
        lines = FULL.splitlines()
        lines[place] = f"{lines[place].split(' = ')[0]} = {strange}"
        (folder / "bench.toml").write_text("\n".join(lines), encoding="utf-8")
        faults = []
        try:
            rk.read_bench(folder)
        except rk.ReadingError as error:
            faults = error.faults
        assert all(line.isprintable() for line in faults), strange


def test_the_full_folder_reads(tmp_path):
    assert rk.read_bench(make(tmp_path / "bench", FULL)).tests[0].label == "x"


@pytest.mark.parametrize("key", ["sheet", "nozzle"])
@pytest.mark.parametrize("strange", STRANGE)
def test_any_value_of_a_key_that_does_not_go_with_the_others(tmp_path, key, strange):
    old = {"sheet": 'sheet = "s"', "nozzle": "nozzle = []"}[key]
    assert faults_of(make(tmp_path / "bench", toml(old, f"{key} = {strange}", CONFLICTING)))


@pytest.mark.parametrize("strange", STRANGE)
@pytest.mark.parametrize("key", ["specimen", "apparatus", "test", "specimen.density", "apparatus.syringe"])
def test_any_value_in_place_of_a_table_gives_a_message(tmp_path, key, strange):
    folder = make(tmp_path / "bench", f"{key} = {strange}\n")
    assert faults_of(folder)
