"""Every page of a paste at 1280 x 800 and at 768 px: answer, picture and main control together, nothing cut, nothing that jumps."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

STATUS_LINE = 30  # px, JupyterLab's own, below the notebook
PAGES = {  # notebook: paste, main control, its picture
    "2-nozzle-and-force.ipynb": (
        "olive-stone-paste (demo, invented)",
        "print speed v [mm/s]",
        "Force against print speed",
    ),
    "3-printable-region.ipynb": ("olive-stone-paste (demo, invented)", "print speed v [mm/s]", "Printable region"),
    "4-recipe-shape-drying.ipynb": (
        "olive-stone-paste (demo, invented)",
        "water content u (dry basis) [-]",
        "Yield stress against water content",
    ),
    "6-gels-and-fibres.ipynb": (
        "gelatin-dope-40 (demo, invented)",
        "winding speed v_w [mm/s]",
        "Diameter along the way",
    ),
}

# What in the strip is longer than its place.
CUT = """() => [...document.querySelectorAll('.rheokit-strip, .rheokit-strip > .widget-html')]
  .filter((part) => part.offsetParent && (part.scrollHeight > part.clientHeight || part.scrollWidth > part.clientWidth))
  .map((part) => `${part.scrollHeight} px in ${part.clientHeight}: ${part.innerText}`)"""

# What of a control, or of its words, is wider than its place.
CUT_FIELDS = """() => [...document.querySelectorAll('.rheokit-page :is(.widget-label, .widget-label-basic, button, input, p, th, td)')]
  .filter((one) => one.offsetParent && one.clientWidth && one.scrollWidth > one.clientWidth + 1)
  .map((one) => `${one.scrollWidth} px in ${one.clientWidth}: ${one.value || one.textContent}`)"""
OTHER = "name => !document.querySelector(`${name} canvas[data-seen]`) && document.querySelector(`${name} canvas`)"

# Where the main control, the picture and the strip stand in every frame, until `window.watched` is taken.
WATCH = """(places) => {
  window.watched = [];
  const see = () => {
    if (!window.watched) return;
    const tops = places.map((place) => document.querySelector(place)?.getBoundingClientRect().top);
    window.watched.push(tops.map((top) => top === undefined ? 'gone' : Math.round(top)));
    requestAnimationFrame(see);
  };
  see();
}"""
SEEN = "() => { const seen = window.watched; window.watched = null; return seen; }"


@pytest.fixture(params=list(PAGES), ids=lambda name: name[0])
def shown(request, notebooks):
    """Return the page of a demo, its main control and the place of its picture, scrolled to its top."""
    paste, control, picture = PAGES[request.param]

    def show(**window):
        notebook = notebooks.show(request.param, ready=lambda one: one.pick(paste), **window)
        notebook.pick(paste)
        notebook.in_sight()
        slider = notebook.page.get_by_role("slider", name=control)  # capitals are all one
        return notebook, slider, f".rheokit-page [role=img][aria-label^='{picture}']"

    return show


def test_answer_picture_and_main_control_stand_in_one_view(shown):
    notebook, slider, picture = shown(width=1280, height=800)
    strip, drawn, moved = (
        notebook.page.locator(place).first.bounding_box() for place in (".rheokit-strip", picture, f"{picture} canvas")
    )
    handle = slider.bounding_box()
    for box in (strip, drawn, handle):
        assert box["y"] >= 0 and box["y"] + box["height"] <= 800 - STATUS_LINE, (strip, drawn, handle)
    assert moved["width"] > 300
    for box in (drawn, handle):
        assert box["y"] >= strip["y"] + strip["height"], "the strip covers it"


def test_no_word_of_the_strip_is_cut(shown, width):
    notebook, slider, _ = shown(width=width, height=800)
    assert notebook.page.evaluate(CUT) == []
    for key in ("Home", "End"):
        slider.press(key)
        notebook.settle()
        assert notebook.page.evaluate(CUT) == [], key


def test_no_word_of_the_strip_is_cut_where_it_is_as_narrow_as_a_telephone(shown):
    notebook, *_ = shown(width=390, height=844)
    assert notebook.page.evaluate(CUT) == []


def test_on_a_projector_nothing_is_cut_and_the_picture_stands_whole_under_the_strip(shown):
    notebook, _, picture = shown(width=1280, height=800)
    assert notebook.page.evaluate(CUT_FIELDS) == []
    large = notebook.page.get_by_role("button", name="Projector mode")

    def turn():
        notebook.page.locator(f"{picture} canvas").evaluate("canvas => { canvas.dataset.seen = 'yes'; }")
        large.press("Space")
        notebook.page.wait_for_function(OTHER, arg=picture)
        notebook.settle()

    turn()
    cut = [*notebook.page.evaluate(CUT), *notebook.page.evaluate(CUT_FIELDS)]
    strip, drawn = (
        notebook.page.locator(place).first.bounding_box() for place in (".rheokit-strip", f"{picture} canvas")
    )
    turn()
    assert cut == []
    top = notebook.page.locator(".jp-WindowedPanel-outer").first.bounding_box()["y"]
    assert top + strip["height"] + drawn["height"] <= 800 - STATUS_LINE


def test_nothing_jumps_while_the_main_control_is_moved(shown):
    notebook, slider, picture = shown(width=1280, height=800)
    slider.focus()
    notebook.settle()
    notebook.page.evaluate(WATCH, [".rheokit-strip", picture, ".beside-main", ".beside-others"])
    for _ in range(4):
        slider.press("ArrowRight")
        notebook.page.wait_for_timeout(150)
    notebook.settle()
    seen = {tuple(places) for places in notebook.page.evaluate(SEEN)}
    for places in zip(
        *seen, strict=True
    ):  # a picture with other axes is put in its place anew: gone for a frame, and not moved
        assert len(set(places) - {"gone"}) == 1, seen


def test_what_a_slider_is_refused_covers_no_heading_and_moves_nothing(shown):
    notebook, slider, picture = shown(width=1280, height=800)
    page = notebook.page
    typed = page.get_by_role("textbox", name=f"{slider.get_attribute('aria-label')}, typed", exact=True)
    before, places = typed.input_value(), [f"{picture} canvas", ".rheokit-strip", ".beside-others"]
    stood = [page.locator(place).first.bounding_box() for place in places]
    typed.fill("abc")
    typed.press("Enter")
    alert = page.locator(".rheokit-page .sliding-number [role=alert]")
    expect(alert).to_contain_text("is not a number")
    notebook.settle()
    box, drawn = alert.bounding_box(), stood[0]
    expect(typed).to_have_attribute("aria-invalid", "true")
    border = typed.evaluate("field => getComputedStyle(field).boxShadow")
    moved = [page.locator(place).first.bounding_box() for place in places] != stood
    beside_main = page.locator(".beside-main .sliding-number [role=alert]").count()
    typed.fill(before)
    typed.press("Enter")
    notebook.settle()
    assert "inset" in border, "refused is seen within the line of the focus"
    if beside_main:
        assert not moved
        assert box["x"] >= drawn["x"] + 50 and box["y"] >= drawn["y"] + 70, "left of it the axis, above it the title"
        assert box["x"] + box["width"] <= drawn["x"] + drawn["width"]
        assert box["y"] + box["height"] <= drawn["y"] + drawn["height"]
