"""What was typed for a paste of one's own stays: through a new kernel, a page loaded anew, other notebooks, two windows, a crash, a renamed folder."""

import os
import re
import shutil
import signal
import subprocess
import tomllib
from pathlib import Path

import nbformat
import pytest
from playwright.sync_api import expect

from rheokit.widgets.fit.words import TYPE
from rheokit.workbook import ASKED

from .conftest import CHROMIUM_OPTIONS, SECOND, OpenNotebook

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PASTE, NOZZLE, REGION = "hazel paste", "2-nozzle-and-force.ipynb", "3-printable-region.ipynb"
CELL = "import rheokit as rk\nrk.widgets.NozzlePage()"
TYPED = {
    "nozzle": {"bore": "1,3", "land_length": "0.9 in", "inlet_diameter": "4.2", "taper_length": "11"},
    "machine": {"barrel_diameter": "15.8", "fill_length": "5 cm"},
    "print": {"print_speed": "12.5", "layer_height": "0.8", "line_width": "1.4", "part_height": "17"},
}
WRITTEN = {
    "nozzle": {"bore": "1,3 mm", "land_length": "0.9 in", "inlet_diameter": "4.2 mm", "taper_length": "11 mm"},
    "machine": {"barrel_diameter": "15.8 mm", "fill_length": "5 cm"},
    "print": {"print_speed": "12.5 mm/s", "layer_height": "0.8 mm", "line_width": "1.4 mm", "part_height": "17 mm"},
}
FORM = 'rk.widgets.FitPage().explorer.readings.add_class("rheokit-page")'
ADD_CELL = """async source => {
  const content = jupyterapp.shell.currentWidget.content;
  content.activeCellIndex = content.widgets.length - 1;
  await jupyterapp.commands.execute("notebook:insert-cell-below");
  content.activeCell.model.sharedModel.setSource(source);
  await jupyterapp.commands.execute("notebook:run-cell");
}"""
DELETE_CELL = """async () => {
  const content = jupyterapp.shell.currentWidget.content;
  content.activeCellIndex = content.widgets.length - 1;
  await jupyterapp.commands.execute("notebook:delete-cell");
}"""
ENTRIES = [(table, key) for table, entries in TYPED.items() for key in entries]
BORE, LAND = ("nozzle", "bore"), ("nozzle", "land_length")
READ = "shear rate [1/s]", "shear stress [Pa]"
HEIGHT, SPEED = ("print", "part_height"), ("print", "print_speed")


def plan(folder):
    """Return what a plan says on the disk."""
    return tomllib.loads((folder / "plan.toml").read_text("utf-8"))


def unfold(notebook, *titles):
    for title in titles:
        opener = notebook.page.get_by_role("button", name=title, exact=True)
        expect(opener).to_be_visible()
        notebook.settle()  # a group that was left open is open again by then
        if "mod-active" not in opener.get_attribute("class"):
            opener.click()
        expect(opener).to_have_attribute("aria-expanded", "true")


def field(notebook, entry):
    table, key = entry
    label, slides = ASKED[table][key].label, entry == SPEED
    return notebook.page.get_by_role("textbox", name=f"{label}, typed" if slides else label, exact=not slides)


def enter(notebook, entry, text):
    """Type into a field; a `settle` waits until the kernel has heard of it."""
    field(notebook, entry).fill(text)
    field(notebook, entry).press("Enter")


def shown(notebook):
    """Return what the fields hold that were typed into."""
    return {entry: field(notebook, entry).input_value() for entry in ENTRIES}


def picked(notebook):
    return notebook.page.get_by_role("combobox", name="paste", exact=True).locator("option:checked")


def told(notebook, words):
    return notebook.page.get_by_role("alert").filter(has_text=words)


def save(notebook):
    notebook.page.evaluate("() => jupyterapp.commands.execute('docmanager:save')")


def load_anew(notebook):
    """Load the page anew, whose kernel goes on."""
    notebook.page.goto(notebook.page.url.partition("?")[0])
    notebook.wait_for("state.idle", seconds=60)
    notebook.complaints.clear()  # of the page that was left
    ready(notebook)


