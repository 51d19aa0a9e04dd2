"""What every explorer is: a page in which a key that is pressed is the page's own.

JupyterLab takes letters for commands wherever no text is being typed: x cuts the cell, m makes it text, 0 0 ends the kernel, and
Shift+Enter runs the cell anew, which empties the page. A page tells it to leave them alone, whatever in it has the focus.
"""

from collections.abc import Sequence
from typing import Any, ClassVar, Self
from weakref import WeakSet

import anywidget
import ipywidgets as W
from IPython.display import display

from .accessible import AccessibleNames
from .elements import STYLE
from .keeper import Keeper, path_to
from .kept_html import HIDDEN_STYLE
from .layout import LAYOUT_STYLE
from .strip import STRIP_STYLE
from .unlost import drop_nothing

PAGE = "rheokit-page"
WIDEST = "1500px"

_SCRIPT = """
const SUPPRESS = "data-lm-suppress-shortcuts";  // JupyterLab asks it of the element that was typed into, then of those around it
const pageOf = (event) => event.target instanceof Element ? event.target.closest(".rheokit-page") : null;

// With Ctrl or Cmd a letter is JupyterLab's (S saves, F finds); not A, M, Y, Z, which select, merge and undo cells.
const isCommand = (event) => (event.ctrlKey || event.metaKey) && !event.altKey && /^[b-ln-x]$/i.test(event.key);

function guard(event) {
  const page = pageOf(event);
  if (!page) return;
  for (const one of [page, ...page.querySelectorAll(`[${SUPPRESS}]`)]) one.removeAttribute(SUPPRESS);
  if (!isCommand(event)) event.target.setAttribute(SUPPRESS, "");
}

function keepFocus(event) {  // a click beside the controls goes to the page, not to the cell around it
  pageOf(event)?.setAttribute("tabindex", "-1");
}

function hold(event) {  // a press counts for what it began on, also where the page moves before it ends
  const pressed = event.button === 0 && pageOf(event) && event.target.closest("button, label, input[type=checkbox]");
  if (pressed) pressed.setPointerCapture(event.pointerId);
}

// After a restart of the kernel nothing hears a control: that is said beside what was pressed or typed into, and nothing is sent.
const SENT = ["click", "input", "change", "keydown", "keypress", "pointerdown"];
const CONTROL = "button.jupyter-widgets, input, select, textarea, .noUi-target";
function unanswered(event) {
  const control = pageOf(event)?.matches(".jupyter-widgets-disconnected") ? event.target.closest(CONTROL) : null;
  if (!control) return;
  const slides = control.matches(".noUi-target");
  const sends = /^key/.test(event.type) ? event.key === "Enter" || slides && event.key !== "Tab" : event.type !== "pointerdown" || slides;
  if (!sends) return;
  event.stopImmediatePropagation();
  document.querySelectorAll(".rheokit-page .not-heard").forEach((one) => one.remove());
  const said = document.createElement("div");
  said.className = "not-heard";
  said.setAttribute("role", "alert");
  (control.closest(".sliding-number") ?? control.closest(".widget-inline-hbox") ?? control).after(said);
  said.textContent = "Not heard: the kernel was restarted. Copy what you typed; then choose Run, then Run All Cells, in the menu above.";
}

function remember(event) {  // what was unfolded stays so when the text around it is written anew
  const place = event.target instanceof HTMLDetailsElement && pageOf(event) && event.target.closest(".widget-html");
  if (!place) return;
  const at = [...place.querySelectorAll("details")].indexOf(event.target);
  place.unfolded ??= new Map();
  place.unfolded.set(at, event.target.open);
}

function unfold(changes) {
  const places = new Set(changes.map(({ target }) => target instanceof Element && target.closest(".rheokit-page .widget-html")));
  for (const place of places) {
    if (!place?.unfolded) continue;
    place.querySelectorAll("details").forEach((one, at) => { if (place.unfolded.has(at)) one.open = place.unfolded.get(at); });
  }
}

function render({ el }) {
  el.style.display = "none";
  const rewritten = new MutationObserver(unfold);
  rewritten.observe(document.body, { subtree: true, childList: true });
  window.addEventListener("toggle", remember, true);  // it does not bubble
  window.addEventListener("keydown", guard, true);  // before JupyterLab, which listens to the document
  window.addEventListener("mousedown", keepFocus, true);
  window.addEventListener("pointerdown", hold, true);
  for (const kind of SENT) window.addEventListener(kind, unanswered, true);
  return () => {
    rewritten.disconnect();
    window.removeEventListener("toggle", remember, true);
    window.removeEventListener("keydown", guard, true);
    window.removeEventListener("mousedown", keepFocus, true);
    window.removeEventListener("pointerdown", hold, true);
    for (const kind of SENT) window.removeEventListener(kind, unanswered, true);
  };
}

export default { render };
"""


class KeyGuard(anywidget.AnyWidget):
    """Keeps what is typed into a page from JupyterLab's commands, and says of a control that no kernel hears it any more; it shows nothing."""

    _esm = _SCRIPT


class Page(W.VBox):
    """A page of controls and answers, with a ``<style>`` of its own besides that of all pages."""

    _all: ClassVar[WeakSet] = WeakSet()

    def __new__(cls, *args: Any, **given: Any) -> Self:
        """See to it, before the first widget of a page is made, that all are seen."""
        drop_nothing()
        return super().__new__(cls, *args, **given)

    def __init__(self, children: Sequence[W.Widget], *, style: str = "", max_width: str = WIDEST) -> None:
        self.keeper = Keeper(self)
        children = [
            W.HTML(STYLE + STRIP_STYLE + LAYOUT_STYLE + HIDDEN_STYLE + style),
            *children,
            self.keeper,
            KeyGuard(),
            AccessibleNames(),
        ]
        super().__init__(children, layout=W.Layout(width="100%", max_width=max_width))
        self.add_class(PAGE)
        Page._all.add(self)

    def _ipython_display_(self) -> None:
        """Show the page, and make the outputs that stay when it is gone."""
        display(self._repr_mimebundle_(), raw=True)
        self.keeper.show()

    @classmethod
    def around(cls, widget: W.Widget) -> Self:
        """Return the outermost page that a widget is on."""
        return max(cls._all, key=lambda page: len(path_to(page, widget)))

    def __repr__(self):
        return type(self).__name__
