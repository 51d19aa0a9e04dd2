"""JupyterLab in a real browser, as a student sees it.

    @pytest.mark.browser
    def test_something(notebooks):
        notebook = notebooks.show("1-fit-bench-data.ipynb", width=768, theme="dark")
        slider = notebook.page.get_by_role("slider", name="Flow [mm³/s]")
        slider.press("ArrowRight")

Opening and running a notebook takes many seconds, so the tests of a file share those that are open: `show` gives the one
that the test before left, in the window asked for, and opens it anew only after a test that failed. **So every test
leaves the page as it found it.** `notebooks.open` opens one more. All of them are copies of notebooks/ and data/ made
for this file. A test fails if a page logged a warning or an error meanwhile, or asked anything of a host other than the
tests' own server. With RHEOKIT_SCREENSHOTS set to a folder, `notebook.screenshot(name)` leaves its pictures there.
"""

import itertools
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import TimeoutError, expect, sync_playwright

from rheokit.command.layout import without_file_browser

CHECKOUT = Path(__file__).parents[2]
SECOND = 1000  # playwright counts in ms
expect.set_options(timeout=60 * SECOND)  # a busy machine is slow, and no less right
HOST = "127.0.0.1"
FAILED = pytest.StashKey()
NUMBERS = itertools.count(1)
THEMES = {"light": "JupyterLab Light", "dark": "JupyterLab Dark"}
CHROMIUM_OPTIONS = [
    "--no-sandbox",  # the tests also run as root
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE {HOST}",  # a machine with no network
]

# State of the open notebook, asked of JupyterLab's models: cells out of sight are not drawn.
STATE = """() => {
  const panel = window.jupyterapp?.shell.currentWidget;
  const kernel = panel?.sessionContext?.session?.kernel;
  if (!panel?.content?.widgets || !panel.context.isReady || !kernel) return {ready: false};
  const cells = panel.content.widgets.filter(
    (cell) => cell.model.type === "code" && cell.model.sharedModel.source.trim());
  const errors = cells.flatMap((cell) => {
    const raised = cell.model.sharedModel.toJSON().outputs.filter((output) => output.output_type === "error");
    return raised.map((output) => output.traceback.join("\\n"));
  });
  const running = (cell) => cell.model.executionState === "running";
  const done = (cell) => cell.model.executionCount !== null && !running(cell);
  return {
    ready: true,
    idle: kernel.status === "idle" && !cells.some(running),
    started: cells.some((cell) => running(cell) || done(cell)),
    finished: cells.every(done),
    errors,
  };
}"""

RUN_ALL = """async () => {
  await jupyterapp.commands.execute("notebook:clear-all-cell-outputs");
  jupyterapp.commands.execute("notebook:run-all-cells");  // not awaited: it ends with the last cell
}"""


# What sticks out of an explorer, so that the page would scroll sideways.
TOO_WIDE = """() => [...document.querySelectorAll('.rheokit-page')].flatMap((holder) => {
  const edge = holder.getBoundingClientRect().right + 1;
  return [...holder.querySelectorAll('*')].filter((e) => !e.closest('.scrolls') && e.getBoundingClientRect().right > edge)
    .map((e) => `${e.tagName} ${e.className} ${e.textContent.slice(0, 30)}`).slice(0, 5);
})"""

# Controls and pictures without a name for assistive technology.
NAMELESS = """() => [...document.querySelectorAll('.jp-OutputArea-output :is(input, select, textarea, button, [role=slider], canvas)')]
  .filter((e) => e.tagName === 'CANVAS' ? !e.closest('[role=img][aria-label]')
    : !(e.getAttribute('aria-label') || e.labels?.[0]?.textContent.trim() || e.textContent.trim()))
  .map((e) => e.outerHTML.slice(0, 160))"""

# What the page has yet to do after all that was asked of it so far: see rheokit/widgets/page/freshness.py.
BUSY = """() => [...document.querySelectorAll('.rheokit-page')].flatMap((page) => [
  ...(page.hasAttribute('data-unheard') ? ['the kernel has not heard'] : []),
  ...[...page.querySelectorAll('.old:not(.failed)')].map((e) => 'old: ' + e.textContent.slice(0, 40)),
  ...[...page.querySelectorAll('[role=status]')].map((e) => e.textContent).filter((said) => said.startsWith('Computing')),
])"""
QUIET = f"() => ({BUSY})().length === 0"