def ready(notebook):
    notebook.in_sight()
    unfold(notebook, "Line and speed", "Walls and time")
    notebook.settle()
    return notebook


@pytest.fixture(scope="module")
def own(all_notebooks, pastes):
    """Return the notebook of nozzles, in which a paste was made by "new" and typed into, the folder of the paste, and the address."""
    notebook = all_notebooks.open(NOZZLE)
    address = notebook.page.url
    notebook.run()
    notebook.in_sight()
    page = notebook.page
    page.get_by_role("button", name="New paste", exact=True).press("Enter")
    page.get_by_role("textbox", name="folder to make for these tests").fill(PASTE)
    page.get_by_role("button", name=re.compile("^Make an empty one")).click()
    expect(picked(notebook)).to_have_text(PASTE)
    ready(notebook)
    for table, key in ENTRIES:
        enter(notebook, (table, key), TYPED[table][key])
    notebook.settle()
    return notebook, pastes / PASTE, address


def test_what_is_typed_stands_in_the_folder_at_once(own, notebooks):
    _, folder, _ = own
    held = plan(folder)
    assert {table: held[table] for table in WRITTEN} == WRITTEN
    assert [one.name for one in folder.iterdir()] == ["plan.toml"]


def half_typed(notebook):
    """Return two cells of the form of a test, into which readings are typed that are in no test yet."""
    return [notebook.page.get_by_role("textbox", name=f"{column}, row 2", exact=True) for column in READ]


def test_after_a_restart_of_the_kernel_and_run_all_it_is_as_it_was(own, notebooks, kernel_environment):
    notebook, folder, _ = own
    before, held = shown(notebook), (folder / "plan.toml").read_bytes()
    notebook.page.evaluate(ADD_CELL, FORM)
    unfold(notebook, TYPE)
    for cell, text in zip(half_typed(notebook), ("3,1", "x"), strict=True):
        cell.fill(text)
    remembered = Path(kernel_environment["RHEOKIT_STATE"]) / "remembered.json"
    for _ in range(300):
        if '"x"' in remembered.read_text("utf-8"):
            break
        notebook.page.wait_for_timeout(100)
    notebook.page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    expect(notebook.page.locator(".rheokit-page.jupyter-widgets-disconnected").first).to_be_visible()
    notebook.complaints.clear()  # of the connection that was lost
    strip = notebook.page.locator(".rheokit-strip > .answer").first
    assert "from before the restart" in strip.evaluate("one => getComputedStyle(one, '::before').content")
    notebook.page.get_by_role("button", name=TYPE).click()  # nothing hears it, nor what is typed
    expect(notebook.page.get_by_role("alert").filter(has_text="Not heard: the kernel was restarted")).to_be_visible()
    half_typed(notebook)[0].press("Enter")
    assert notebook.complaints == []
    notebook.run()
    ready(notebook)
    expect(picked(notebook)).to_have_text(PASTE)
    assert shown(notebook) == before
    assert (folder / "plan.toml").read_bytes() == held
    rate, stress = half_typed(notebook)
    expect(rate).to_have_value("3,1")
    expect(stress).to_have_value("x")
    notebook.page.get_by_role("button", name="Add this test to the open bench", exact=True).click()
    expect(stress).to_have_attribute("aria-invalid", "true")
    expect(stress).to_have_css("outline", re.compile("solid 2px"))
    assert rate.get_attribute("aria-invalid") is None, "only what is refused"
    notebook.page.evaluate(DELETE_CELL)
    notebook.complaints.clear()  # of the kernel that ended


def test_a_page_that_is_loaded_anew_is_as_it_was(own, notebooks):
    notebook, *_ = own
    before = shown(notebook)
    save(notebook)
    load_anew(notebook)
    expect(picked(notebook)).to_have_text(PASTE)
    assert shown(notebook) == before


