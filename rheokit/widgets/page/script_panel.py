"""The same as a script: what a workbook computes as a few statements of Python, to be copied by one press.

A `WorkbookPage` shows it folded, below its explorer; no other page needs to.
"""

from collections.abc import Callable

import anywidget
import ipywidgets as W
import traitlets

from ...errors import DataError
from .elements import escape, paragraph, scrolling
from .page_words import in_words

ABOUT = "Copy it into a file such as paste.py and run it with python, outside Jupyter: it gives the same numbers."
TITLE = "The same as a script"

# The clipboard is asked of the browser; where it is not granted, the text is marked, to be copied with Ctrl+C.
_SCRIPT = """
const COPIED = "Copied.", MARKED = "Marked: press Ctrl+C, or Cmd+C, to copy it.";

function render({ model, el }) {
  const button = document.createElement("button"), said = document.createElement("span");
  button.className = "lm-Widget jupyter-button widget-button";
  button.style.width = "auto";
  button.textContent = "Copy the script";
  said.setAttribute("role", "status");
  said.style.margin = "0 8px";
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(model.get("text"));
      said.textContent = COPIED;
    } catch {
      const shown = el.closest(".rheokit-script")?.querySelector("pre");
      if (shown) getSelection().selectAllChildren(shown);
      said.textContent = document.execCommand("copy") ? COPIED : MARKED;
    }
  });
  model.on("change:text", () => { said.textContent = ""; });
  el.append(button, said);
}
export default { render };
"""


class CopyButton(anywidget.AnyWidget):
    """Copies a text to the clipboard of who sits before the page."""

    text = traitlets.Unicode().tag(sync=True)
    _esm = _SCRIPT


class ScriptPanel(W.VBox):
    """A script with a button that copies it; `write` asks for it anew."""

    def __init__(self, script: Callable[[], str]) -> None:
        self._script, self.copy, self.shown = script, CopyButton(), W.HTML()
        super().__init__([W.HTML(paragraph(ABOUT)), self.copy, self.shown], layout=W.Layout(width="100%"))
        self.add_class("rheokit-script")

    def write(self) -> None:
        """Show what the script is now; why there is none, and nothing to copy, where something in the folder cannot be."""
        try:
            text, said = self._script(), ""
        except (DataError, OSError) as error:
            text, said = "", in_words(error)
        self.copy.text = text
        self.shown.value = (
            f"<div role='alert'>{paragraph(said)}</div>"
            if said
            else scrolling(f"<pre style='line-height: 1.35'>{escape(text)}</pre>", TITLE)
        )
