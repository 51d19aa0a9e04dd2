"""Keys pressed in a page are the page's own, and what a person typed is shown as typed: in a real browser."""

import nbformat
import pytest

pytestmark = pytest.mark.browser

CELLS = [
    """
import ipywidgets as W
import rheokit as rk
from rheokit.widgets.page import Page
recipe = rk.widgets.RecipeExplorer()
others = Page([W.ToggleButtons(options=["a", "b"]), W.ToggleButton(description="fold"), W.FileUpload(), W.Textarea(),
               W.FloatRangeSlider(), W.HTML("<p id='words'>words</p>")])
asked = rk.widgets.Exercise("Which", "Which one?", "this", choices=["this", "that"])
""",
    "asked",
    "others",
    "recipe",
]
LETTERS = [
    "x",
    "m",
    "d",
    "d",
    "0",
    "0",
    "a",
    "b",
    "z",
    "c",
    "v",
    "1",
    "r",
    "y",
    "i",
    "i",
    "Shift+m",
    "Shift+Enter",
    "Control+Enter",
]

# Gives the focus to one visible element of each kind that can have it in a page, one a call, and returns its kind.
NEXT = """seen => {
  for (const e of document.querySelectorAll(".rheokit-page :is(button, input, select, textarea, summary, canvas, [tabindex])")) {
    if (!e.checkVisibility() || e.disabled || e.tabIndex < 0) continue;
    const kind = [e.localName, e.type ?? "", e.getAttribute("role") ?? "", e.className].join(" ");
    if (seen.includes(kind)) continue;
    e.focus();
    return kind;
  }
  return null;
}"""
NOTEBOOK = """() => {
  const panel = jupyterapp.shell.currentWidget;
  const cells = panel.content.widgets.map((cell) =>
    [cell.model.type, cell.model.sharedModel.source, cell.model.executionCount]);
  return {cells, kernel: panel.sessionContext.session.kernel.id, dialogs: document.querySelectorAll(".jp-Dialog").length};
}"""


def written(workbook, name, cells):
    """Write a notebook of the given cells and return its name."""
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell.strip()) for cell in cells],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}},
    )
    nbformat.write(notebook, workbook / "notebooks" / name)
    return name


def test_no_key_pressed_in_a_page_changes_the_notebook(notebooks, workbook):
    notebook = notebooks.open(written(workbook, "keys.ipynb", CELLS), height=3000)  # all cells are in sight
    page = notebook.page
    notebook.run()
    page.wait_for_selector(".rheokit-page canvas", state="attached")
    notebook.settle()
    before = page.evaluate(NOTEBOOK)
    kinds, spoilt = [], []
    while kind := page.evaluate(NEXT, kinds):
        kinds.append(kind)
        for key in LETTERS:
            page.keyboard.press(key)
        if page.evaluate(NOTEBOOK) != before:
            spoilt.append(kind)
            before = page.evaluate(NOTEBOOK)
    assert spoilt == []
    for kind in (
        "input radio",
        "input checkbox",
        "input text",
        "select",
        "textarea",
        "summary",
        "button",
        "slider",
        "region",
    ):
        assert any(kind in seen for seen in kinds), (kind, kinds)
    for beside in ("#words", ".rheokit-page h3", ".rheokit-page canvas", ".rheokit-page .widget-label"):
        page.locator(beside).locator("visible=true").first.click()
        for key in LETTERS:
            page.keyboard.press(key)
        assert page.evaluate(NOTEBOOK) == before, beside
    notebook.settle()

    slider = page.get_by_role("slider", name="Water u, dry basis [-]", exact=True)
    stood = slider.get_attribute("aria-valuetext")
    for key in ("ArrowRight", "PageUp", "Home", "End"):
        slider.press(key)
        page.wait_for_function(
            "([slider, stood]) => slider.getAttribute('aria-valuenow') !== stood", arg=[slider.element_handle(), stood]
        )
        stood = slider.get_attribute("aria-valuetext")
    page.keyboard.press("Tab")
    assert not slider.evaluate("e => e === document.activeElement")
    fold = page.locator("button", has_text="fold")
    pressed = "mod-active" in fold.get_attribute("class")
    fold.press("Space")
    assert ("mod-active" in fold.get_attribute("class")) != pressed
    page.keyboard.press("Control+s")  # JupyterLab's own
    page.wait_for_function("() => !jupyterapp.shell.currentWidget.context.model.dirty")
    assert page.evaluate(NOTEBOOK) == before
    notebook.settle()