@pytest.fixture
def mortal(browser, jupyterlab, tmp_path):
    """Return a browser of its own process, and a function that ends it as a crash does."""
    command = [shutil.which("chromium"), *CHROMIUM_OPTIONS, "--headless", "--remote-debugging-port=0"]
    process = subprocess.Popen(
        [*command, f"--user-data-dir={tmp_path / 'profile'}", "about:blank"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    address = next(line.split()[-1] for line in process.stderr if "DevTools listening on" in line)

    def crash():
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    yield browser.browser_type.connect_over_cdp(address), crash
    if process.poll() is None:
        crash()
    process.stderr.close()


def test_a_browser_that_crashes_loses_nothing(own, mortal, notebooks):
    first, folder, address = own
    dying, crash = mortal
    page = dying.contexts[0].new_page()
    page.set_default_timeout(90 * SECOND)
    page.goto(re.sub("workspaces/[^/]*", "workspaces/crash", address))
    doomed = OpenNotebook(page, None)
    doomed.wait_for("state.idle", seconds=60)
    ready(doomed)
    for entry, text in ((LAND, "7"), (HEIGHT, "21"), (BORE, "0.9")):
        enter(doomed, entry, text)
    doomed.page.wait_for_function("() => !document.querySelector('.rheokit-page[data-unheard]')")
    crash()
    held = plan(folder)
    assert [held[table][key] for table, key in (LAND, HEIGHT, BORE)] == ["7 mm", "21 mm", "0.9 mm"]
    load_anew(first)
    expect(field(first, BORE)).to_have_value("0.9")


def test_a_folder_that_is_renamed_beneath_its_page_is_told_and_not_made_again(own, notebooks):
    notebook, folder, _ = own
    notebook.page.bring_to_front()
    elsewhere = folder.with_name("renamed")
    folder.rename(elsewhere)
    enter(notebook, LAND, "6")
    expect(told(notebook, "is not there any more").first).to_be_visible()
    notebook.settle()
    assert not folder.exists()
    elsewhere.rename(folder)
    enter(notebook, LAND, "6.5")
    expect(told(notebook, "is not there any more")).to_have_count(0)
    assert plan(folder)["nozzle"]["land_length"] == "6.5 mm"


def test_another_notebook_opens_the_same_paste(own, notebooks):
    other = notebooks.open(REGION)
    other.run()
    other.in_sight()
    expect(picked(other)).to_have_text(PASTE)
    unfold(other, "Machine and part", "Nozzle")
    for entry in (BORE, LAND):
        expect(field(other, entry)).to_have_value(field(own[0], entry).input_value())


@pytest.fixture
def window(all_notebooks, workbook):
    """Return a function that opens a second window, of a notebook and a kernel of its own."""

    def opened(name):
        cells = [nbformat.v4.new_code_cell(CELL)]
        kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
        nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata=kernel), workbook / "notebooks" / name)
        notebook = all_notebooks.open(name)
        notebook.run()
        return ready(notebook)

    return opened


def test_of_two_windows_the_second_is_told_and_nothing_is_written_over(own, window, notebooks):
    notebook, folder, _ = own
    other = window("other.ipynb")
    enter(other, BORE, "1.5")
    enter(other, LAND, "9")
    other.settle()
    assert plan(folder)["nozzle"] == WRITTEN["nozzle"] | {"bore": "1.5 mm", "land_length": "9 mm"}
    notebook.page.bring_to_front()
    enter(notebook, BORE, "1.1")
    expect(told(notebook, "changed in another window")).to_be_visible()
    assert plan(folder)["nozzle"]["bore"] == "1.5 mm"
    notebook.page.get_by_role("button", name="Take the other window's").click()
    expect(field(notebook, BORE)).to_have_value("1.5")
    ready(notebook)
    expect(field(notebook, LAND)).to_have_value("9")
    expect(told(notebook, "changed in another window")).to_have_count(0)

    enter(notebook, BORE, "1.2")
    other.page.bring_to_front()
    enter(other, BORE, "1.6")
    expect(told(other, "changed in another window")).to_be_visible()
    assert plan(folder)["nozzle"]["bore"] == "1.2 mm"
    other.page.get_by_role("button", name="Keep mine").click()
    expect(told(other, "changed in another window")).to_have_count(0)
    other.settle()
    expect(field(other, BORE)).to_have_value("1.6")
    assert plan(folder) == plan(folder) | {"nozzle": WRITTEN["nozzle"] | {"bore": "1.6 mm", "land_length": "9 mm"}}