# Whether every picture is another than before, by the marks that `MARK` left on them, as dark as the page and no wider.
PICTURES = ".rheokit-page [role=img][aria-label] canvas"
MARK = f"() => document.querySelectorAll('{PICTURES}').forEach((canvas) => {{ canvas.dataset.seen = 'yes'; }})"
REDRAWN = f"""dark => !document.querySelector('{PICTURES}[data-seen]')
  && [...document.querySelectorAll('{PICTURES}')].filter((canvas) => canvas.offsetParent && canvas.width).every((canvas) => {{
    const copy = new OffscreenCanvas(8, 8).getContext('2d', {{willReadFrequently: true}});
    copy.drawImage(canvas, 0, 0);
    const edge = canvas.closest('.rheokit-page').getBoundingClientRect().right;
    return (copy.getImageData(2, 2, 1, 1).data[0] < 128) === dark && canvas.getBoundingClientRect().right <= edge + 1;
  }})"""

# Note when something is drawn on any canvas, and when the next key is pressed.
HEAR_CANVAS = """drawing => {
  const draw = CanvasRenderingContext2D.prototype[drawing];
  CanvasRenderingContext2D.prototype[drawing] = function (...given) {
    draw.apply(this, given);
    requestAnimationFrame(() => { window.ended ??= performance.now(); });
  };
}"""
HEAR_KEY = """() => {
  window.ended = 0;
  window.addEventListener('keydown', () => { window.began = performance.now(); window.ended = null; }, {capture: true, once: true});
}"""

# Notes the time of the next key press, and that at which a picture, found by its name, is drawn anew.
WATCH = """([name]) => { const holder = document.querySelector(`[role=img][aria-label="${name}"]`);
  if (!holder) throw Error(`no picture is named ${name}`);
  window.began = null; window.ended = null;
  window.addEventListener('keydown', () => { window.began = performance.now(); }, {capture: true, once: true});
  const seen = new MutationObserver(() => { if (holder.querySelector('canvas')) {
    requestAnimationFrame(() => { window.ended ??= performance.now(); }); seen.disconnect(); } });
  seen.observe(holder, {subtree: true, childList: true}); }"""


def _with_comma(text):
    """Return a number with a decimal comma, and its unit where it has one; nothing for nothing."""
    number = re.match(r"[-+.0-9e]*", text)[0]
    return f"{float(number):.4f}".replace(".", ",") + text[len(number) :] if text else ""


