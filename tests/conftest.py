"""Settings and fixtures of the whole test suite."""

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

CHECKOUT = Path(__file__).parents[1]

# No time limit for one example: the first one often pays for an import, and machines differ.
# In CI the examples are the same at every run, so that a failure there can be repeated here.
settings.register_profile("local", deadline=None, print_blob=True)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "local")


OWN = ("RHEOKIT_STATE", "RHEOKIT_PASTES")  # the folders of what is remembered, and of new pastes
LONGEST = ("faults", "widgets", "fitting", "stamp", "developers", "demonstration", "fitting_regions", "recipe_explorer")


def _turn(item):
    """Return when a file is begun: first those in the browser, then the longest, so that no core waits for one of them at the end."""
    if item.path.parent.name == "browser":
        return 0
    return 1 if item.path.stem.removeprefix("test_") in LONGEST else 2


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """Let published cases and mathematical properties leave what benches have: hoses of concrete, presses, pipelines."""
    items.sort(key=_turn)
    for item in items:
        if item.path.parent.name in ("published", "properties"):
            item.add_marker(pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning"))
        if item.path.parent.name in ("properties", "hostile"):  # random cases, and hundreds of folders
            item.add_marker(pytest.mark.slow)


@pytest.fixture(scope="session")
def copy_workbook():
    """Return a function that puts a copy of notebooks/ and data/, to run and write in, into a folder, and returns that."""

    def copied(folder):
        (folder / "notebooks").mkdir(parents=True)
        for part in ("notebooks", "data"):
            if (CHECKOUT / part).is_dir():
                shutil.copytree(CHECKOUT / part, folder / part, dirs_exist_ok=True)
        return folder

    return copied


@pytest.fixture
def workbook(copy_workbook, tmp_path):
    """Return a folder of this test alone that holds a copy of notebooks/ and data/."""
    return copy_workbook(tmp_path / "workbook")


@pytest.fixture(scope="session")
def kernel_environment(tmp_path_factory):
    """Return the environment of a server or kernel that finds rheokit in this checkout, and nothing that a person or another one left."""
    inherited = [path for path in [os.environ.get("PYTHONPATH")] if path]
    own = {name: str(tmp_path_factory.mktemp(name.lower())) for name in (*OWN, "IPYTHONDIR")}
    return {**os.environ, **own, "PYTHONPATH": os.pathsep.join([str(CHECKOUT), *inherited])}


@pytest.fixture
def open_tmp_path():
    """Return a folder that other users may look into; those of pytest are shut again by whoever runs it meanwhile."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder).resolve()


def _with_folders_of_its_own(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        for name in OWN:
            patch.setenv(name, str(tmp_path_factory.mktemp(name.lower())))
        patch.delenv("RHEOKIT_FOLDER", raising=False)
        yield


@pytest.fixture(autouse=True, scope="session")
def nothing_of_a_person(tmp_path_factory):
    """Keep what pages remember, new pastes and changes of a demo from the person who runs the tests, and theirs from the tests."""
    yield from _with_folders_of_its_own(tmp_path_factory)


@pytest.fixture(autouse=True, scope="module")
def nothing_of_another_file(nothing_of_a_person, tmp_path_factory):
    """Let no file of tests begin with the folder that another one opened last: which one that is depends on the machine."""
    yield from _with_folders_of_its_own(tmp_path_factory)
