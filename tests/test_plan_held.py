"""A plan outlives hands, windows and kills: what cannot be is told in words, what is typed reads back, nothing is lost. Kind: exact."""

import os
import random
import signal
import subprocess
import sys
import time
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from rheokit import DataError
from rheokit.workbook import ASKED, Plan
from rheokit.workbook.draft import Draft

NUMBERS = [(table, key) for table, entries in ASKED.items() for key, entry in entries.items() if entry.is_number]
COUNT = """
import sys
from rheokit.workbook import Overtaken, Plan
plan = Plan.read(sys.argv[1])
for _ in range(int(sys.argv[2])):
    while True:
        try:
            plan.put("page.fit", "count", str(int(plan.text("page.fit", "count") or 0) + 1))
            plan.save()
            break
        except Overtaken:
            plan.reread()
"""
TURNS = """
import sys
from rheokit.workbook import Plan
plan = Plan.read(sys.argv[1])
print("begun", flush=True)
while True:
    for bore in ("1 mm", "2 mm"):
        plan.put("nozzle", "bore", bore)
        plan.put("page.fit", "long", bore * 2000)
        plan.save(over=True)
"""


def started(program, *given):
    return subprocess.Popen([sys.executable, "-c", program, *map(str, given)], stdout=subprocess.PIPE)


# --- by hand --------------------------------------------------------------------------------------------------------

WRONG = [
    ('[recipe]\ningredient = "flour"', lambda plan: plan.rows("recipe", "ingredient"), "[recipe], ingredient = 'flour' is no list"),
    ('[recipe]\ningredient = ["flour"]', lambda plan: plan.rows("recipe", "ingredient"), "[recipe], ingredient = "),
    ('[fit]\nleave_out = "land"', lambda plan: plan.listed("fit", "leave_out"), "[fit], leave_out = 'land' is no list"),
    ("page = 2", lambda plan: plan.put("page.fit", "law", "x"), "page = '2' is no table"),
    ("[[nozzle]]\n", lambda plan: plan.put("nozzle", "bore", "1 mm"), "[nozzle], nozzle = "),
    ("[properties]\ndensity = [1]", lambda plan: plan.properties, "[properties], density = '[1]' is not a number"),
    ('[nozzle]\nbore = "1.6"', lambda plan: plan.value("nozzle", "bore"), "[nozzle], bore = '1.6' has no unit"),
    ("[nozzle]\nbore = inf", lambda plan: plan.value("nozzle", "bore"), "[nozzle], bore = "),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "ask", "said"), WRONG, ids=[one[0].replace("\n", " ") for one in WRONG])
def test_what_was_mistyped_by_hand_is_told_in_words(typed, ask, said, tmp_path):
    (tmp_path / "plan.toml").write_text(typed, encoding="utf-8")
    plan = Plan.read(tmp_path)
    with pytest.raises(DataError) as told:
        ask(plan)
    assert said in str(told.value) and "plan.toml" in str(told.value)
    assert plan.faults and str(plan) == typed


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_a_plan_of_any_system_keeps_its_comments(ends, tmp_path):
    typed = ends.join(["# mine", "[nozzle]  # brass", 'bore = "1.6 mm"  # a pin', "", "[drive]", 'kind = "hand"', ""])
    (tmp_path / "plan.toml").write_bytes(b"\xef\xbb\xbf" + typed.encode())
    plan = Plan.read(tmp_path)
    plan.put("nozzle", "bore", "2 mm")
    plan.save()
    assert (tmp_path / "plan.toml").read_bytes() == typed.replace("1.6 mm", "2 mm").encode()


@pytest.mark.parametrize("text", ["\ud800", "x" * 200_000])
def test_what_no_file_can_hold_is_refused_and_all_else_goes_on(text, tmp_path):
    plan = Plan.read(tmp_path)
    plan.put("nozzle", "bore", "1.6 mm")
    with pytest.raises(DataError, match="nothing was changed"):
        plan.put("machine", "origin", text)
    plan.put("nozzle", "land_length", "8 mm")
    plan.save()
    again = Plan.read(tmp_path)
    assert again.text("machine", "origin") == "" and again.number("nozzle", "land_length") == 8


