"""The fold of notebook 1 that says which reading to take next, in a real browser."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

FOLD = "Which reading next?"


def test_the_fold_ranks_readings_and_answers_another_question(notebooks):
    notebook = notebooks.show("1-fit-bench-data.ipynb")
    page = notebook.page
    fold = page.get_by_role("button", name=FOLD)
    expect(fold).to_be_visible(timeout=120_000)
    fold.click()
    table = page.get_by_role("region", name="Readings for the force on the plunger")
    expect(table).to_be_visible(timeout=120_000)
    expect(page.get_by_text("Nothing cheap will help").first).to_be_visible()
    table.scroll_into_view_if_needed()
    notebook.screenshot("next-reading")
    for width in (768, 1280):
        notebook = notebooks.show("1-fit-bench-data.ipynb", width=width)
        named = table.locator("th", has_text="reading").first
        assert named.bounding_box()["width"] > 150, "its column stands a word a line"
        assert table.evaluate("one => one.scrollWidth <= one.clientWidth"), "its last column is out of sight"
    page.get_by_label("question", exact=True).select_option("start force")
    expect(page.get_by_role("region", name="Readings for the least force that starts the flow")).to_be_visible(
        timeout=120_000
    )
    page.get_by_label("question", exact=True).select_option("force at this speed")
    expect(table).to_be_visible(timeout=120_000)
    fold.click()
    expect(table).to_be_hidden()
