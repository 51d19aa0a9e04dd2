"""What DEVELOPERS.md shows how to add, from a law to an explorer, pasted in, passes the commands that it names.

No other file is touched: whoever follows the page to the letter is done.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ADDED = (  # the files of each section
    ("laws/prandtl_eyring.py",),
    ("bench/inclined_plate.py",),
    ("limits/creeping_flow.py",),
    ("regions/axes.py",),
    ("charts/viscosities.py",),
    ("widgets/wall_viscosity/words.py", "widgets/wall_viscosity/explorer.py"),
    ("widgets/starting/explorer.py",),
    ("appendix/sections/readings_in_numbers.py", "appendix/sections/__init__.py"),
)
NAMES = "Eyring or inclined or InclinedPlate or creeping or plunger_friction or viscosities or wall_viscosity or WallViscosity or Starting"


def sections():
    """Return (Python blocks, command) of each "Add a ..." section of the page."""
    parts = re.split(r"^## ", PAGE, flags=re.M)
    found = [part for part in parts if part.startswith("Add a")]
    return [
        (
            re.findall(r"```python\n(.*?)```", part, re.S),
            re.search(r"Then:\s`python (-m pytest .*?)`\.", part).group(1),
        )
        for part in found
    ]


@pytest.fixture(scope="module")
def pasted(tmp_path_factory):
    """Return a copy of the project with every block of the page pasted in where it says."""
    copy = tmp_path_factory.mktemp("newcomer")
    for part in ("rheokit", "tests", "data", "pyproject.toml", "DEVELOPERS.md", "README.md"):
        source = ROOT / part
        ignore = shutil.ignore_patterns("__pycache__", "browser")
        shutil.copytree(source, copy / part, ignore=ignore) if source.is_dir() else shutil.copy(source, copy / part)
    for (blocks, _), names in zip(sections(), ADDED, strict=True):
        for block, name in zip(blocks, names, strict=True):
            path = copy / "rheokit" / name
            path.parent.mkdir(exist_ok=True)
            before = path.read_text(encoding="utf-8") + "\n\n" if path.exists() else ""
            path.write_text(before + block, encoding="utf-8")
    return copy


def run(folder, *arguments):
    """Return what pytest says of a copy, started there as a newcomer would."""
    environment = os.environ | {"PYTHONPATH": str(folder)}
    alone = f"--basetemp={folder}-temporary"  # nothing in the place of those that run beside it
    command = [sys.executable, *arguments, "-p", "no:cacheprovider", alone]
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(ADDED)), ids=[names[0] for names in ADDED])
def test_the_command_of_the_page_passes_as_written(pasted, number):
    import shlex

    ran = run(pasted, *shlex.split(sections()[number][1]))
    assert ran.returncode == 0, ran.stdout[-3000:]


@pytest.mark.slow
def test_every_test_that_knows_the_new_ones_passes(pasted):
    """Tables kept by hand in some test file would know nothing of them."""
    files = [
        "tests/test_laws.py",
        "tests/test_bench.py",
        "tests/test_layers.py",
        "tests/test_limits.py",
        "tests/test_regions.py",
    ]
    files += [
        "tests/test_reading.py",
        "tests/test_reading_template.py",
        "tests/test_reading_write.py",
        "tests/test_widgets.py",
    ]
    files += ["tests/test_nomenclature.py", "tests/test_every_chart.py", "tests/test_every_explorer.py"]
    ran = run(pasted, "-m", "pytest", "-m", "not browser", "-k", NAMES, *files)
    assert ran.returncode == 0, ran.stdout[-3000:]
    assert int(re.search(r"(\d+) passed", ran.stdout).group(1)) >= 40


@pytest.mark.parametrize(
    ("name", "test"),
    [
        ("laws/prandtl_eyring.py", "tests/test_laws.py::test_worked_examples"),
        ("bench/inclined_plate.py", "tests/test_bench.py::test_worked_examples"),
        ("limits/creeping_flow.py", "tests/test_limits.py::test_worked_examples"),
    ],
)
@pytest.mark.slow
def test_without_its_example_the_contract_says_what_to_write(pasted, tmp_path, name, test):
    shutil.copytree(pasted, tmp_path / "copy")
    path = tmp_path / "copy" / "rheokit" / name
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"    example = Example\(\n.*?\n    \)\n", "", text, flags=re.S), encoding="utf-8")
    ran = run(tmp_path / "copy", "-m", "pytest", "-q", "--tb=short", "-m", "not browser", test)
    assert ran.returncode == 1
    assert "has no worked example, so nothing outside its own code holds it to its formula. Add:" in ran.stdout
