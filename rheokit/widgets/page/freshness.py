"""Results that are not, or not yet, those of the controls: grey and marked old until the new ones stand.

An `Answer` (text) or a `Picture` is old from the move of a control, and new from the moment that something is written
into it. While the kernel is too busy to hear of a move, the page itself marks what it shows (`Unheard`).
"""

from contextlib import contextmanager

import anywidget
import ipywidgets as W
import traitlets

from .hearing import hear
from .rest import rest

OLD, FAILED = "old", "failed"
OVERTAKEN = "overtaken"
"""Of a page whose paste was changed elsewhere: all of its answers are old until that is taken, but those of a record, which is read anew."""

AGE_STYLE = """<style>
.rheokit-page .answer.widget-html { flex-wrap: wrap; }
.rheokit-page .answer:not(.answer .answer, .rheokit-strip .answer):has(> :not(:empty)) { position: relative; padding-top: 20px; }
.rheokit-page .old > *, :is(.rheokit-page.unheard, .rheokit-page.jupyter-widgets-disconnected) .answer:not(.answer .answer):has(> :not(:empty)) > *,
.rheokit-page.overtaken .answer:not(.answer .answer, .read-anew):has(> :not(:empty)) > * {
  animation: rheokit-grey 1ms linear 0.15s forwards;
}
.rheokit-page .old::before, :is(.rheokit-page.unheard, .rheokit-page.jupyter-widgets-disconnected) .answer:not(.answer .answer):has(> :not(:empty))::before,
.rheokit-page.overtaken .answer:not(.answer .answer, .read-anew):has(> :not(:empty))::before {
  content: "old: computing ..."; position: absolute; top: 0; left: 0; box-sizing: border-box; width: 100%; padding: 0 8px;
  font-size: 13px; font-weight: 600; line-height: 1.4; border: 1px solid currentColor; overflow: hidden;
  color: var(--jp-ui-font-color1, #1a1a1a); background: var(--jp-layout-color1, #ffffff);
  height: 20px; opacity: 0; animation: rheokit-told 1ms linear 0.15s forwards;
}
.rheokit-page .old.failed::before { content: "old: from before the error"; }
.rheokit-page.overtaken:not(.unheard) .answer:not(.old, .answer .answer, .read-anew):has(> :not(:empty))::before { content: "old: of what stood in the folder before"; }
.rheokit-page.unanswered:not(.jupyter-widgets-disconnected) .answer:not(.answer .answer):has(> :not(:empty))::before {
  content: "old: no answer for 10 s: is the kernel running?" !important;
}
.rheokit-page.jupyter-widgets-disconnected .old::before,
.rheokit-page.jupyter-widgets-disconnected .answer:not(.answer .answer):has(> :not(:empty))::before { content: "old: from before the restart" !important; }
@keyframes rheokit-grey { to { opacity: 0.45; filter: grayscale(1); } }
@keyframes rheokit-told { to { opacity: 1; } }
</style>"""
"""What is answered within 0.15 s does not flicker. The words are part of the page, so that they are read out too, and stand on
a line that is kept free for them above what they mark: they cover nothing, and nothing moves with them."""


class Dated:
    """A widget whose contents may be old; a subclass says in `shows` whether it has any, and calls `renew`."""

    def expire(self):
        """Mark the contents as old: others are being computed."""
        if self.shows:
            self.remove_class(FAILED)
            self.add_class(OLD)
        rest.stir()

    def fail(self):
        """Say of contents that are old that nothing newer came of it."""
        if OLD in self._dom_classes:
            self.add_class(FAILED)

    def renew(self):
        """Take the marks off."""
        self.remove_class(OLD)
        self.remove_class(FAILED)
        rest.stir()


class Answer(Dated, W.HTML):
    """Text that is computed: whatever is written into it is new, even where it reads as before."""

    def __init__(self):
        super().__init__()
        self.add_class("answer")

    @property
    def shows(self):
        """Whether there is anything in it."""
        return bool(self.value)

    def clear(self):
        """Show nothing."""
        self.value = ""

    def __setattr__(self, name, value):
        super().__setattr__(name, value)
        if name == "value":
            self.renew()


def dated_in(place):
    """Return the results that are shown in a widget, at any depth."""
    if isinstance(place, Dated):
        return [place]
    return [found for child in getattr(place, "children", ()) for found in dated_in(child)]


def expire(place):
    """Mark every result in a widget as old, because others are being computed."""
    for one in dated_in(place):
        one.expire()


def fail(place):
    """Say of every result in a widget that is still old that it is from before an error."""
    for one in dated_in(place):
        one.fail()


def clear(place):
    """Take away every result in a widget that is still old."""
    for one in dated_in(place):
        if OLD in one._dom_classes:
            one.clear()


@contextmanager
def no_newer(place):
    """Keep the marks of every result in a widget as they are: what is drawn meanwhile is what it was."""
    marks = [(one, one._dom_classes) for one in dated_in(place)]
    yield
    for one, classes in marks:
        one._dom_classes = classes


def outlive(place):
    """Mark every result in a widget as from before an error, which kept others from being computed at all."""
    expire(place)
    fail(place)


class Unheard(anywidget.AnyWidget):
    """Marks every result around it as old from the move of a control until the kernel has heard of the move."""

    moved = traitlets.Int(0).tag(sync=True)
    heard = traitlets.Int(0).tag(sync=True)
    _esm = """
function render({ model, el }) {
  el.style.display = "none";
  let late = null, silent = null;
  const show = () => {
    const page = el.closest(".rheokit-page"), unheard = model.get("heard") < model.get("moved");
    page?.toggleAttribute("data-unheard", unheard);
    if (unheard) {
      late ??= setTimeout(() => page?.classList.add("unheard"), 100);  // which has the whole page styled anew
      silent ??= setTimeout(() => page?.classList.add("unanswered"), 10000);
    } else {
      clearTimeout(late); clearTimeout(silent);
      late = silent = null;
      page?.classList.remove("unheard", "unanswered");
    }
  };
  const move = (target) => {
    if (!el.closest(".rheokit-page")?.contains(target) || el.closest(".jupyter-widgets-disconnected")) return;
    model.set("moved", model.get("moved") + 1);
    show();
    setTimeout(() => model.save_changes(), 0);  // behind the message of the control itself
  };
  const typed = (event) => move(event.target);
  const clicked = (event) => { if (event.target.closest("button, canvas")) move(event.target); };
  const slid = new MutationObserver((seen) => move(seen[0].target));
  document.addEventListener("change", typed, true);
  document.addEventListener("click", clicked, true);
  slid.observe(document.body, { subtree: true, attributeFilter: ["aria-valuenow"] });
  model.on("change:heard", show);
  return () => {
    document.removeEventListener("change", typed, true);
    document.removeEventListener("click", clicked, true);
    slid.disconnect();
    clearTimeout(late); clearTimeout(silent);
    model.off("change:heard", show);
  };
}
export default { render };
"""

    def __init__(self):
        super().__init__()
        hear(self, self._answer, "moved")

    def _answer(self):
        """Say that all moves so far were heard: what they call was called before."""
        self.heard = self.moved
