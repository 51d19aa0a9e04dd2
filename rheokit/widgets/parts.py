"""What every explorer is made of: sections, fields, tables, messages, and work that does not freeze the page."""

import asyncio
from html import escape

import anywidget
import ipywidgets as W
import traitlets

from ..errors import DataError
from .accessible import name

WIDE = {"description_width": "initial"}  # long descriptions are not cut
SOON = 0.02  # s; more changes within this time are answered together


def section(title, *children):
    """Return widgets under a plain title."""
    heading = W.HTML(f"<h3 style='margin:14px 0 4px;font-size:19px'>{escape(title)}</h3>")
    return W.VBox([heading, *children], layout=W.Layout(width="100%"))


def side_by_side(*children):
    """Return widgets beside each other, or below each other where the page is narrow."""
    return W.Box(children, layout=W.Layout(display="flex", flex_flow="row wrap", width="100%", align_items="flex-start"))


def column(*children, share="1 1 300px"):
    """Return widgets below each other, that take a share of the width."""
    return W.VBox(children, layout=W.Layout(flex=share, min_width="0", padding="0 12px 0 0"))


def text_field(description, value="", example=""):
    """Return a field for a line of text, with its description above it in full."""
    return _labelled(W.Text(value=value, placeholder=example, continuous_update=False), description)


def number_field(description, value, low=0.0, high=1e6):
    """Return a field for a number within bounds."""
    return _labelled(W.BoundedFloatText(value=value, min=low, max=high, step=0.1), description)


def _labelled(control, description):
    control.description, control.style = description, WIDE
    control.layout = W.Layout(width="100%", max_width="460px")
    return name(control, description)


def paragraph(words):
    """Return a paragraph of plain text; what it holds is escaped."""
    return f"<p style='margin:4px 0;font-size:15px;line-height:1.45'>{escape(words)}</p>"


def table(head, rows, title):
    """Return an HTML table with a title; every cell is escaped, and a wide one scrolls within itself."""

    def line(cells, tag, scope=""):
        style = "padding:3px 14px 3px 0;text-align:left;vertical-align:top;white-space:normal"
        return "".join(f"<{tag}{scope} style='{style}'>{escape(str(cell))}</{tag}>" for cell in cells)

    body = "".join(f"<tr>{line(row, 'td')}</tr>" for row in rows)
    top = line(head, "th", " scope='col'")
    caption = f"<caption style='text-align:left;font-weight:600;padding:4px 0'>{escape(title)}</caption>"
    return (
        "<div style='overflow-x:auto' tabindex='0' role='region' aria-label='" + escape(title) + "'><table "
        f"style='border-collapse:collapse;font-size:15px;line-height:1.4;margin:0'>{caption}<tr>{top}</tr>{body}</table></div>"
    )


class Message(W.HTML):
    """A place in the page for what went wrong (read out at once) or what is being done (read out when there is time)."""

    def complain(self, words):
        """Show a complaint, one line or several; nothing for an empty text."""
        lines = "".join(f"<div>{escape(line)}</div>" for line in words.splitlines())
        style = "border-left:5px solid var(--jp-error-color1,#d32f2f);padding:6px 10px;margin:6px 0;font-size:15px;line-height:1.45"
        self.value = f"<div role='alert' style='{style}'>{lines}</div>" if lines else ""

    def say(self, words):
        """Say what is done or being done."""
        self.value = f"<div role='status' style='font-size:15px;line-height:1.45;min-height:22px'>{escape(words)}</div>"


class Later:
    """Works through steps one after another, letting the page draw between them; new steps replace those that wait.

    Where no event loop runs (a plain script, a test) the steps are worked through at once.
    """

    def __init__(self, complain):
        self._complain = complain
        self._waiting = None

    def start(self, steps):
        """Work through steps, functions without arguments; the first that fails is complained of and ends the work."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            while steps and self._done(steps[0]):
                steps = steps[1:]
            return
        self._wait(loop, list(steps))

    def _wait(self, loop, steps):
        def go():
            self._waiting = None
            if self._done(steps[0]) and self._waiting is None and steps[1:]:
                self._wait(loop, steps[1:])

        if steps:
            self._waiting = loop.call_later(SOON, go)

    def _done(self, step):
        try:
            step()
        except Exception as error:  # a traceback in the page helps nobody
            self._complain(in_words(error))
            return False
        return True


def in_words(error):
    """Return what a student is told of an error."""
    if isinstance(error, (DataError, ValueError)):
        return str(error)
    if isinstance(error, OSError):
        return f"{error.strerror or type(error).__name__}: {error.filename or ''}. Check the path and its permissions."
    return f"Something went wrong inside rheokit ({type(error).__name__}: {error}). What stands below is from before."


class PageProbe(anywidget.AnyWidget):
    """Tells whether the page is light or dark, in `page`, and how wide its place is, in `width` [px]; shows nothing."""

    page = traitlets.Unicode("light").tag(sync=True)
    width = traitlets.Int(600).tag(sync=True)
    _esm = """
function render({ model, el }) {
  el.style.height = "0";
  const tell = () => {
    const page = document.body.dataset.jpThemeLight === "false" ? "dark" : "light";
    const width = 10 * Math.floor(el.clientWidth / 10);
    if (width < 100) return;  // out of sight: not laid out
    if (model.get("page") === page && model.get("width") === width) return;
    model.set({ page, width });
    model.save_changes();
  };
  const themes = new MutationObserver(tell);
  themes.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
  const sizes = new ResizeObserver(tell);
  sizes.observe(el);
  tell();
  return () => { themes.disconnect(); sizes.disconnect(); };
}
export default { render };
"""
