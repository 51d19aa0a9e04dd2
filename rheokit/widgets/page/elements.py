"""What every explorer is made of: sections, fields, tables, messages, and work that does not freeze the page."""

import asyncio
import html

import anywidget
import ipywidgets as W
import traitlets

from .accessible import name
from .freshness import AGE_STYLE, expire, fail
from .hearing import hear_press

WIDE = {"description_width": "initial"}  # long descriptions are not cut
FIELD = {"width": "auto", "max_width": "460px"}  # of what stands in a column
LONG = 28  # letters, beyond which a cell of a table is a text: its column is held wide, so that it does not stand a word a line
SOON = 0.02  # s; more changes within this time are answered together
STYLE = """<style>
.rheokit-page { --jp-widgets-font-size: var(--text); --text: 15px; --large: 18px; --heading: 19px; --focus: #0b57d0; }
.rheokit-page.projector, .rheokit-page.projector .rheokit-page { --text: 22px; --large: 26px; --heading: 28px; --jp-widgets-inline-height: 40px; }
.jp-Notebook:has(.rheokit-page.projector) .jp-MarkdownCell .jp-RenderedHTMLCommon,
.jp-Notebook:has(.rheokit-page.projector) .jp-MarkdownCell .jp-RenderedHTMLCommon :is(table, pre, code) { font-size: 22px; }
[data-jp-theme-light="false"] .rheokit-page {
  --focus: #8ab4f8;
  --jp-widgets-dropdown-arrow: url("data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 18 18'%3E\
%3Cpath d='M4.5 6.5 9 11l4.5-4.5' fill='none' stroke='%23f0f0f0' stroke-width='2'/%3E%3C/svg%3E");
}
.rheokit-page :is(button, input, select, textarea, summary, [tabindex="0"], [role=slider]):focus-visible {
  outline: 3px solid var(--focus) !important; outline-offset: 1px;
}
.rheokit-page :is(input, select, textarea):focus-visible { outline-offset: -2px !important; } /* covers no letter beside it */
.jp-OutputArea-child:has(.rheokit-page) > .jp-OutputPrompt, .jp-OutputArea:has(.rheokit-page) > .jp-OutputArea-promptOverlay { display: none; }
.rheokit-page :is(.widget-label, .widget-label-basic, input, select, textarea, button, .widget-readout) { font-size: var(--text); }
.rheokit-page .widget-label { text-align: left; }
.rheokit-page :is(p, summary, table, [role=alert], [role=status]) { font-size: var(--text); line-height: 1.45; margin: 4px 0; }
.rheokit-page .number-field .widget-label { white-space: normal; height: auto; overflow: visible; line-height: 1.25; padding-top: 4px; }
.rheokit-page .widget-checkbox, .rheokit-page .widget-checkbox .widget-label-basic { height: auto; min-height: 28px; }
.rheokit-page .widget-checkbox .widget-label-basic { white-space: normal; overflow: visible; line-height: 1.4; }
.rheokit-page :is(h2, h3) { font-size: var(--heading); margin: 14px 0 4px; }
.rheokit-page :is(.result, .result p) { font-size: var(--large); line-height: 1.5; }
.rheokit-page [role=alert] { border-left: 5px solid var(--jp-error-color1, #d32f2f); padding: 6px 10px; }
.rheokit-page .stamp { border: 3px double var(--jp-error-color1, #d32f2f); padding: 6px 10px; font-weight: 600; font-size: var(--large); }
.rheokit-page [aria-invalid="true"]:not(:focus-visible) {  /* the widgets' own style says none, as important */
  outline: 2px solid var(--jp-error-color1, #d32f2f) !important; outline-offset: -2px;
}
.rheokit-page [aria-invalid="true"]:focus-visible { box-shadow: inset 0 0 0 5px var(--jp-error-color1, #d32f2f) !important; } /* within that of the focus */
.rheokit-page .noUi-handle { border-color: var(--jp-ui-font-color2, #757575); }
.rheokit-page .no-number .noUi-handle { background: transparent; border-style: dashed; }
.rheokit-page [role=status] { min-height: 22px; }
.rheokit-page :is(.widget-html, .widget-html-content) { min-width: 0; max-width: 100%; flex-shrink: 1; }
.rheokit-page .widget-html-content { width: 100%; }
.rheokit-page .scrolls { overflow-x: auto; }
.rheokit-page table { border-collapse: collapse; }
.rheokit-page .caption { font-weight: 600; }
.rheokit-page :is(td, th) { padding: 3px 14px 3px 0; text-align: left; vertical-align: top; }
.rheokit-page :is(td, th):not(:first-child) { min-width: 4em; }
.rheokit-page .wrapped :is(td, th) { padding-right: 8px; }
.rheokit-page :is(td, th).long { min-width: 10em; }
.rheokit-page { container-type: inline-size; }
.rheokit-page:focus { outline: none; }
.rheokit-page .not-heard { flex: 0 0 auto; width: 100%; }
.rheokit-page .answer > :has(.not-heard) { animation: none !important; }
.rheokit-page.jupyter-widgets-disconnected::before {
  content: "The kernel was restarted, and this page no longer computes. Copy first what you typed and did not save: the next step "
    "empties it. Then choose Run, then Run All Cells, in the menu above.";
  display: block; flex: none; position: sticky; top: 0; z-index: 6; background: var(--jp-layout-color1, #ffffff);
  font: 600 17px var(--jp-ui-font-family); color: var(--jp-ui-font-color1, #1a1a1a);
  padding: 6px 10px; border: 3px double var(--jp-error-color1, #d32f2f);
}
.rheokit-page .rheokit-page.jupyter-widgets-disconnected::before, .rheokit-strip.jupyter-widgets-disconnected::before { content: none; }
@container (max-width: 560px) {
  .rheokit-page :is(td, th):not(:first-child) { padding-right: 8px; min-width: 0; }
  .rheokit-page :is(td, th).long { min-width: 7em; }
}
</style>"""
"""Sizes legible from the back of a room; colours are the page's own."""
STYLE += AGE_STYLE


