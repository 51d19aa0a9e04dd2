"""Keys pressed in a page are the page's own, and what a person typed is shown as typed: in a real browser."""

from pathlib import Path

import nbformat
import pytest

CHECKOUT = Path(__file__).parents[2]
pytestmark = pytest.mark.browser

CELLS = [
    """
import ipywidgets as W
import rheokit as rk
from rheokit.widgets.page import elements, fields
from rheokit.widgets.page.number_field import SlidingNumber
from rheokit.widgets.page.frame import Page
others = Page([
    W.HTML("<h3>Words</h3><canvas></canvas>" + elements.details("more", "<p>less</p>") + elements.table(["a"], [["1"]], "Table")),
    SlidingNumber("Water u [-]", 1.045, 0.2, 2.0, 0.005), W.FloatRangeSlider(),
    fields.Grid("Readings", ("water", "dissolves?"), 2, lambda: None), elements.text_field("folder"), W.Textarea(),
    W.Dropdown(options=["one", "two"]), W.ToggleButtons(options=["a", "b"]), W.ToggleButton(description="fold"), W.FileUpload(),
])
asked = rk.widgets.Exercise("Which", "Which one?", "this", choices=["this", "that"])
""",
    "asked",
    "others",
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
    for beside in (".rheokit-page .result", ".rheokit-page h3", ".rheokit-page canvas"):
        page.locator(beside).locator("visible=true").first.click(force=True)
        for key in LETTERS:
            page.keyboard.press(key)
        assert page.evaluate(NOTEBOOK) == before, beside

    slider = page.get_by_role("slider", name="Water u [-]", exact=True)
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
    page.evaluate(
        "() => jupyterapp.commands.commandExecuted.connect((_, done) => { window.saved ||= done.id === 'docmanager:save'; })"
    )
    page.keyboard.press("Control+s")  # JupyterLab's own
    page.wait_for_function("() => window.saved", timeout=20_000)
    assert page.evaluate(NOTEBOOK) == before


TYPED = "cost $5 and $6$ \\(x\\) \\begin{equation}y\\end{equation} \\style{color:red}{z} &amp; **a**"
TEXTS = [
    f"""
import pandas as pd
import rheokit as rk
from rheokit.paste.recipe import Ingredient, Recipe
typed = r"{TYPED}"
run = rk.FlowCurve(
    label=typed, shear_rate=[1.0, 10.0, 100.0, 300.0], shear_stress=[70.0, 85.0, 115.0, 140.0], relative_uncertainty=0.03
)
rk.write_bench(rk.Bench(rk.Specimen(paste=typed, batch=typed, note=typed), [run]), "typed")
fit = rk.fit(rk.PowerLaw, rk.read_bench("typed"))
""",
    "fit",
    "pd.set_option('display.max_colwidth', None); fit.residuals[['name']].head(1)",
    "Recipe(ingredients=(Ingredient(name=typed + '<b>', dry_mass=0.1, density=1350.0),), water_content=1.0).batch_sheet(0.5)",
    "pd.DataFrame({'of others': ['$x_1$']})  # is typeset, so that the others could have been",
    "rk.widgets.FitExplorer('typed', 'power law')",
]


def test_what_a_person_typed_is_text(notebooks, workbook):
    notebook = notebooks.open(written(workbook, "texts.ipynb", TEXTS), height=3000)
    page = notebook.page
    notebook.run()
    page.wait_for_selector(".jp-OutputArea mjx-container", state="attached")
    notebook.settle()
    assert page.locator(".jp-OutputArea mjx-container").count() == 1
    areas = page.locator(".jp-OutputArea-output").all_inner_texts()
    shown = [
        area.replace("\n", " ") for area in areas if area.strip()
    ]  # what is kept of a page is not seen while it lives
    assert [TYPED in text for text in shown] == [True, True, True, False, True], shown
    assert f"{TYPED}<b>" in shown[2]
    box = page.locator(".rheokit-page .widget-checkbox span[title]", has_text="cost")
    assert box.get_attribute("title") == box.inner_text() == f"flow curve '{TYPED}', 4 readings"

    assert notebook.complaints == []
    page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    page.wait_for_function(
        "() => getComputedStyle(document.querySelector('.rheokit-page'), '::before').content.includes('Run All Cells')"
    )
    notebook.screenshot("restarted")
    notebook.complaints = [line for line in notebook.complaints if "Connection lost" not in line]


def test_a_folder_that_cannot_be_read_is_said_once_and_no_cell_runs_after_it(notebooks, workbook):
    cells = ['import rheokit as rk\n\nbench = rk.read_bench("../data/my-paste")', "print(bench)"]
    notebook = notebooks.open(written(workbook, "missing.ipynb", cells), height=3000)
    with pytest.raises(pytest.fail.Exception):
        notebook.run()
    (said,) = notebook.page.locator(".jp-OutputArea-output").all_inner_texts()
    assert said.startswith("Refused: bench = rk.read_bench(") and "there is no such folder" in said
    assert "Traceback" not in said and "File " not in said