# --- what is typed reads back ---------------------------------------------------------------------------------------


@given(some.text(some.characters(exclude_categories=["Cs"]), max_size=60))
def test_any_text_reads_back_as_it_was_typed(text):
    plan = Draft()
    plan.put("page.region", "note", text)
    assert plan.text("page.region", "note") == Draft(str(plan)).text("page.region", "note") == text


@settings(max_examples=300)
@given(some.sampled_from(NUMBERS), some.integers(0, 1000))
def test_any_number_within_its_bounds_reads_back(place, share):
    entry, plan = ASKED[place[0]][place[1]], Draft()
    number = float(f"{entry.low + share / 1000 * (entry.high - entry.low):.6g}")
    number = min(max(number, entry.low), entry.high)
    plan.put_number(*place, f"{number:.12g}")
    again = Draft(str(plan))
    assert again.faults == []
    assert again.number(*place) == pytest.approx(number, rel=1e-9, abs=1e-9)
    assert again.value(*place) == pytest.approx(entry.in_si(number), rel=1e-9, abs=1e-15)


# --- windows and kills ----------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_of_two_programs_that_save_at_once_no_change_is_lost(tmp_path):
    with started(COUNT, tmp_path, 40) as one, started(COUNT, tmp_path, 40) as other:
        assert (one.wait(60), other.wait(60)) == (0, 0)
    assert Plan.read(tmp_path).text("page.fit", "count") == "80"
    assert [one.name for one in tmp_path.iterdir()] == ["plan.toml"]


@pytest.mark.slow
def test_a_program_that_is_killed_while_it_saves_leaves_a_whole_plan(tmp_path):
    chance = random.Random(4)
    for _ in range(6):
        with started(TURNS, tmp_path) as program:
            assert program.stdout.readline() == b"begun\n"
            time.sleep(0.1 + 0.3 * chance.random())
            program.kill()
        plan = Plan.read(tmp_path)
        bore = plan.text("nozzle", "bore")
        assert plan.faults == [] and bore in ("1 mm", "2 mm")
        assert plan.text("page.fit", "long") in ("1 mm" * 2000, "2 mm" * 2000)
        plan.put("nozzle", "land_length", "8 mm")
        plan.save()  # the one after goes on, whatever was left
    assert Plan.read(tmp_path).number("nozzle", "land_length") == 8


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is ended at a step of its own where it can be copied")
def test_whatever_the_step_of_a_save_at_which_it_is_killed_the_plan_is_whole(tmp_path):
    plan, seen = Plan.read(tmp_path), []
    plan.put("nozzle", "bore", "1 mm")
    plan.save()
    plan.put("nozzle", "bore", "2 mm")
    for last in count(1):
        child = os.fork()
        if not child:
            _killed_after(last, plan.save)
        ended = os.WTERMSIG(os.waitpid(child, 0)[1])
        seen.append(Plan.read(tmp_path).text("nozzle", "bore"))
        assert Plan.read(tmp_path).faults == [] and seen[-1] in ("1 mm", "2 mm")
        if not ended:
            break
        if seen[-1] == "2 mm":
            plan.reread()
            plan.put("nozzle", "bore", "1 mm")
            plan.save()
            plan.put("nozzle", "bore", "2 mm")
    assert seen[0] == "1 mm" and seen[-1] == "2 mm" and len(seen) > 30


def _killed_after(last, act):
    """Do it, and end this process without a word at so many calls, of Python or of the system."""
    calls = count(1)

    def hear(_, event, __):
        if event in ("call", "c_call") and next(calls) == last:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.setprofile(hear)
    act()
    sys.setprofile(None)
    os._exit(0)