def escape(words):
    """Return text as HTML that shows it; half a character, which cannot be sent to a page, by its number."""
    return html.escape(words.encode("utf-8", "backslashreplace").decode())


def section(title, *children):
    """Return widgets under a plain title."""
    return W.VBox([W.HTML(f"<h2>{escape(title)}</h2>"), *children], layout=W.Layout(width="100%"))


def side_by_side(*children):
    """Return widgets beside each other, or below each other where the page is narrow."""
    layout = W.Layout(display="flex", flex_flow="row wrap", width="100%", align_items="flex-start")
    return W.Box(children, layout=layout)


def column(*children, share="1 1 300px"):
    """Return widgets below each other, that take a share of the width."""
    return W.VBox(children, layout=W.Layout(flex=share, min_width="0", padding="0 12px 0 0"))


def text_field(description, example=""):
    """Return a field for a line of text, with its description above it in full."""
    control = W.Text(placeholder=example, continuous_update=False, description=description, style=WIDE)
    control.layout = W.Layout(**FIELD)
    return name(control, description)


def press_button(words, act):
    """Return a button as wide as its words, that calls `act`, without arguments, when it is pressed."""
    button = W.Button(description=words, layout=W.Layout(width="auto", max_width="100%"))
    hear_press(button, act)
    return button


def tick_box(words, value=False):
    """Return a tick box beside words that are shown as they were typed: two dollar signs make no formula of them."""
    box = W.Checkbox(value=value, description=words, indent=False, layout=W.Layout(width="100%"))
    if {"$", "\\"} & set(words):  # parted from what is around it, a sign begins no formula
        box.description_allow_html = True
        box.description = escape(words).replace("$", "<span>&#36;</span>").replace("\\", "<span>&#92;</span>")
    return box


def show(widget, wanted):
    """Show a widget, or leave it out."""
    widget.layout.display = None if wanted else "none"


def is_shown(widget):
    """Return whether a widget is shown."""
    return widget.layout.display != "none"


def paragraph(words):
    """Return a paragraph of plain text, what it holds is escaped; nothing for no words."""
    return f"<p>{escape(words)}</p>" if words else ""


def result(words):
    """Return the answer that the eye should find first; what it holds is escaped."""
    return f"<div class='result'>{paragraph(words)}</div>"


def caution(words):
    """Return a caution to stand beside a number, as HTML; nothing without words."""
    return f"<div role='note'>{paragraph(f'Caution. {words}')}</div>" if words else ""


def cautions(said):
    """Return several cautions to stand beside numbers, each a line of a list, as HTML; nothing without any."""
    lines = "".join(f"<li>{escape(one)}</li>" for one in said)
    return f"<div role='note'>{paragraph('Cautions:')}<ul>{lines}</ul></div>" if said else ""


def stamped(words):
    """Return what goes before a number that is not to be trusted, marked by more than its colour; nothing for no words."""
    return f"<p class='stamp' role='note'>{escape(words)}</p>" if words else ""


def details(title, inside):
    """Return HTML that is folded away under a title."""
    return f"<details><summary>{escape(title)}</summary>{inside}</details>"