class OpenNotebook:
    """One notebook, open in JupyterLab."""

    def __init__(self, page, pictures):
        self.page = page
        self.theme = "light"
        self.complaints = []  # warnings and errors in the console, uncaught exceptions
        self.strangers = []  # addresses asked of any other host
        self._pictures = pictures

    def listen(self, address):
        """Record what the page complains of, and what it asks of hosts other than the server's address."""
        own = re.compile(rf"(data|blob):|(http|ws)://{re.escape(address)}/")

        def judge(url):
            if not own.match(url):
                self.strangers.append(url)

        def hear(message):
            if message.type in ("warning", "error"):
                self.complaints.append(f"{message.type}: {message.text}")

        self.page.on("console", hear)
        self.page.on("pageerror", lambda error: self.complaints.append(f"uncaught: {error}"))
        self.page.on("request", lambda request: judge(request.url))
        self.page.on("websocket", lambda websocket: judge(websocket.url))

    def state(self):
        return self.page.evaluate(STATE)

    def wait_for(self, claim, seconds):
        """Wait until a claim (JavaScript, about `state`) holds, and return the state."""
        self.page.wait_for_function(
            f"() => {{ const state = ({STATE})(); return state.ready && {claim}; }}", timeout=seconds * SECOND
        )
        return self.state()

    def settle(self, seconds=120):
        """Wait until the page has done all that was asked of it: nothing is old, and nothing is being computed."""
        try:
            self.page.wait_for_function(QUIET, timeout=seconds * SECOND)
        except TimeoutError:
            pytest.fail(f"after {seconds} s the page still waits: {self.page.evaluate(BUSY)}")

    def pick(self, paste):
        """Choose a paste as it came, and wait until its own page stands in the place of the one before."""
        chosen = self.page.get_by_role("combobox", name="paste", exact=True)
        came = self.page.get_by_role("button", name="As it came", exact=True)
        if chosen.evaluate("select => select.selectedOptions[0].textContent.replaceAll('\\u00a0', ' ')") != paste:
            self._replaced(lambda: chosen.select_option(label=paste))
        if came.is_visible():
            self._replaced(came.click)

    def _replaced(self, act):
        """Act, and wait until another page stands below the choice of a paste."""
        self.page.evaluate("() => { document.querySelector('.rheokit-page .rheokit-page').dataset.before = 'yes'; }")
        act()
        self.page.wait_for_function(
            "() => !document.querySelector('[data-before]') && document.querySelector('.rheokit-page .rheokit-page')"
        )
        self.settle()

    def in_sight(self):
        """Scroll to the explorer: JupyterLab does not lay out what is out of sight, so there a page knows no width."""
        for page in self.page.locator(".rheokit-page").all()[:1]:
            page.evaluate("page => page.scrollIntoView()")
            self.page.wait_for_function("() => document.querySelector('.rheokit-page').clientWidth > 0")

    def fit_into(self, width, height, theme):
        """Take another window or theme, and wait until every picture is drawn anew for it; none is for another height."""
        self.in_sight()
        before = self.page.viewport_size["width"]
        self.page.set_viewport_size({"width": before, "height": height})
        for new, change in (
            (theme != self.theme, lambda: self.set_theme(theme)),
            (width != before, lambda: self.page.set_viewport_size({"width": width, "height": height})),
        ):
            if new:
                self.page.evaluate(MARK)
                change()
                self.page.wait_for_function(REDRAWN, arg=theme == "dark")
                self.settle()

    def set_theme(self, theme):
        self.page.evaluate("theme => jupyterapp.commands.execute('apputils:change-theme', {theme})", THEMES[theme])
        light = "true" if theme == "light" else "false"
        self.page.wait_for_selector(f"body[data-jp-theme-light={light}]", state="attached")
        self.theme = theme

    def run(self, seconds=300):
        """Run all cells and wait for the last; fail with the traceback of a cell that raised."""
        for _ in range(10):  # the command is ignored, without a word, while JupyterLab is still settling
            self.page.evaluate(RUN_ALL)
            try:
                self.wait_for("state.started", seconds=2)
                break
            except TimeoutError:
                continue
        else:
            pytest.fail("JupyterLab did not start to run the notebook")
        state = self.wait_for("state.idle && (state.finished || state.errors.length)", seconds)
        if state["errors"]:
            pytest.fail("a cell raised:\n" + "\n".join(state["errors"]))

    def too_wide(self, seconds=20):
        """Return what goes on sticking out of the explorers, so that the page would scroll sideways.

        A picture sticks out for as long as the kernel takes to hear of a narrower page.
        """
        try:
            self.page.wait_for_function(f"() => ({TOO_WIDE})().length === 0", timeout=seconds * SECOND)
        except TimeoutError:
            return self.page.evaluate(TOO_WIDE)
        return []

    def nameless(self):
        """Return the controls and pictures that have no name for assistive technology."""
        return self.page.evaluate(NAMELESS)

    def redraws(self, picture, key, back="", count=5):
        """Press a key a number of times, each at rest; return the ms from press to the named picture drawn anew, sorted.

        Then the key `back`, if any, is pressed as often, so that the page is as it was found.
        """
        took = []
        for _ in range(count):
            self.page.evaluate(WATCH, [picture])
            self.page.keyboard.press(key)
            self.page.wait_for_function("() => window.ended !== null")
            took.append(self.page.evaluate("() => window.ended - window.began"))
            self.settle()
        for _ in range(count if back else 0):
            self.page.keyboard.press(back)
        self.settle()
        return sorted(took)

    def draws_while_busy(self, drawing, key, count=9):
        """Press a key a number of times while more is computed; return the ms from press to the next drawing on a canvas, sorted.

        `drawing` is the method of a canvas that draws: "drawImage" of a map, "fillText" of axes.
        """
        self.page.evaluate(HEAR_CANVAS, drawing)
        took = []
        for _ in range(count):
            self.page.evaluate(HEAR_KEY)
            self.page.keyboard.press(key)
            self.page.wait_for_function("() => window.ended")
            took.append(self.page.evaluate("() => window.ended - window.began"))
            self.page.wait_for_timeout(150)  # what comes after the picture is begun meanwhile
        return sorted(took)

    def number_fields(self):
        """Return the number fields that are shown, by name."""
        fields = self.page.locator(".rheokit-page .number-field input[type=text]:visible").all()
        return {
            field.get_attribute("aria-label") or field.evaluate("e => e.labels[0].textContent"): field
            for field in fields
        }

    def hold_number_fields(self):
        """Type what cannot be into all number fields, then their own numbers with a decimal comma; each keeps what is typed."""
        fields = self.number_fields()
        found = {name: field.input_value() for name, field in fields.items()}
        comma = {name: _with_comma(text) for name, text in found.items()}
        for typed, why in (
            (dict.fromkeys(fields, "five"), "'five' is not a number; type one such as"),
            (dict.fromkeys(fields, "1e9"), "'1e9' is out of bounds; type "),
            (comma, ""),
            (found, ""),
        ):
            for name, field in fields.items():
                field.fill(typed[name])  # which the next takes for done
            field.press("Enter")
            for name, field in fields.items():
                holder = field.locator("xpath=ancestor::*[contains(@class, 'number-field')][1]")
                if why:
                    expect(holder.get_by_role("alert"), name).to_contain_text(why)
                else:
                    expect(holder.get_by_role("alert"), name).to_have_count(0)
                assert field.input_value() == typed[name]

    def screenshot(self, name):
        """Take a picture of the window into name.png, and return its path."""
        path = self._pictures / f"{name}.png"
        self.page.screenshot(path=path)
        return path


