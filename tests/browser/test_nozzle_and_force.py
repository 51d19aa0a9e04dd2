"""The second notebook in a real browser: controls change words, pictures and tables; errors stand in the page."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

FORCE, ALONG, PARTS = (
    f"{title}: described in the text below"
    for title in ("Force against print speed", "Pressure along the extruder", "Pressure by parts")
)


@pytest.fixture
def opened(notebooks):
    """Return a function that shows the notebook with everything computed."""

    def ready(notebook):
        expect(headline(notebook.page).first).to_contain_text("Force", timeout=120_000)
        to_the_top(notebook.page)  # out of sight the page knows no width
        expect(notebook.page.get_by_role("region", name=re.compile("^Start and stop"))).to_have_count(
            1, timeout=120_000
        )

    def show(width=1280, theme="light"):
        notebook = notebooks.show("2-nozzle-and-force.ipynb", ready=ready, width=width, theme=theme)
        to_the_top(notebook.page)
        on_its_page(notebook.page, theme)
        notebook.settle()
        return notebook

    return show


def to_the_top(page):
    heading = page.get_by_role("heading", name="Force and pressure", exact=True)
    heading.evaluate("heading => heading.scrollIntoView()")


def on_its_page(page, theme):
    """Wait until the picture is as dark as the page and no wider: it is drawn once before the page has told."""
    page.wait_for_function(
        """([name, dark]) => {
            const canvas = document.querySelector(`[role=img][aria-label="${name}"] canvas`);
            const page = document.querySelector('.rheokit-page');
            if (!canvas) return false;
            const copy = new OffscreenCanvas(8, 8).getContext('2d', {willReadFrequently: true});
            copy.drawImage(canvas, 0, 0);
            return (copy.getImageData(2, 2, 1, 1).data[0] < 128) === dark && canvas.getBoundingClientRect().right <= page.getBoundingClientRect().right + 1;
        }""",
        arg=[FORCE, theme == "dark"],
    )


def headline(page):
    return page.locator(".rheokit-page .result")


def picture(page, title=FORCE):
    return page.get_by_role("img", name=title).locator("canvas")


def pixels(page, title=FORCE):
    return picture(page, title).evaluate("canvas => canvas.toDataURL()")


def changed(page, before, title=FORCE):
    page.wait_for_function(
        """([name, before]) => {
            const canvas = document.querySelector(`[role=img][aria-label="${name}"] canvas`);
            return canvas && canvas.toDataURL() !== before;
        }""",
        arg=[title, before],
    )


def test_speed_and_bore_change_words_and_pictures(opened, width, theme):
    notebook = opened(width=width, theme=theme)
    page = notebook.page
    expect(picture(page)).to_be_visible()
    for place, part in enumerate(["Force and pressure", "Where the pressure goes", "Limits", "Numbers"]):
        page.get_by_role("heading", name=part, exact=True).evaluate("heading => heading.scrollIntoView()")
        notebook.screenshot(f"nozzle-{width}-{theme}-{place}")
    assert notebook.too_wide() == []

    before, along, said = pixels(page), pixels(page, ALONG), headline(page).first.inner_text()
    speed = page.get_by_role("slider", name="Print speed v [mm/s]")
    speed.press("PageUp")
    expect(headline(page).first).not_to_have_text(said)
    changed(page, before)
    changed(page, along, ALONG)
    notebook.settle()

    along = pixels(page, ALONG)
    bore = page.get_by_role("textbox", name="bore at the tip D [mm]")
    bore.fill("0.8")
    bore.press("Enter")
    expect(headline(page).nth(1)).to_contain_text("Stopped by line width over bore: 2.5")
    changed(page, along, ALONG)
    notebook.settle()
    to_the_top(page)
    notebook.screenshot(f"nozzle-{width}-{theme}-half-the-bore")
    bore.fill("1.6")
    bore.press("Enter")
    speed.press("PageDown")
    expect(headline(page).first).to_have_text(said)
    notebook.settle()


def test_an_unrated_barrel_with_air_is_stopped_by_the_keyboard_alone(opened):
    notebook = opened()
    page = notebook.page
    said = headline(page).nth(1).inner_text()
    rating, drive = (page.get_by_role("group", name=name) for name in ("pressure rating", "drive"))
    found = [
        group.locator("button.mod-active, button[aria-pressed=true]").first.inner_text() for group in (rating, drive)
    ]
    rating.get_by_role("button", name="none").focus()
    page.keyboard.press("Space")
    expect(headline(page).nth(1)).to_contain_text("Stopped by pressure in the barrel")
    drive.get_by_role("button", name="air").focus()
    page.keyboard.press("Space")
    expect(headline(page).nth(1)).to_contain_text("at most 0 kPa allowed")
    expect(page.get_by_role("note").filter(has_text="Stored gas")).to_be_visible()
    expect(page.get_by_role("textbox", name="torque of the motor M [N·m]")).to_be_hidden()
    notebook.settle()
    to_the_top(page)
    notebook.screenshot("nozzle-air-unrated")
    for group, button in zip((rating, drive), found, strict=True):
        group.get_by_role("button", name=button, exact=True).press("Space")
    expect(headline(page).nth(1)).to_have_text(said)
    notebook.settle()


def test_a_nozzle_that_cannot_be_is_answered_in_the_page_and_the_picture_stays(opened):
    notebook = opened()
    page = notebook.page
    before = pixels(page)
    inlet = page.get_by_role("textbox", name="inlet of the nozzle D_in [mm]")
    inlet.fill("1")
    inlet.press("Enter")
    alert = page.get_by_role("alert").filter(has_text="narrowing flow only is computed")
    expect(alert).to_have_count(2)  # above all, and where it was typed
    expect(alert.first).to_contain_text("Below stands the last one that could be computed")
    assert pixels(page) == before
    notebook.screenshot("nozzle-bad-inlet")
    inlet.fill("4")
    inlet.press("Enter")
    expect(alert).to_have_count(0)
    notebook.settle()


def test_no_number_field_alters_what_is_typed(opened):
    notebook = opened()
    said = headline(notebook.page).first.inner_text()
    assert len(notebook.number_fields()) >= 16
    notebook.hold_number_fields()
    notebook.settle()
    expect(headline(notebook.page).first).to_have_text(said)

    speed = notebook.page.get_by_role("slider", name="Print speed v [mm/s]", exact=True)
    typed = notebook.page.get_by_role("textbox", name="Print speed v [mm/s], typed")
    typed.fill("20,3")
    typed.press("Enter")
    expect(speed).to_have_attribute("aria-valuetext", "20.3 mm/s")
    assert abs(float(speed.get_attribute("aria-valuenow")) - 20.3) < 0.5  # its nearest place, and no exponent
    bore = notebook.page.get_by_role("textbox", name="bore at the tip D [mm]")
    bore.fill("99")
    bore.press("Enter")
    old = notebook.page.locator(".old.failed").first
    expect(old).to_be_visible()
    to_the_top(notebook.page)
    notebook.screenshot("nozzle-refused")
    bore.evaluate("e => e.scrollIntoView({block: 'center'})")
    notebook.screenshot("nozzle-refused-beside")
    bore.fill("1.6")
    bore.press("Enter")
    typed.fill("15")
    typed.press("Enter")
    expect(old).to_have_count(0)
    expect(headline(notebook.page).first).to_have_text(said)
    notebook.settle()


def test_every_control_has_a_name(opened):
    notebook = opened()
    page = notebook.page
    assert notebook.nameless() == []
    for control in ("Print speed v [mm/s]", "Stiffness [× fitted]"):
        expect(page.get_by_role("slider", name=control)).to_have_count(1)


@pytest.mark.timed
@pytest.mark.parametrize("slider", ["Print speed v [mm/s]", "Stiffness [× fitted]"])
def test_a_move_is_seen_soon(opened, slider, record_property):
    """From the key press to the redrawn picture; the limit leaves room for a busy machine."""
    notebook = opened()
    notebook.page.get_by_role("slider", name=slider).focus()
    took = notebook.redraws(FORCE, "ArrowRight", "ArrowLeft")
    median = took[len(took) // 2]
    record_property("median_ms", median)
    print(f"{slider}: median {median:.0f} ms, slowest {took[-1]:.0f} ms")
    assert median < 1500