def table_row(cells, tag, long=()):
    """Return a row of an HTML table, every cell escaped; what heads nothing is no heading, and what heads `long` texts is wide."""
    tagged = (
        (cell, tag if str(cell) else "td", " class='long'" if at in long else "") for at, cell in enumerate(cells)
    )
    return "<tr>" + "".join(f"<{one}{wide}>{escape(str(cell))}</{one}>" for cell, one, wide in tagged) + "</tr>"


def table(head, rows, title):
    """Return an HTML table with a title, every cell escaped; a wide one scrolls in itself, an empty last "note" is left out."""
    if head[-1] == "note" and not any(row[-1] for row in rows):
        head, rows = head[:-1], [row[:-1] for row in rows]
    long = {at for at in range(len(head)) if any(len(str(row[at])) > LONG for row in rows)}
    inside = table_row(head, "th", long) + "".join(table_row(row, "td") for row in rows)
    return f"<p class='caption'>{escape(title)}</p>{scrolling(f'<table>{inside}</table>', escape(title))}"


def scrolling(inside, title):
    """Return HTML that scrolls in itself where it is too wide, named for assistive technology."""
    return f"<div class='scrolls' tabindex='0' role='region' aria-label='{title}'>{inside}</div>"


class Message(W.HTML):
    """A place in the page for what went wrong (read out at once) or what is being done (read out when there is time)."""

    def complain(self, words):
        """Show a complaint, one line or several; nothing for an empty text."""
        lines = "".join(f"<div>{escape(line)}</div>" for line in words.splitlines())
        self.value = f"<div role='alert'>{lines}</div>" if lines else ""

    def say(self, words):
        """Say what is done or being done."""
        self.value = f"<div role='status'>{escape(words)}</div>"


class Later:
    """Works through steps one after another, letting the page draw between them; new steps replace those that wait.

    Where no event loop runs (a plain script, a test) the steps are worked through at once. An error is given to `complain`;
    results shown in a place (a widget) are old from the start of the work, each until a step writes it anew.
    """

    def __init__(self, complain, place=None):
        self._complain, self._place, self._waiting = complain, place, None

    def stop(self):
        """Give up the steps that wait."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def start(self, steps, rest=SOON):
        """Work through steps, functions without arguments; the first that fails is complained of and ends the work.

        After the first step it waits for `rest` [s], so that what can wait does not hold up the next move of a slider.
        """
        self.stop()
        expire(self._place)
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            while steps and self._done(steps[0]):
                steps = steps[1:]
            return
        self._wait(loop, list(steps), SOON, rest)

    def _wait(self, loop, steps, pause, rest):
        def go():
            self._waiting = None
            if self._done(steps[0]) and self._waiting is None and steps[1:]:
                self._wait(loop, steps[1:], rest, SOON)

        if steps:
            self._waiting = loop.call_later(pause, go)

    def _done(self, step):
        try:
            step()
        except Exception as error:  # a traceback in the page helps nobody
            self._complain(error)
            fail(self._place)
            return False
        return True


class PageProbe(anywidget.AnyWidget):
    """Tells whether the page is light or dark, and its text large, in `page`, and how wide its place is, in `width` [px]; shows nothing."""

    page = traitlets.Unicode("light").tag(sync=True)
    width = traitlets.Int(600).tag(sync=True)

    def __init__(self):
        super().__init__(layout=W.Layout(width="100%", height="0"))

    _esm = """
function render({ model, el }) {
  el.style.height = "0";
  let known = false, waiting = null, outermost = null;
  const isLarge = () => {  // for a projector: a class of the outermost page, which is known once this is put into it
    let page = el.closest(".rheokit-page");
    while (page?.parentElement.closest(".rheokit-page")) page = page.parentElement.closest(".rheokit-page");
    if (page && page !== outermost) themes.observe(outermost = page, { attributes: true, attributeFilter: ["class"] });
    return Boolean(page?.classList.contains("projector"));
  };
  const tell = () => {
    const page = (document.body.dataset.jpThemeLight === "false" ? "dark" : "light") + (isLarge() ? ", large" : "");
    const wide = 10 * Math.floor(el.clientWidth / 10);
    known ||= wide >= 100;
    const width = wide < 100 ? model.get("width") : wide;  // out of sight it is not laid out: as it was
    if (model.get("page") === page && model.get("width") === width || el.closest(".jupyter-widgets-disconnected")) return;
    model.set({ page, width });
    model.save_changes();
  };
  const rested = () => {  // while a theme is exchanged, the page is laid out anew several times, and hidden meanwhile
    clearTimeout(waiting);
    waiting = setTimeout(tell, known ? 100 : 0);
  };
  const themes = new MutationObserver(rested);
  themes.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
  const sizes = new ResizeObserver(rested);
  sizes.observe(el);
  tell();
  return () => { clearTimeout(waiting); themes.disconnect(); sizes.disconnect(); };
}
export default { render };
"""
