"""The law, bench test, limit and axis that DEVELOPERS.md shows, dropped in, pass the contracts without another change."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def blocks():
    """Return the Python blocks of DEVELOPERS.md."""
    return re.findall(r"```python\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), flags=re.S)


def test_the_examples_pass_the_contracts(tmp_path):
    for part in ("rheokit", "tests", "data", "pyproject.toml"):
        source = ROOT / part
        shutil.copytree(source, tmp_path / part) if source.is_dir() else shutil.copy(source, tmp_path / part)
    law, bench_test, limit, axis = blocks()
    (tmp_path / "rheokit" / "laws" / "sisko.py").write_text(law, encoding="utf-8")
    (tmp_path / "rheokit" / "bench" / "inclined_plate.py").write_text(bench_test, encoding="utf-8")
    (tmp_path / "rheokit" / "limits" / "creeping_flow.py").write_text(limit, encoding="utf-8")
    with (tmp_path / "rheokit" / "regions" / "axes.py").open("a", encoding="utf-8") as axes:
        axes.write("\n\n" + axis)
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-v",
        "-k",
        "Sisko or inclined or creeping or plunger_friction",
        "-p",
        "no:cacheprovider",
    ]
    files = ["tests/test_laws.py", "tests/test_bench.py", "tests/test_layers.py", "tests/test_reading.py"]
    files += ["tests/test_limits.py", "tests/test_regions.py"]
    ran = subprocess.run(
        [*command, *files],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout[-3000:]
    count = int(re.search(r"(\d+) passed", ran.stdout).group(1))
    assert count >= 30
