"""A page may speak to a thread of its own: what it calls runs in the thread that computes, one after the other."""

import asyncio
import re
import threading
import time
from pathlib import Path

import ipywidgets as W
import pytest

from rheokit.widgets.page.elements import Later
from rheokit.widgets.page.freshness import Answer, Unheard, no_newer
from rheokit.widgets.page.hearing import hear, hear_press

WIDGETS = Path(__file__).parents[1] / "rheokit" / "widgets"


def another_thread(say):
    """Run `say` in another thread, as JupyterLab's messages arrive, and let the loop of this one go on meanwhile."""

    async def page():
        thread = threading.Thread(target=say)
        thread.start()
        while thread.is_alive():
            await asyncio.sleep(0.01)
        await asyncio.sleep(0.05)

    return page()


def test_what_another_thread_says_is_called_in_this_one():
    slider, button, where = W.IntSlider(), W.Button(), []

    async def page():
        hear(slider, lambda: where.append((threading.get_ident(), slider.value)))
        hear_press(button, lambda: where.append((threading.get_ident(), "pressed")))
        await another_thread(lambda: (setattr(slider, "value", 7), button.click()))

    asyncio.run(page())
    assert where == [(threading.get_ident(), 7), (threading.get_ident(), "pressed")]


def test_a_change_that_changes_another_control_is_heard_at_once():
    """As it must be where a flag says who is changing it."""
    first, second, seen = W.IntText(), W.IntText(), []

    async def page():
        hear(first, lambda: (setattr(second, "value", first.value), seen.append("first")))
        hear(second, lambda: seen.append("second"))
        first.value = 3

    asyncio.run(page())
    assert seen == ["second", "first"]


def test_without_a_loop_everything_is_heard_at_once():
    slider, seen = W.IntSlider(), []
    hear(slider, lambda: seen.append((slider.min, slider.max)), "min", "max")
    slider.value, slider.max = 1, 50
    assert seen == [(0, 50)]


def test_a_move_is_heard_only_after_what_it_calls():
    """Else the page would take its marks off before the kernel has even begun."""
    slider, heard = W.IntSlider(), []

    async def page():
        unheard = Unheard()
        hear(slider, lambda: heard.append(("act", unheard.heard)))
        unheard.observe(lambda change: heard.append(("heard", change.new)), "heard")
        await another_thread(lambda: (setattr(slider, "value", 7), setattr(unheard, "moved", 1)))

    asyncio.run(page())
    assert heard == [("act", 0), ("heard", 1)]


def test_a_new_theme_while_answers_are_computed_leaves_no_mark_behind():
    """Seen in a browser: the page drew itself anew meanwhile, and put the mark of the old answer back on the new one."""
    answer, box, probe = Answer(), W.VBox(), W.IntText()
    box.children, answer.value = [answer], "before"

    def draw_anew():
        with no_newer(box):
            time.sleep(0.2)

    async def page():
        hear(probe, draw_anew)
        Later(pytest.fail, box).start([lambda: setattr(answer, "value", "after")], rest=0)
        assert answer._dom_classes == ("answer", "old")
        await another_thread(lambda: setattr(probe, "value", 1))
        await asyncio.sleep(0.3)

    asyncio.run(page())
    assert (answer.value, answer._dom_classes) == ("after", ("answer",))


def test_every_control_is_heard_in_the_thread_of_its_page():
    for path in WIDGETS.rglob("*.py"):
        text = re.sub(r'= """.*?"""', "", path.read_text(encoding="utf-8"), flags=re.S)
        # the record of outcomes observes what came of a prediction, and no control
        bare = re.findall(r".*(?:(?<!self\._record)\.observe\(|\.on_click\(|\.on_msg\(|interact\().*", text)
        assert path.name == "hearing.py" or not bare, f"{path.name}: {bare}; use hear or hear_press of hearing.py"
