"""The sixth notebook in a real browser: sliders and choices change pictures and words; every control has a name."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

PICTURE = "Temperature along the way: described in the text below"
GAP = "gap L_g [mm]"
SPEED = "winding speed v_w [mm/s]"


@pytest.fixture
def opened(notebooks):
    """Return a function that shows the notebook with everything computed."""

    def ready(notebook):
        expect(explorer(notebook.page).get_by_text(re.compile("In words: Drawable region over gap"))).to_have_count(
            1, timeout=120_000
        )

    return lambda **window: notebooks.show("6-gels-and-fibres.ipynb", ready=ready, **window)


def explorer(page):
    return page.locator(".rheokit-page")


def picture(page):
    return explorer(page).get_by_role("img", name=PICTURE).locator("canvas")


def answer(page):
    return (
        explorer(page)
        .locator(".result")
        .filter(has_text="gap 3 mm")
        .or_(explorer(page).locator(".result").filter(has_text="rpm):"))
    )


def words(page):
    return explorer(page).get_by_text(re.compile("In words: Setting of the fibre"))


def test_sliders_and_choices_change_pictures_and_words(opened, width, theme):
    notebook = opened(width=width, theme=theme)
    page = notebook.page
    for place, part in enumerate(
        ["How to wind it", "Its way from the needle to the drum", "Limits", "What if", "Where it can be drawn"]
    ):
        heading = explorer(page).get_by_role("heading", name=part, exact=True)
        heading.evaluate("element => element.scrollIntoView({block: 'start'})")
        notebook.screenshot(f"fibre-{width}-{theme}-{place}")
    assert notebook.too_wide() == []

    speed = page.get_by_role("slider", name=SPEED, exact=True)
    begun, said, set_ = (
        page.get_by_role("textbox", name=f"{SPEED}, typed"),
        answer(page).inner_text(),
        words(page).inner_text(),
    )
    held = begun.input_value()
    speed.press("PageDown")
    expect(words(page)).not_to_have_text(set_)
    expect(answer(page)).not_to_have_text(said)
    notebook.settle()
    needle = page.get_by_role("combobox", name="needle", exact=True)
    needle.select_option(label="bare, in the air")
    expect(answer(page)).to_contain_text("Bare needle")
    notebook.settle()
    needle.select_option(label="heated")
    begun.fill(held)
    begun.press("Enter")
    expect(answer(page)).to_have_text(said)
    notebook.settle()


def test_what_is_refused_is_said_beside_its_field_and_what_stands_is_kept(opened):
    notebook = opened()
    page = notebook.page
    gap = page.get_by_role("textbox", name=f"{GAP}, typed")
    found = gap.input_value()
    gap.fill("three")
    gap.press("Enter")
    expect(explorer(page).get_by_role("alert").filter(has_text="is not a number")).not_to_have_count(0)
    expect(picture(page)).to_be_visible()
    gap.fill(found)
    gap.press("Enter")
    expect(explorer(page).get_by_role("alert")).to_have_count(0)
    notebook.settle()


def test_no_number_field_alters_what_is_typed(opened):
    notebook = opened()
    assert len(notebook.number_fields()) >= 14
    notebook.hold_number_fields()
    notebook.settle()


def test_every_control_has_a_name_and_the_keyboard_reaches_it(opened):
    page = opened().page
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('.rheokit-page :is(input, select, textarea, button, [role=slider], canvas)')]
            .filter((e) => e.offsetParent && !(e.ariaLabel || e.labels?.length || e.textContent.trim()
              || e.closest('[role=img][aria-label]')))
            .map((e) => e.outerHTML.slice(0, 120))"""
    )
    assert nameless == []
    page.get_by_role("slider", name=SPEED, exact=True).focus()
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "() => document.activeElement.ariaLabel ?? document.activeElement.labels?.[0]?.textContent ?? ''"
            )
        )
    assert reached >= {GAP, f"{GAP}, typed", "bore D [mm]", "needle", "diameter of the drum [mm]", "the fibre dries"}


@pytest.mark.timed
def test_a_move_of_a_slider_is_seen_soon(opened, record_property):
    """From the key press to the picture drawn on the canvas; the limit leaves room for a busy machine."""
    notebook = opened()
    notebook.page.get_by_role("slider", name=SPEED, exact=True).focus()
    took = notebook.draws_while_busy("fillText", "ArrowRight")
    median = took[len(took) // 2]
    record_property("median_ms", median)
    print(f"slider: median {median:.0f} ms, slowest {max(took):.0f} ms")
    assert median < 1500
