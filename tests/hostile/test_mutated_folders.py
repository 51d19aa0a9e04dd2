"""Demonstration folders with a few bytes, cells, units or lines changed by chance: a bench or a message, never a traceback.

Kind: random, with fixed seeds. Whatever else than a `ReadingError` is raised fails the test.
"""

import random
import re
from pathlib import Path

import pytest

import rheokit as rk
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files

DEMONSTRATIONS = sorted(path.parent for path in (Path(rk.__file__).parents[1] / "data").rglob("bench.toml"))
VALUES = [
    "true",
    "[]",
    "{}",
    "1979-05-27",
    "inf",
    "-1",
    "1e308",
    '""',
    '"0_mm"',
    '"nan_mm"',
    '"1_mm_±_100_%"',
    '"1_dB"',
    '"none"',
    '["bore",1]',
    '"1,5_mm"',
]
CELLS = ["", "0", "-1", "1e30", "nan", "<1", "<", "1,5", '"', "1;2", "1e400", "1" * 61, "x"]
UNITS = ["N", "mm", "kPa", "dB", "%", "", "°C", "m/s/s", "±"]


def changed(files, chance):
    """Return files with one thing changed."""
    name = chance.choice(sorted(files))
    lines = files[name].decode(errors="replace").split("\n")
    place = chance.randrange(len(lines))
    what = chance.choice(["byte", "byte", "end", "twice", "without", "cell", "unit", "number"])
    if what == "byte":
        raw = bytearray(files[name])
        raw[chance.randrange(len(raw))] = chance.randrange(256)
        return files | {name: bytes(raw)}
    if what == "end":
        return files | {name: files[name][: chance.randrange(len(files[name]))]}
    if what == "twice":
        lines.insert(place, lines[place])
    elif what == "without":
        del lines[place]
    elif what == "cell" and name == "bench.toml":
        lines[place] = re.sub(r"=.*", "= " + chance.choice(VALUES).replace("_", " "), lines[place])
    elif what == "cell":
        cells = lines[place].split(",")
        cells[chance.randrange(len(cells))] = chance.choice(CELLS)
        lines[place] = ",".join(cells)
    elif what == "unit":
        lines[place] = re.sub(r"\[[^\]]*\]|(?<=\d )[^\"±]+", chance.choice(UNITS), lines[place])
    else:
        lines[place] = re.sub(r"\d+", lambda found: found[0] + chance.choice(["e3", "e-3", "0000", "±"]), lines[place])
    return files | {name: "\n".join(lines).encode()}


@pytest.mark.parametrize("folder", DEMONSTRATIONS, ids=lambda folder: folder.name)
def test_a_changed_folder_is_read_or_told(folder):
    files = {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix in (".toml", ".csv")}
    told, chance = [], random.Random(folder.name)
    for _ in range(20):
        try:
            read_files(Memory(changed(changed(files, chance), chance)))
        except rk.ReadingError as error:
            told += error.faults
    assert told
    assert all(line.isprintable() for line in told)