@pytest.fixture(scope="session")
def layouts(tmp_path_factory):
    """Return the folder where JupyterLab notes what is open, and what stands beside it."""
    return tmp_path_factory.mktemp("layouts")


@pytest.fixture(scope="session")
def pastes(kernel_environment):
    """Return the folder in which the pages make new pastes."""
    return Path(kernel_environment["RHEOKIT_PASTES"])


@pytest.fixture(scope="session")
def jupyterlab(tmp_path_factory, kernel_environment, layouts):
    """Return the host and port of a JupyterLab that serves this run's temporary folders and nothing else."""
    own = tmp_path_factory.mktemp("jupyterlab")
    with socket.socket() as free:
        free.bind((HOST, 0))
        port = free.getsockname()[1]
    environment = {
        **kernel_environment,
        "JUPYTER_CONFIG_PATH": str(CHECKOUT / "notebooks" / "settings"),
    }  # as notebooks/start.sh
    for kind in ("CONFIG", "DATA", "RUNTIME"):
        environment[f"JUPYTER_{kind}_DIR"] = str(own / kind.lower())
    log = own / "server.log"
    with log.open("w") as output:  # a file: a pipe that nobody empties would stop the server
        server = subprocess.Popen(
            [
                sys.executable, "-m", "jupyterlab",
                "--no-browser", "--allow-root",
                f"--ip={HOST}", f"--port={port}", "--ServerApp.port_retries=0",
                f"--ServerApp.root_dir={tmp_path_factory.getbasetemp()}", f"--LabApp.workspaces_dir={layouts}",
                "--IdentityProvider.token=", "--ServerApp.password=",
                "--LabApp.expose_app_in_browser=True",
            ],
            stdin=subprocess.DEVNULL, stdout=output, stderr=subprocess.STDOUT, env=environment,
        )  # fmt: skip
        try:
            for _ in range(300):
                try:
                    urllib.request.urlopen(f"http://{HOST}:{port}/api/status", timeout=5).close()
                    break
                except OSError:
                    assert server.poll() is None, f"JupyterLab stopped:\n{log.read_text()}"
                    time.sleep(0.2)
            else:
                pytest.fail(f"JupyterLab did not answer within a minute:\n{log.read_text()}")
            yield f"{HOST}:{port}"
        finally:
            server.terminate()
            server.wait(timeout=30)


@pytest.fixture(scope="module")  # not longer: while it lives, an event loop runs in this thread
def browser():
    executable = shutil.which("chromium")
    assert executable, "no chromium: `sh tests/run.sh` installs it, or `apt-get install chromium`"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable, args=CHROMIUM_OPTIONS)
        yield browser
        browser.close()


@pytest.fixture(params=[1280, 768], ids="{} px".format)
def width(request):
    """Return the width of the window, in pixels: a laptop, a tablet."""
    return request.param


