"""A saved notebook shows what was kept and the last result of its page: alive, loaded anew, without its kernel, untrusted, exported, on paper."""

import json
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import nbformat
import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]
NAME, UNTRUSTED = "kept.ipynb", "from-elsewhere.ipynb"
CELL = 'import rheokit as rk\nrk.widgets.FitExplorer("../data/olive-stone-paste")'
KERNEL = {"kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}}
CHECKOUT = Path(__file__).parents[2]
LARGEST = 400_000  # bytes of a notebook that holds a last result and two kept pictures
LOADED = "e => [...e.querySelectorAll('img')].map(one => one.naturalWidth)"


def save(notebook):
    notebook.page.evaluate("() => jupyterapp.commands.execute('docmanager:save')")


def kept(notebook):
    return notebook.page.locator(".rheokit-kept")


def last(notebook):
    return notebook.page.locator(".rheokit-last")


def keep(notebook, title, count):
    """Keep a picture, wait until so many stand in the notebook, and return it saved, as JSON."""
    notebook.page.get_by_role("button", name=f"Keep: {title}").click()
    expect(kept(notebook).locator("section")).to_have_count(count)
    save(notebook)


def stored(path, count):
    """Return the outputs of the cell of a saved notebook as HTML, as soon as it holds so many kept pictures."""
    for _ in range(60):
        outputs = [cell.outputs for cell in nbformat.read(path, 4).cells if cell.cell_type == "code"]
        texts = ["".join(one.get("data", {}).get("text/html", "")) for outs in outputs for one in outs]
        if sum(text.count("<section") for text in texts) == count and any("Last result" in text for text in texts):
            return texts
        time.sleep(0.25)
    pytest.fail(f"the saved notebook does not hold {count} kept pictures and a last result")


def end_kernels(notebook):
    notebook.page.evaluate("() => jupyterapp.serviceManager.sessions.shutdownAll()")


@pytest.fixture(scope="module")
def saved(all_notebooks, workbook):
    """Return an open notebook whose page was kept from once, and the place where it is saved."""
    path = workbook / "notebooks" / NAME
    cells = [nbformat.v4.new_code_cell(CELL)]
    nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata=KERNEL), path)
    notebook = all_notebooks.open(NAME)
    notebook.run()
    notebook.in_sight()
    notebook.settle()
    expect(last(notebook).locator("img").first).to_be_attached()
    keep(notebook, "Flow curve", 1)
    stored(path, 1)
    return notebook, path


def test_a_page_that_lives_shows_what_was_kept_and_not_its_last_result(saved, notebooks):
    notebook, _ = saved
    expect(kept(notebook).locator("img")).to_be_visible()
    assert kept(notebook).evaluate(LOADED)[0] > 200
    assert kept(notebook).locator("img").get_attribute("alt").startswith("Flow curve, Herschel-Bulkley: ")
    expect(kept(notebook)).to_contain_text("INVENTED numbers")
    expect(last(notebook)).to_be_hidden()
    assert notebook.nameless() == [] and notebook.too_wide() == []


def test_a_page_that_was_loaded_anew_lives_and_keeps(saved, notebooks):
    notebook, path = saved
    notebook.page.goto(notebook.page.url.partition("?")[0])
    notebook.wait_for("state.idle", seconds=60)
    notebook.in_sight()
    notebook.settle()
    expect(last(notebook)).to_be_hidden()
    keep(notebook, "Flow curve", 2)
    stored(path, 2)
    notebook.complaints.clear()  # of the page that was left


def test_a_page_that_lives_is_printed_to_its_end(saved, notebooks):
    notebook, _ = saved
    long = notebook.page.locator(".rheokit-page").first.evaluate("page => page.scrollHeight")
    paper = notebook.page.pdf(format="A4", landscape=True)
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) >= long // 1000 > 1


def test_a_page_whose_kernel_was_restarted_says_so_and_stays(saved, notebooks):
    notebook, _ = saved
    notebook.page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    expect(notebook.page.locator(".rheokit-page.jupyter-widgets-disconnected")).to_be_visible()
    expect(last(notebook)).to_be_hidden()
    notebook.complaints.clear()


def test_a_page_without_its_kernel_shows_its_last_result_and_no_error(saved, notebooks):
    notebook, _ = saved
    end_kernels(notebook)
    notebook.page.goto(notebook.page.url.partition("?")[0])
    notebook.complaints.clear()  # of the page that was left
    notebook.wait_for("state.idle", seconds=60)
    expect(last(notebook)).to_be_visible()
    expect(last(notebook)).to_contain_text("Last result, ")
    expect(last(notebook)).to_contain_text("choose Run, then Run All Cells")
    assert all(width > 200 for width in last(notebook).evaluate(LOADED))
    assert all(width > 200 for width in kept(notebook).evaluate(LOADED))
    error = notebook.page.get_by_text("Error displaying widget")
    expect(error).to_be_attached()  # JupyterLab has given up
    expect(error).to_be_hidden()
    assert [said for said in notebook.complaints if "widget model not found" not in said] == []
    notebook.complaints.clear()


def test_a_notebook_from_elsewhere_shows_both_though_it_is_not_trusted(saved, notebooks):
    _, path = saved
    content = json.loads(path.read_text())
    content["cells"][0]["source"] = [
        *content["cells"][0]["source"],
        "\n# of somebody else, so its signature is another",
    ]
    (path.parent / UNTRUSTED).write_text(json.dumps(content))
    other = notebooks.open(UNTRUSTED)
    for place in (kept(other), last(other)):
        expect(place).to_be_visible()
        assert place.evaluate(LOADED) and all(width > 200 for width in place.evaluate(LOADED))
    assert other.page.locator(".rheokit-kept style").count() == 0  # it was not trusted


def test_exported_and_on_paper_all_of_it_shows_without_a_network(saved, browser, tmp_path, kernel_environment):
    _, path = saved
    shutil.copy(path, tmp_path)
    environment = {**kernel_environment, "JUPYTER_CONFIG_PATH": str(CHECKOUT / "notebooks" / "settings")}
    subprocess.run(
        [sys.executable, "-m", "nbconvert", "--to", "html", NAME],
        cwd=tmp_path, env=environment, check=True, capture_output=True,
    )  # fmt: skip
    page, asked = browser.new_page(), []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((tmp_path / NAME).with_suffix(".html").as_uri())
    try:
        for place in (page.locator(".rheokit-kept"), page.locator(".rheokit-last")):
            expect(place).to_be_visible()
            assert place.evaluate(LOADED) and all(width > 200 for width in place.evaluate(LOADED))
        assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
        number = page.locator(".rheokit-kept td").first
        expect(number).to_be_hidden()  # folded, until somebody asks
        page.emulate_media(media="print")
        assert number.evaluate("e => e.checkVisibility({contentVisibilityAuto: true})")
        assert len(page.pdf()) > 30_000
    finally:
        page.close()


def test_a_saved_notebook_is_small(saved):
    _, path = saved
    assert path.stat().st_size < LARGEST
