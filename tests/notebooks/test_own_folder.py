"""A folder of one's own in the notebooks that offer it: every cell answers in words, also where the readings leave much open."""

import re
import warnings
from pathlib import Path

import nbformat
import pytest

BENCH = """
[specimen]
paste = "a soft paste"
density = "1080 kg/m3"

[apparatus.mould]
height = "100 mm"
diameter = "100 mm"

[[test]]
kind = "cylinder slump"
file = "slump.csv"
apparatus = "mould"
uncertainty = "1 mm"
"""


@pytest.mark.slow
@pytest.mark.parametrize("name", ["2-nozzle-and-force", "3-printable-region"])
def test_slump_alone_gives_no_number_and_no_traceback(name, workbook, tmp_path, monkeypatch, capsys):
    folder = tmp_path / "slump-alone"
    folder.mkdir()
    (folder / "bench.toml").write_text(BENCH)
    (folder / "slump.csv").write_text("slump [mm]\n31\n33\n30\n")
    monkeypatch.chdir(workbook / "notebooks")
    cells = [one.source for one in nbformat.read(Path(f"{name}.ipynb"), as_version=4).cells if one.cell_type == "code"]
    assert sum("folder = demo" in cell for cell in cells) == 1
    known = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for cell in cells:
            exec(cell.replace("folder = demo", f"folder = {str(folder)!r}"), known)
    said = capsys.readouterr().out
    assert "not identified: needs readings at several rates" in said
    assert not re.search(r"\bnan\b", said)
