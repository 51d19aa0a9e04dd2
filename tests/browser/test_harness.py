"""The browser fixtures themselves, on small notebooks of their own: they report what is there, and notice."""

import re

import nbformat
import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

CELLS = [
    """
import altair as alt
import pandas as pd
from ipywidgets import HTML, Button, FileUpload, FloatRangeSlider, IntSlider, RadioButtons, VBox
from rheokit.widgets.page.accessible import AccessibleNames, name
from rheokit.widgets.page.hearing import hear
alt.JupyterChart.enable_offline()
""",
    """
def line(slope):
    points = pd.DataFrame({"x": [0, 1], "y": [0, slope]})
    return alt.Chart(points).mark_line().encode(x="x", y=alt.Y("y", scale=alt.Scale(domain=[0, 10])))

slider = IntSlider(value=3, min=0, max=10, description="slope")
number = HTML("slope is 3")
chart = alt.JupyterChart(line(3), embed_options={"renderer": "canvas", "actions": False})

def redraw():
    number.value = f"slope is {slider.value}"
    chart.chart = line(slider.value)

hear(slider, redraw)  # in the thread that made the chart, as every page does
""",
    """
VBox([
    name(slider, "Slope, 50 % / m"), number, name(chart, "A line"),
    name(FloatRangeSlider(), "Range"), name(RadioButtons(options=["a", "b"]), "Letter"),
    name(Button(icon="play"), "Start"), name(FileUpload(), "Bench file"), AccessibleNames(),
])
""",
]


@pytest.fixture
def small_notebook(workbook):
    """Return a function that writes a notebook of the given cells and returns its name."""

    def write(name, *cells):
        notebook = nbformat.v4.new_notebook(
            cells=[nbformat.v4.new_code_cell(cell.strip()) for cell in cells],
            metadata={"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}},
        )
        if not (workbook / "notebooks" / name).exists():
            nbformat.write(notebook, workbook / "notebooks" / name)
        return name

    return write


def test_a_key_press_changes_number_and_picture(notebooks, small_notebook, width, theme):
    notebook = notebooks.show(small_notebook("small.ipynb", *CELLS), width=width, theme=theme)
    page = notebook.page
    canvas = page.get_by_role("img", name="A line").locator("canvas")
    expect(canvas).to_be_visible()
    before = canvas.evaluate("canvas => canvas.toDataURL()")

    slider = page.get_by_role("slider", name="Slope, 50 % / m", exact=True)
    slider.press("ArrowRight")

    expect(page.get_by_text("slope is 4")).to_be_visible()
    page.wait_for_function(
        "before => document.querySelector('.jp-OutputArea canvas')?.toDataURL() !== before", arg=before
    )
    expect(page.get_by_text("Jupyter news")).to_have_count(0)  # notebooks/settings: no question about news
    expect(page.locator("#filebrowser")).to_be_hidden()  # put away, as rheokit open does
    expect(page.get_by_role("tab", name=re.compile("File Browser"))).to_be_visible()
    notebook.screenshot(f"harness-{width}-{theme}")
    slider.press("ArrowLeft")
    expect(page.get_by_text("slope is 3", exact=True)).to_be_visible()


def test_every_named_control_is_found_by_role_and_name(notebooks, small_notebook):
    notebook = notebooks.show(small_notebook("small.ipynb", *CELLS))
    for role, name in [
        ("slider", "Range, lower end"),
        ("slider", "Range, upper end"),
        ("textbox", "Slope, 50 % / m, typed"),
        ("radiogroup", "Letter"),
        ("button", "Start"),
        ("button", "Bench file"),
        ("img", "A line"),
    ]:
        expect(notebook.page.get_by_role(role, name=name, exact=True)).to_be_visible()


def test_a_cell_that_raises_is_reported(notebooks, small_notebook):
    notebook = notebooks.open(small_notebook("raises.ipynb", "1 / 0", "never = 'reached'"))
    with pytest.raises(pytest.fail.Exception, match="ZeroDivisionError"):
        notebook.run()


def test_console_errors_and_other_hosts_are_noticed(notebooks, small_notebook):
    notebook = notebooks.open(small_notebook("quiet.ipynb", "'quiet'"))
    notebook.run()
    notebook.page.evaluate("() => { setTimeout(() => { throw Error('planted'); }); }")
    notebook.page.evaluate("() => console.warn('planted')")
    notebook.page.evaluate("() => fetch('https://planted.example/x').catch(() => {})")
    assert "uncaught: planted" in notebook.complaints
    assert "warning: planted" in notebook.complaints
    assert notebook.strangers == ["https://planted.example/x"]
    notebook.complaints.clear()
    notebook.strangers.clear()
