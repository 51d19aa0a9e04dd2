"""What tells the kernel that somebody is about to look at a list or its page: the pointer or the focus comes to it, or its window is come back to."""

import anywidget
import traitlets

LOOKED_AT = "rheokit-looked-at"

_SCRIPT = """
const PAUSE = 300;  // ms, within which it was the same look

function render({ model, el }) {
  el.style.display = "none";
  let last = -PAUSE;
  const look = () => {
    if (performance.now() - last < PAUSE || el.closest(".jupyter-widgets-disconnected")) return;
    last = performance.now();
    model.set("looks", model.get("looks") + 1);
    model.save_changes();
  };
  let was = null;  // what pointer or focus was in before: the list, its page, or nothing
  const near = (event) => {
    if (!(event.target instanceof Node)) return;
    const places = [el.closest(".rheokit-looked-at"), el.closest(".rheokit-page")];
    const now = places.find((place) => place?.contains(event.target)) ?? null;
    if (now === places[0] ? now : now && !was) look();
    was = now;
  };
  document.addEventListener("pointerover", near);
  document.addEventListener("focusin", near);
  window.addEventListener("focus", look);
  return () => {
    document.removeEventListener("pointerover", near);
    document.removeEventListener("focusin", near);
    window.removeEventListener("focus", look);
  };
}

export default { render };
"""


class LookedAt(anywidget.AnyWidget):
    """Counts the looks at the element of the class `LOOKED_AT` that it stands in, and those at its page; it shows nothing."""

    _esm = _SCRIPT
    looks = traitlets.Int(0).tag(sync=True)