@pytest.fixture(params=["light", "dark"])
def theme(request):
    return request.param


class Notebooks:
    """The notebooks that the tests of a file have open.

    Parameters
    ----------
    address : str
        Host and port of JupyterLab.
    served : str
        Path there of the folder that is opened from.
    workbook : Path
        That folder.
    browser : Browser
    pictures : Path
        Folder for screenshots.
    layouts : Path
        Folder of JupyterLab's workspaces.
    """

    def __init__(self, address, served, workbook, browser, pictures, layouts):
        self._address, self._served, self._workbook, self._pictures = address, served, workbook, pictures
        self._layouts = layouts
        self._context = browser.new_context()  # one: JupyterLab itself is fetched once
        self._shown = {}
        self.opened = []

    def open(self, name, *, width=1280, height=900, theme="light"):
        """Open a notebook, not yet run and without what an earlier page saved of it, in a page of its own."""
        if (stored := CHECKOUT / "notebooks" / name).exists():
            shutil.copy(stored, self._workbook / "notebooks")
        page = self._context.new_page()
        page.set_viewport_size({"width": width, "height": height})
        page.set_default_timeout(90 * SECOND)
        notebook = OpenNotebook(page, self._pictures)
        notebook.listen(self._address)
        self.opened.append(notebook)
        workspace = f"test-{next(NUMBERS)}"  # as a person finds it who opens the notebooks for the first time
        without_file_browser(self._layouts, workspace)
        page.goto(f"http://{self._address}/lab/workspaces/{workspace}/tree/{self._served}/notebooks/{name}")
        notebook.wait_for("state.idle", seconds=60)
        notebook.set_theme(theme)
        return notebook

    def show(self, name, *, width=1280, height=900, theme="light", ready=OpenNotebook.settle):
        """Return a notebook that was run, in the window asked for: the one that is open already, or else a new one.

        `ready` is called with one that was opened, after it was run; it waits until all is there.
        """
        if name not in self._shown:
            self._shown[name] = self.open(name, width=width, height=height, theme=theme)
            self._shown[name].run()
            self._shown[name].in_sight()
            ready(self._shown[name])
            self._shown[name].settle()
        notebook = self._shown[name]
        notebook.page.bring_to_front()
        notebook.fit_into(width, height, theme)
        return notebook

    def close(self):
        """Close every page and end its kernel."""
        for notebook in self.opened:  # JupyterLab complains of the kernels that end here
            notebook.page.evaluate("() => jupyterapp.serviceManager.sessions.shutdownAll()")
            notebook.page.close()
        self.opened, self._shown = [], {}


@pytest.fixture(scope="module")
def workbook(copy_workbook, tmp_path_factory):
    """Return a folder of this file's tests alone that holds a copy of notebooks/ and data/."""
    return copy_workbook(tmp_path_factory.mktemp("browser") / "workbook")


@pytest.fixture(scope="module")
def all_notebooks(jupyterlab, browser, workbook, tmp_path_factory, layouts, kernel_environment):
    for own in (
        "RHEOKIT_STATE",
        "RHEOKIT_PASTES",
    ):  # as a person finds it: nothing is remembered, and no paste of another file of tests is offered
        shutil.rmtree(kernel_environment[own])
        Path(kernel_environment[own]).mkdir()
    pictures = Path(os.environ.get("RHEOKIT_SCREENSHOTS", tmp_path_factory.mktemp("pictures")))
    pictures.mkdir(parents=True, exist_ok=True)
    served = workbook.relative_to(tmp_path_factory.getbasetemp()).as_posix()
    opened = Notebooks(jupyterlab, served, workbook, browser, pictures, layouts)
    yield opened
    opened.close()


@pytest.fixture
def notebooks(all_notebooks, request):
    """Return the notebooks that are open; what a page complained of during the test fails it."""
    yield all_notebooks
    complaints = [complaint for notebook in all_notebooks.opened for complaint in notebook.complaints]
    strangers = [url for notebook in all_notebooks.opened for url in notebook.strangers]
    if complaints or strangers or request.node.stash.get(FAILED, True):
        all_notebooks.close()
    assert complaints == []
    assert strangers == []


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Note whether a test failed, for `notebooks`."""
    report = yield
    if report.when == "call":
        item.stash[FAILED] = report.failed
    return report
