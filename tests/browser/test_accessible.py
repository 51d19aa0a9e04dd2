"""Names for assistive technology, without a browser; then the pages of every notebook in one, by the rules of axe-core, and their focus ring."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from ipywidgets import FloatSlider

from rheokit.widgets.page.accessible import name

NOTEBOOKS = [
    "1-fit-bench-data.ipynb", "2-nozzle-and-force.ipynb", "3-printable-region.ipynb", "4-recipe-shape-drying.ipynb",
    "5-what-if-exercises.ipynb", "6-gels-and-fibres.ipynb",
]  # fmt: skip
GRAVE = ("serious", "critical")

# Opens what is folded; returns how much that was.
UNFOLD = """() => {
  const folds = [...document.querySelectorAll('.rheokit-page .rheokit-fold-opener:not(.mod-active)')].filter((e) => e.offsetParent);
  const more = [...document.querySelectorAll('.rheokit-page details:not([open])')].filter((e) => e.offsetParent);
  folds.forEach((e) => e.click());
  more.forEach((e) => { e.open = true; });
  return folds.length + more.length;
}"""

# Contrast of the focus ring with what is behind it, of one element of each kind that takes the focus; 0 where there is no ring.
RINGS = """() => {
  const numbers = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = (colour) => {
    const [r, g, b] = numbers(colour).map((one) => one / 255).map((one) => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    const ring = e.getBoundingClientRect();
    while ((e = e.parentElement)) {
      const colour = getComputedStyle(e).backgroundColor, box = e.getBoundingClientRect();
      if (numbers(colour)[3] !== 0 && box.height >= Math.min(ring.height, 12)) return colour;  // not the bar of a slider
    }
    return 'rgb(255, 255, 255)';
  };
  const found = {};
  for (const e of document.querySelectorAll('.rheokit-page :is(button, input, select, textarea, summary, [tabindex])')) {
    const kind = [e.localName, e.type, e.getAttribute('role')].filter(Boolean).join(' ');
    if (kind in found || !e.checkVisibility() || e.disabled || e.tabIndex < 0) continue;
    e.focus();
    const style = getComputedStyle(e);
    const [one, other] = [light(style.outlineColor), light(ground(e))].sort((a, b) => a - b);
    found[kind] = style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2 ? 0 : (other + 0.05) / (one + 0.05);
  }
  return found;
}"""


def test_a_new_name_replaces_the_old_and_other_classes_stay():
    slider = FloatSlider().add_class("wide")
    assert name(slider, "Yield stress [Pa]") is slider
    name(slider, "Viscosité, 50 %")
    assert slider._dom_classes == ("wide", "accessible-name:Viscosit%C3%A9%2C%2050%20%25")


def test_a_name_that_says_nothing_is_refused():
    with pytest.raises(ValueError, match="says nothing") as refusal:
        name(FloatSlider(), " ")
    assert str(refusal.value) == (
        "accessible name of a FloatSlider: ' ' says nothing; give the quantity and its unit, as in 'Yield stress [Pa]'."
    )


def grave(page):
    """Return what axe-core finds serious or critical in the pages of a notebook: the rule and what breaks it."""
    found = Axe().run(page, ".rheokit-page", {"resultTypes": ["violations"]}).response["violations"]
    return [
        f"{rule['id']}: {node['html'][:160]}" for rule in found if rule["impact"] in GRAVE for node in rule["nodes"]
    ]


def weak_rings(page):
    """Return the kinds of controls whose focus ring does not stand out from what is behind it, 3 to 1, and how much it does."""
    page.keyboard.press("Tab")  # a ring is drawn for who works by keyboard
    rings = page.evaluate(RINGS)
    assert len(rings) > 1
    return {kind: contrast for kind, contrast in rings.items() if contrast < 3}


@pytest.mark.browser
@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda name: name[0])
def test_nothing_in_a_page_keeps_anyone_out_and_the_focus_is_seen(notebooks, notebook):
    shown = notebooks.show(notebook)
    page = shown.page
    for _ in range(5):  # folds within folds
        if not page.evaluate(UNFOLD):
            break
        shown.settle()
    for theme in ("light", "dark"):
        shown.fit_into(1280, 900, theme)
        assert grave(page) == [], theme
        assert weak_rings(page) == {}, theme


@pytest.mark.browser
def test_a_field_without_a_name_and_a_faint_ring_are_noticed(notebooks):
    page = notebooks.show(NOTEBOOKS[1]).page
    page.evaluate("() => document.querySelector('.rheokit-page').append(document.createElement('input'))")
    assert any(one.startswith("label: ") for one in grave(page))
    page.evaluate("() => document.querySelector('.rheokit-page > input').remove()")
    page.evaluate(
        "() => document.querySelectorAll('.rheokit-page').forEach((e) => e.style.setProperty('--focus', '#c8c8c8'))"
    )
    assert weak_rings(page)
    page.evaluate("() => document.querySelectorAll('.rheokit-page').forEach((e) => e.style.removeProperty('--focus'))")
