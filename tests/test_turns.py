"""A page may speak to a thread of its own: what it calls and what is computed meanwhile never run at once."""

import asyncio
import re
import threading
import time
from pathlib import Path

import ipywidgets as W
import pytest

from rheokit.widgets.freshness import Answer, no_newer
from rheokit.widgets.parts import Later
from rheokit.widgets.turns import hear, hear_press, in_turn

WIDGETS = Path(__file__).parents[1] / "rheokit" / "widgets"


def in_threads(*functions):
    """Run functions at once, each in a thread of its own, until all are done."""
    threads = [threading.Thread(target=function) for function in functions]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(10)
        assert not thread.is_alive()


def test_two_threads_take_turns():
    said = []

    @in_turn
    def work(who):
        said.append(who)
        time.sleep(0.02)
        said.append(who)

    in_threads(*(lambda who=who: work(who) for who in range(4)))
    assert all(said[k] == said[k + 1] for k in range(0, 8, 2)), said


def test_a_change_that_changes_another_control_does_not_wait_for_itself():
    first, second, seen = W.IntText(), W.IntText(), []
    hear(first, lambda: setattr(second, "value", first.value))
    hear(second, lambda: seen.append(second.value))
    first.value = 3
    button = W.Button()
    hear_press(button, lambda: seen.append("pressed"))
    button.click()
    assert seen == [3, "pressed"]


def test_traits_are_heard_by_name():
    slider, seen = W.IntSlider(), []
    hear(slider, lambda: seen.append((slider.min, slider.max)), "min", "max")
    slider.value, slider.max = 1, 50
    assert seen == [(0, 50)]


def test_a_new_theme_while_answers_are_computed_leaves_no_mark_behind():
    """Seen in a browser: the page drew itself anew meanwhile, and put the mark of the old answer back on the new one."""
    answer, box, drawing = Answer(), W.VBox(), threading.Event()
    box.children, answer.value = [answer], "before"
    answer.expire()

    def draw_anew():
        with no_newer(box):
            drawing.set()
            time.sleep(0.1)

    later = Later(pytest.fail)

    def compute():
        drawing.wait(5)
        later.start([lambda: setattr(answer, "value", "after")])

    in_threads(in_turn(draw_anew), compute)
    assert answer.value == "after"
    assert answer._dom_classes == ("answer",)


def test_a_step_that_waited_while_others_came_is_not_done():
    done, later = [], Later(pytest.fail)

    async def page():
        later.start([lambda: done.append("stale")], rest=0)
        holding, free = threading.Event(), threading.Event()

        @in_turn
        def other_thread():
            holding.set()
            time.sleep(0.2)  # meanwhile the loop comes to the step, which waits
            later._waiting = None  # as `start` leaves it when the loop of another thread does the new steps
            done.append("new")
            free.set()

        thread = threading.Thread(target=other_thread)
        thread.start()
        assert holding.wait(5)
        await asyncio.sleep(0.3)
        thread.join(5)
        assert free.is_set()

    asyncio.run(page())
    assert done == ["new"]


def test_every_control_is_heard_in_turn():
    for path in WIDGETS.glob("*.py"):
        text = re.sub(r'= """.*?"""', "", path.read_text(encoding="utf-8"), flags=re.S)
        text = re.sub(r"@traitlets\.observe\(.*?\)\n    @in_turn\n", "", text)
        bare = re.findall(r".*(?:\.observe\(|\.on_click\(|\.on_msg\(|\.interact\().*", text)
        assert path.name == "turns.py" or not bare, f"{path.name}: {bare}; use hear or hear_press of turns.py"
