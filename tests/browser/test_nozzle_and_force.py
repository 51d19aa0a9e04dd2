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
def opened(open_notebook):
    """Return a function that opens and runs the notebook and waits until everything is computed."""

    def open_and_run(**window):
        notebook = open_notebook("2-nozzle-and-force.ipynb", **window)
        notebook.run()
        expect(headline(notebook.page).first).to_contain_text("Force", timeout=120_000)
        heading = notebook.page.get_by_role("heading", name="Force and pressure", exact=True)
        heading.evaluate("heading => heading.scrollIntoView()")  # out of sight the page knows no width
        on_its_page(notebook.page, window.get("theme", "light"))
        settled(notebook.page)
        return notebook

    return open_and_run


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


def settled(page):
    """Wait until no status line says that something is being computed, and the tables stand."""
    expect(page.get_by_role("region", name=re.compile("^Start and stop"))).to_have_count(1, timeout=120_000)
    expect(page.get_by_role("status").filter(has_text="Computing")).to_have_count(0, timeout=120_000)


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
    page.wait_for_timeout(500)
    for place, part in enumerate(["Force and pressure", "Where the pressure goes", "Limits", "Numbers"]):
        page.get_by_role("heading", name=part, exact=True).evaluate("heading => heading.scrollIntoView()")
        page.wait_for_timeout(300)
        notebook.screenshot(f"nozzle-{width}-{theme}-{place}")
    assert notebook.too_wide() == []

    before, along, said = pixels(page), pixels(page, ALONG), headline(page).first.inner_text()
    page.get_by_role("slider", name="Print speed v [mm/s]").press("PageUp")
    expect(headline(page).first).not_to_have_text(said)
    changed(page, before)
    changed(page, along, ALONG)
    settled(page)

    along = pixels(page, ALONG)
    bore = page.get_by_role("spinbutton", name="bore at the tip D [mm]")
    bore.fill("0.8")
    bore.press("Enter")
    expect(headline(page).nth(1)).to_contain_text("Stopped by line width over bore: 2.5")
    changed(page, along, ALONG)
    settled(page)
    page.get_by_role("heading", name="Force and pressure", exact=True).evaluate("heading => heading.scrollIntoView()")
    notebook.screenshot(f"nozzle-{width}-{theme}-half-the-bore")


def test_an_unrated_barrel_with_air_is_stopped_by_the_keyboard_alone(opened):
    notebook = opened()
    page = notebook.page
    page.get_by_role("group", name="pressure rating").get_by_role("button", name="none").focus()
    page.keyboard.press("Space")
    expect(headline(page).nth(1)).to_contain_text("Stopped by pressure in the barrel")
    page.get_by_role("group", name="drive").get_by_role("button", name="air").focus()
    page.keyboard.press("Space")
    expect(headline(page).nth(1)).to_contain_text("at most 0 kPa allowed")
    expect(page.get_by_role("note").filter(has_text="Stored gas")).to_be_visible()
    expect(page.get_by_role("spinbutton", name="torque of the motor M [N·m]")).to_be_hidden()
    settled(page)
    page.get_by_role("heading", name="Force and pressure", exact=True).evaluate("heading => heading.scrollIntoView()")
    notebook.screenshot("nozzle-air-unrated")


def test_a_nozzle_that_cannot_be_is_answered_in_the_page_and_the_picture_stays(opened):
    notebook = opened()
    page = notebook.page
    before = pixels(page)
    inlet = page.get_by_role("spinbutton", name="inlet of the nozzle D_in [mm]")
    inlet.fill("1")
    inlet.press("Enter")
    alert = page.get_by_role("alert").filter(has_text="rheokit computes narrowing flow only")
    expect(alert).to_be_visible()
    expect(alert).to_contain_text("Below stands the last one that could be computed")
    assert pixels(page) == before
    notebook.screenshot("nozzle-bad-inlet")
    inlet.fill("4")
    inlet.press("Enter")
    expect(alert).to_have_count(0)


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
    page = notebook.page
    target = page.get_by_role("slider", name=slider)
    target.focus()

    def rest():
        settled(page)
        page.wait_for_timeout(300)

    took = notebook.redraws(FORCE, "ArrowRight", 20, rest)
    median = sorted(took)[len(took) // 2]
    record_property("median_ms", median)
    print(f"{slider}: median {median:.0f} ms, slowest {max(took):.0f} ms")
    assert median < 1500
