"""An output of the notebook's own below a page, rewritten in place: what is in it is saved with the notebook, and needs no kernel."""

from secrets import token_hex

import anywidget
import traitlets
from IPython.display import display, update_display


class Reloaded(anywidget.AnyWidget):
    """Rewrites outputs where the page was loaded anew: JupyterLab no longer knows then which outputs a kernel may rewrite."""

    window = traitlets.Unicode().tag(sync=True)
    lost = traitlets.Bool(False).tag(sync=True)
    _esm = """
const here = String(Math.random());
function render({ model, el }) {
  el.style.display = "none";
  if (!model.get("window")) { model.set("window", here); model.save_changes(); }
  if (model.get("window") === here) return;
  model.set("lost", true);
  model.save_changes();
  const rewrite = (asked) => {
    const cells = model.widget_manager?.context?.model?.cells;
    for (let i = 0; i < (cells?.length ?? 0); i++) {
      const outputs = cells.get(i).outputs;
      for (let j = 0; j < (outputs?.length ?? 0); j++) {
        const one = outputs.get(j).toJSON();
        if (![one.data?.["text/html"] ?? ""].flat().join("").includes(`id="${asked.place}"`)) continue;
        outputs.set(j, { ...one, data: { ...one.data, "text/html": asked.html } });
      }
    }
  };
  model.on("msg:custom", rewrite);
  return () => model.off("msg:custom", rewrite);
}
export default { render };
"""


class Output:
    """One such output; `place` is the id that what is put into it must have."""

    def __init__(self, reloaded: Reloaded) -> None:
        self.place, self._reloaded, self.is_shown, self._html = f"rheokit-{token_hex(8)}", reloaded, False, ""

    def show(self, html: str) -> None:
        """Make it, below what the cell has shown so far."""
        self.is_shown, self._html = True, html
        display(_bundle(html), raw=True, display_id=self.place)

    def put(self, html: str) -> None:
        """Rewrite it."""
        if html == self._html or not self.is_shown:
            return
        self._html = html
        update_display(_bundle(html), raw=True, display_id=self.place)
        if self._reloaded.lost:
            self._reloaded.send({"place": self.place, "html": html})


def _bundle(html):
    return {"text/html": html, "text/plain": "what stays of a page: pictures and tables"}
