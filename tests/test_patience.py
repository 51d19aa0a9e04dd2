"""What Windows does with files that another program has open, simulated: a moment is waited for, and a longer one told. Kind: contract."""

import os
import time

import pytest

from rheokit.command.travelling import bring
from rheokit.errors import DataError
from rheokit.reading import locking, patience
from rheokit.reading.saving import save
from rheokit.workbook import Plan


def held(number):
    """Return what Windows raises, by its own number."""
    error = PermissionError(13, "Permission denied")
    error.winerror = number
    return error


class Busy:
    """Stands for a function of the system that refuses a few times, and counts how often it was asked."""

    def __init__(self, real, times, number):
        self.real, self.times, self.number, self.asked = real, times, number, 0

    def __call__(self, *given, **more):
        self.asked += 1
        if self.asked <= self.times:
            raise held(self.number)
        return self.real(*given, **more)


def a_plan(folder):
    plan = Plan.read(folder)
    plan.put("nozzle", "bore", "2 mm")
    plan.save()
    return folder / "plan.toml"


def a_bench(folder):
    save({"bench.toml": b"x = 1"}, folder / "clay")
    return folder / "clay" / "bench.toml"


def a_notebook(folder):
    (folder / "came").mkdir()
    (folder / "came" / "1.ipynb").write_bytes(b"{}")
    bring(folder / "came", folder / "notebooks")
    return folder / "notebooks" / "1.ipynb"


@pytest.mark.parametrize("number", [5, 32, 33])
@pytest.mark.parametrize("save_it", [a_plan, a_bench, a_notebook])
def test_a_file_that_is_open_elsewhere_for_a_moment_is_waited_for(save_it, number, tmp_path, monkeypatch):
    busy = Busy(os.replace, 2, number)
    monkeypatch.setattr(os, "replace", busy)
    assert save_it(tmp_path).is_file() and busy.asked >= 3


def test_one_that_stays_open_is_told_and_nothing_is_written(tmp_path, monkeypatch):
    monkeypatch.setattr(patience, "LONGEST", 0.05)
    plan = Plan.read(tmp_path)
    plan.put("nozzle", "bore", "2 mm")
    monkeypatch.setattr(os, "replace", Busy(os.replace, 1000, 32))
    with pytest.raises(
        DataError, match="nothing was saved: another program has it open; close it there and save again"
    ):
        plan.save()
    assert not list(tmp_path.iterdir())


def test_what_is_not_permitted_elsewhere_is_told_at_once(monkeypatch):
    refused = Busy(os.replace, 1000, None)
    monkeypatch.setattr(time, "sleep", lambda _: pytest.fail("it waited"))
    with pytest.raises(PermissionError):
        patience.patiently(refused, "a", "b")
    assert refused.asked == 1


def test_a_lock_that_is_about_to_go_is_one_that_is_held(tmp_path, monkeypatch):
    busy = Busy(os.open, 2, 5)
    monkeypatch.setattr(os, "open", busy)
    with locking.alone(tmp_path):
        assert busy.asked == 3


@pytest.mark.parametrize("name", [".DS_Store", "desktop.ini", "Thumbs.db"])
def test_what_a_system_writes_into_a_folder_leaves_it_empty(name, tmp_path):
    (tmp_path / name).touch()
    save({"bench.toml": b"x = 1"}, tmp_path)
    assert sorted(one.name for one in tmp_path.iterdir()) == sorted([name, "bench.toml"])
