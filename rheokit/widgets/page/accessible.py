"""Names that a screen reader can say, for controls to which ipywidgets gives none.

A slider, a group of radio or toggle buttons, a button with only an icon, a file upload and a chart
reach the browser's accessibility tree without a name, whatever their ``description``. `name` gives a
widget one; an `AccessibleNames` shown anywhere on the same page puts the names in place::

    VBox([name(slider, "Yield stress [Pa]"), name(chart, "Flow curve"), AccessibleNames()])

The name travels inside a CSS class of the widget, so no list of widgets is kept anywhere.
"""

from urllib.parse import quote

import anywidget
import traitlets

JUDGED = "judged"
"""The class of what holds controls and the message about them: what is refused there is told with it (see `nameAll`)."""
ONE_BY_ONE = "one-by-one"
"""The class of such a place in which only what is marked as wrong is refused."""
_PREFIX = "accessible-name:"  # the rest of the class is the name, percent-encoded: a class holds no blanks

# What is named: each handle of a slider and its editable number; the one control of a widget; else the
# group of its controls; else (no control) the picture.
_SCRIPT = """
const PREFIX = "accessible-name:";
const CONTROLS = "input, select, textarea, button";

function set(element, attribute, value) {
  if (element.getAttribute(attribute) !== value) element.setAttribute(attribute, value);
}

function nameWidget(widget, name) {
  const handles = widget.querySelectorAll("[role=slider]");
  const controls = widget.matches(CONTROLS) ? [widget] : widget.querySelectorAll(CONTROLS);
  if (handles.length) {
    const ends = handles.length === 1 ? [""] : [", lower end", ", upper end"];
    handles.forEach((handle, i) => set(handle, "aria-label", name + ends[i]));
    widget.querySelectorAll(".widget-readout").forEach((readout) => {
      set(readout, "role", "textbox");
      set(readout, "aria-label", name + ", typed");
    });
  } else if (controls.length === 1) {
    set(controls[0], "aria-label", name);
  } else if (controls.length) {
    set(widget, "role", controls[0].type === "radio" ? "radiogroup" : "group");
    set(widget, "aria-label", name);
  } else if (widget.querySelector("canvas, svg, img")) {
    set(widget, "role", "img");
    set(widget, "aria-label", name);
  }
}

// What cannot be is told as such, and by which message: what is marked in a place with marks, else every control of the place.
function markWrong(place) {
  const why = place.querySelector("[role=alert]");
  const marked = place.matches(".one-by-one") || place.querySelector(".wrong");
  const wrong = new Set(why ? place.querySelectorAll(marked ? ".wrong :is(input, select)" : "input, select") : []);
  if (why && !why.id) why.id = `rheokit-why-${Math.random().toString(36).slice(2)}`;
  for (const control of place.querySelectorAll("input, select")) {
    if (wrong.has(control)) {
      set(control, "aria-invalid", "true");
      set(control, "aria-describedby", why.id);
    } else if (control.hasAttribute("aria-invalid")) {
      control.removeAttribute("aria-invalid");
      control.removeAttribute("aria-describedby");
    }
  }
}

function nameAll() {
  document.querySelectorAll(".rheokit-page .judged").forEach(markWrong);
  for (const widget of document.querySelectorAll(`[class*="${PREFIX}"]`)) {
    const holder = [...widget.classList].find((word) => word.startsWith(PREFIX));
    if (holder) nameWidget(widget, decodeURIComponent(holder.slice(PREFIX.length)));
  }
  for (const opener of document.querySelectorAll(".rheokit-fold-opener")) {
    set(opener, "aria-expanded", String(opener.classList.contains("mod-active")));
    set(opener, "aria-label", opener.textContent.trim());  // else the glyph of its icon is read too
  }
  for (const part of document.querySelectorAll(".rheokit-strip > .widget-html")) {  // what scrolls is reached by the keyboard
    if (part.scrollHeight > part.clientHeight) set(part, "tabindex", "0"); else part.removeAttribute("tabindex");
  }
  for (const words of document.querySelectorAll(".widget-checkbox span[title]")) set(words, "title", words.textContent);
}

function render({ el }) {
  el.style.display = "none";
  let waiting = false;
  const observer = new MutationObserver(() => {  // widgets and charts are drawn, and redrawn, at any time
    if (waiting) return;
    waiting = true;
    setTimeout(() => { waiting = false; nameAll(); }, 50);
  });
  observer.observe(document.body, { subtree: true, childList: true, attributeFilter: ["class"] });
  nameAll();
  return () => observer.disconnect();
}

export default { render };
"""


class AccessibleNames(anywidget.AnyWidget):
    """Puts the names given with `name` in place, on the whole page and for as long as it is shown.

    It shows nothing itself. One on a page is enough; more do no harm.
    """

    _esm = _SCRIPT


class SpokenValue(anywidget.AnyWidget):
    """Lets the slider beside it say the number that is held, with its unit, where it would say its place (an exponent)."""

    said, unit = traitlets.Unicode().tag(sync=True), traitlets.Unicode().tag(sync=True)
    place, logarithmic = traitlets.Float().tag(sync=True), traitlets.Bool().tag(sync=True)
    _esm = """
function render({ model, el }) {
  el.style.display = "none";
  let seen = null, ended = false;
  const number = (place) => String(Number((model.get("logarithmic") ? 10 ** place : place).toPrecision(4)));
  const set = (handle, name, value) => { if (handle.getAttribute(name) !== value) handle.setAttribute(name, value); };
  const say = (box) => {
    for (const handle of box.querySelectorAll("[role=slider]")) {
      const slider = handle.closest(".noUi-target")?.noUiSlider;
      if (!slider) continue;
      const place = Number(slider.get(true));
      const held = model.get("said") && Math.abs(place - model.get("place")) < 1e-6 * (1 + Math.abs(place));
      set(handle, "aria-valuetext", held ? model.get("said") : number(place) + model.get("unit"));
      if (!model.get("logarithmic")) continue;
      set(handle, "aria-valuenow", number(place));
      set(handle, "aria-valuemin", number(slider.options.range.min));
      set(handle, "aria-valuemax", number(slider.options.range.max));
    }
  };
  const begin = () => {  // it is put into the page after it was rendered
    const box = el.closest(".sliding-number");
    if (ended || !box) { if (!ended) setTimeout(begin, 50); return; }
    seen = new MutationObserver(() => say(box));
    seen.observe(box, { subtree: true, childList: true, attributeFilter: ["aria-valuetext", "aria-valuenow"] });
    model.on("change:said", () => say(box));
    say(box);
  };
  begin();
  return () => { ended = true; seen?.disconnect(); };
}
export default { render };
"""


def name(widget, text):
    """Give a control, a box of controls or a chart the name that assistive technology announces, and return it.

    The name is in words, with the unit where there is one: "Yield stress [Pa]". An earlier one is replaced.

    Raises
    ------
    ValueError
        If the text is empty or blank.

    Examples
    --------
    >>> from ipywidgets import FloatSlider
    >>> name(FloatSlider(), "Yield stress [Pa]")._dom_classes
    ('accessible-name:Yield%20stress%20%5BPa%5D',)
    """
    if not text.strip():
        raise ValueError(
            f"accessible name of a {type(widget).__name__}: {text!r} says nothing; "
            "give the quantity and its unit, as in 'Yield stress [Pa]'."
        )
    for given in widget._dom_classes:
        if given.startswith(_PREFIX):
            widget.remove_class(given)
    return widget.add_class(_PREFIX + quote(text, safe=""))
