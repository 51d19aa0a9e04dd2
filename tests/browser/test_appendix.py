"""The appendix in Chromium: a page that asks for nothing, read by axe-core, and the button of a notebook that makes it."""

import re
import shutil
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

import rheokit as rk

pytestmark = [pytest.mark.browser, pytest.mark.slow]
CHECKOUT = Path(__file__).parents[2]
QUICK = CHECKOUT / "data" / "gelatin-dope"


@pytest.fixture(scope="module")
def appendix(tmp_path_factory):
    """Return the page of an appendix."""
    folder = tmp_path_factory.mktemp("appendix") / "my-paste"
    shutil.copytree(QUICK, folder)
    return rk.appendix.write(folder).folder / "appendix.html"


def opened(browser, page, width, scheme, **more):
    """Return a page that was opened without a network, what it complained of, and what it asked for."""
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True, **more)
    tab, said, asked = context.new_page(), [], []
    tab.on("console", lambda message: said.append(message.text))
    tab.on("pageerror", lambda error: said.append(str(error)))
    tab.on("request", lambda request: asked.append(request.url))
    tab.goto(page.as_uri())
    return tab, said, asked


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_opens_offline_asks_for_nothing_and_complains_of_nothing(browser, appendix, width, scheme):
    tab, said, asked = opened(browser, appendix, width, scheme)
    assert said == [] and {url for url in asked if not url.startswith("data:")} == {appendix.as_uri()}
    images = tab.evaluate("() => [...document.images].map((one) => [one.naturalWidth, one.alt.length])")
    assert images and all(wide > 100 and words > 20 for wide, words in images)
    assert (
        tab.evaluate("() => getComputedStyle(document.querySelector('.caution, thead th')).borderTopStyle") == "solid"
    ), "its style is allowed"
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= width
    tab.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(browser, appendix, scheme):
    """Its rules of every kind; they are put into the page, which its policy forbids otherwise."""
    tab, *_ = opened(browser, appendix, 768, scheme, bypass_csp=True)
    found = Axe().run(tab).response["violations"]
    assert [(one["id"], one["impact"], one["nodes"][0]["html"]) for one in found] == []
    tab.context.close()


def test_it_is_read_with_the_keyboard(browser, appendix):
    tab, *_ = opened(browser, appendix, 1280, "light")
    tab.keyboard.press("Tab")
    assert tab.evaluate("() => document.activeElement.textContent") == "To the text"
    tab.keyboard.press("Enter")
    assert tab.evaluate("() => document.activeElement.id") == "content"
    tables = tab.get_by_role("region")
    assert tables.count() > 5
    tables.first.focus()
    assert tab.evaluate("() => document.activeElement.getAttribute('role')") == "region"
    tab.context.close()


def test_no_table_is_cut_on_paper(browser, appendix):
    tab, *_ = opened(browser, appendix, 700, "light")  # A4 within its margins [px]
    tab.emulate_media(media="print")
    wide = tab.evaluate(
        "() => [...document.querySelectorAll('table')].filter((one) => one.scrollWidth > innerWidth).map((one) => document.getElementById(one.getAttribute('aria-labelledby')).textContent)"
    )
    assert wide == []
    tab.context.close()


def test_a_press_in_the_notebook_writes_it_and_says_where(notebooks, workbook, pastes):
    notebook = notebooks.show("1-fit-bench-data.ipynb")
    page = notebook.page
    page.get_by_role("button", name="Appendix of a report").click()
    panel = page.locator(".rheokit-appendix")
    panel.get_by_role("button", name="Make the appendix").click()
    expect(panel.get_by_role("status")).to_contain_text("Making it: ")
    expect(panel.get_by_role("status")).to_contain_text(
        "appendix.html, appendix.pdf, tables and figures are written into"
    )
    panel.scroll_into_view_if_needed()
    notebook.screenshot("appendix-made")
    folder = Path(re.search(r"written into '(.*)'\.", panel.get_by_role("status").inner_text()).group(1))
    assert (folder / "appendix.pdf").read_bytes().startswith(b"%PDF") and CHECKOUT not in folder.parents
    page.get_by_role("button", name="Appendix of a report").click()
