"""What tells the kernel that somebody is about to look at a list: the pointer or the focus comes to it, or its window is come back to."""

import anywidget
import traitlets

LOOKED_AT = "rheokit-looked-at"

_SCRIPT = """
const PAUSE = 300;  // ms, within which it was the same look

function render({ model, el }) {
  el.style.display = "none";
  let last = -PAUSE;
  const look = () => {
    if (performance.now() - last < PAUSE) return;
    last = performance.now();
    model.set("looks", model.get("looks") + 1);
    model.save_changes();
  };
  const list = () => el.closest(".rheokit-looked-at");
  const near = (event) => { if (event.target instanceof Node && list()?.contains(event.target)) look(); };
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
    """Counts the looks at the element of the class `LOOKED_AT` that it stands in; it shows nothing."""

    _esm = _SCRIPT
    looks = traitlets.Int(0).tag(sync=True)
