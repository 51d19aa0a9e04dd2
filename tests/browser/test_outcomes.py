"""What is predicted is kept, and what came out is typed, on the pages that predict: named, within the page, in both colours."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
NOTEBOOKS = {
    "2-nozzle-and-force.ipynb": "olive-stone-paste (demo, invented)",
    "6-gels-and-fibres.ipynb": "gelatin-dope-40 (demo, invented)",
}
CUT = """() => [...document.querySelectorAll('.rheokit-page :is(.widget-label, button, p, h3)')]
  .filter((one) => one.offsetParent && one.clientWidth && one.scrollWidth > one.clientWidth + 1)
  .map((one) => `${one.scrollWidth} px in ${one.clientWidth}: ${one.value || one.textContent}`)"""


def fold_of(notebook):
    opener = notebook.page.get_by_role("button", name="Predicted and observed")
    if opener.get_attribute("aria-pressed") != "true" and "mod-active" not in (opener.get_attribute("class") or ""):
        opener.click()
    return opener


@pytest.mark.parametrize("name", NOTEBOOKS, ids=lambda name: name[0])
def test_a_prediction_is_kept_and_what_came_out_is_written(notebooks, name):
    notebook = notebooks.show(name, ready=lambda one: one.pick(NOTEBOOKS[name]), width=1280)
    page = notebook.page
    opener = fold_of(notebook)
    page.get_by_role("button", name="What is predicted now?").click()
    keep = page.get_by_role("button", name="Keep this prediction: Force on the plunger while it runs")
    expect(keep).to_be_visible()
    expect(page.get_by_text("A medical syringe carries no pressure rating").last).to_be_visible()
    keep.click()
    expect(page.get_by_text("Kept as number 1: force")).to_be_visible()
    kept = page.get_by_role("button", name="Kept as number 1: force")
    expect(kept).to_be_disabled()  # a second press of two keeps nothing
    page.get_by_role("button", name="What is predicted now?").click()
    keep.click()
    expect(page.get_by_text("Kept as number 2: force")).to_be_visible()
    for number, typed in (("2", "66 N"), ("1", "6,5 kgf")):
        page.get_by_label("of the prediction").select_option(index=0 if number == "1" else 1)
        page.get_by_label("observed [N]").fill(typed)
        page.get_by_label("batch").last.fill("B3")
        page.get_by_role("button", name="Write down what came out").click()
        expect(page.get_by_text(f"came out of number {number}.")).to_be_visible()
    expect(page.get_by_text("of 2 observed lie in their 95 % interval").first).to_be_visible()
    expect(page.get_by_role("img", name="Predicted against observed")).to_be_visible()
    notebook.screenshot(f"outcomes-{name[0]}-1280-light")
    for width, theme in ((768, "light"), (1280, "dark"), (768, "dark")):
        notebook = notebooks.show(name, width=width, theme=theme)
        opener.scroll_into_view_if_needed()
        assert notebook.page.evaluate(CUT) == []
        notebook.screenshot(f"outcomes-{name[0]}-{width}-{theme}")
    notebooks.show(name, width=1280, theme="light")
    opener.click()
