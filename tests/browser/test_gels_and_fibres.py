"""The sixth notebook in a real browser: sliders and choices change pictures and words; every control has a name."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

PICTURE = "Temperature along the way: described in the text below"
GAP = "gap in the air L_g [mm]"
SPEED = "winding speed v_w [mm/s]"
GEL = "gelatin-dope-40 (demo, invented)"


@pytest.fixture
def opened(notebooks):
    """Return a function that shows the notebook with everything computed, of the demo as it came."""

    def ready(notebook):
        notebook.pick(GEL)
        expect(words(notebook.page)).to_have_count(1, timeout=120_000)

    return lambda **window: notebooks.show("6-gels-and-fibres.ipynb", ready=ready, **window)


def explorer(page):
    return page.locator(".rheokit-page .rheokit-page")


def picture(page):
    return explorer(page).get_by_role("img", name=PICTURE).locator("canvas")


def answer(page):
    return explorer(page).locator(".of-answer")


def words(page):
    return explorer(page).locator("details p").filter(has_text=re.compile("^Setting of the fibre"))


def unfolded(page, title):
    opener = explorer(page).get_by_role("button", name=title, exact=True)
    if "mod-active" not in opener.get_attribute("class"):
        opener.press("Space")
    expect(opener).to_have_attribute("aria-expanded", "true")


def test_sliders_and_choices_change_pictures_and_words(opened, width, theme):
    notebook = opened(width=width, theme=theme)
    page = notebook.page
    explorer(page).evaluate("element => element.scrollIntoView({block: 'start'})")
    notebook.screenshot(f"fibre-{width}-{theme}")
    for place, part in enumerate(["Limits", "What if", "Where it can be drawn"]):
        unfolded(page, part)
        notebook.settle()
        notebook.screenshot(f"fibre-{width}-{theme}-{place}")
    expect(explorer(page).locator("details p").filter(has_text=re.compile("^Drawable region over"))).to_have_count(2)
    assert notebook.too_wide() == []

    speed = page.get_by_role("slider", name=SPEED, exact=True)
    begun = page.get_by_role("textbox", name=f"{SPEED}, typed")
    said, set_ = answer(page).inner_text(), words(page).text_content()
    held = begun.input_value()
    speed.press("PageDown")
    expect(words(page)).not_to_have_text(set_)
    expect(answer(page)).not_to_have_text(said)
    notebook.settle()
    needle = page.get_by_role("group", name="needle", exact=True)
    needle.get_by_role("button", name="bare, in the air").click()
    expect(explorer(page).locator(".result").filter(has_text="Bare needle")).not_to_have_count(0)
    notebook.settle()
    needle.get_by_role("button", name="heated", exact=True).click()
    begun.fill(held)
    begun.press("Enter")
    notebook.settle()
    expect(words(page)).to_have_text(set_)


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
    notebook.settle()
    expect(explorer(page).get_by_role("alert").filter(has_text="is not a number")).to_have_count(0)


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
    assert reached >= {GAP, f"{GAP}, typed", "diameter of the drum [mm]"}


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
