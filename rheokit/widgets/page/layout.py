"""Where things stand on a page: controls beside the picture that they change, and what is folded away.

A page puts its main control, its picture and its other controls into `beside(main, picture, *others)`; a panel that is seldom
asked for into a `Fold("Words of its button", make)`, which makes it when it is first opened; text into `elements.details`.
"""

from collections.abc import Callable

import ipywidgets as W

from .elements import show
from .hearing import hear

# Wide: main control and the others on the left, and the picture, which stays in view below the strip. Narrow: main, picture, others.
LAYOUT_STYLE = """<style>
.rheokit-page .widget-box:has(.beside-picture) { overflow: visible; }
.rheokit-page .beside {
  display: grid; width: 100%; gap: 0 20px; grid-template: "main picture" auto "others picture" 1fr / minmax(290px, 32%) minmax(0, 1fr);
}
.rheokit-page .beside > * { width: auto; min-width: 0; margin: 0; }
.rheokit-page .beside .widget-checkbox { width: auto !important; }  /* its margins come on top */
.rheokit-page .beside-main { grid-area: main; }
.rheokit-page .beside-others { grid-area: others; }
.rheokit-page .beside-picture { grid-area: picture; align-self: start; position: sticky; top: calc(var(--strip, 0px) + 4px); }
@container (max-width: 900px) {
  .rheokit-page .beside { grid-template: "main" auto "picture" auto "others" auto / minmax(0, 1fr); }
  .rheokit-page .beside-picture { position: static; }
  .rheokit-page .left-out > .picture-place { min-height: 0 !important; }  /* nothing stands beside it that would move */
}
@container (min-width: 901px) {  /* a table in large text asks for the whole width, below */
  .rheokit-page.projector .beside:has(.beside-others .grid-row) { grid-template: "main picture" auto "others others" auto / minmax(290px, 32%) minmax(0, 1fr); }
  .rheokit-page.projector .beside:has(.beside-others .grid-row) > .beside-picture { position: static; }
}
@container (min-width: 901px) {  /* what a slider is refused stands over the picture, which is old then, below its heading and beside its axis: nothing below moves */
  .rheokit-page :is(.beside-main, .beside-main .widget-box:has(.sliding-number), .sliding-number) { overflow: visible; }
  .rheokit-page .beside-main .sliding-number { position: relative; }
  .rheokit-page .beside-main .sliding-number > .widget-html:has([role=alert]) {
    position: absolute; left: calc(100% + 20px + 5.5em); top: 7em; width: min(460px, 24em); max-width: none; height: auto; margin: 0; z-index: 4; font-size: var(--text);
    background: var(--jp-layout-color1, #ffffff); box-shadow: 0 0 0 1px var(--jp-error-color1, #d32f2f);
  }
}
.rheokit-page.projector .not-projected { display: none; }
@media print {  /* the whole notebook, not the window that it scrolls in */
  :is(html, body, body *):has(.rheokit-page) {
    position: static !important; display: block !important; width: auto !important; height: auto !important; min-height: 0 !important;
    max-height: none !important; overflow: visible !important; contain: none !important; transform: none !important;
  }
  .rheokit-page :is(.rheokit-strip, .beside-picture) { position: static; }
  .rheokit-page canvas { max-width: 100%; height: auto !important; }
  :is(.jp-SideBar, .jp-Toolbar, .lm-TabBar, #jp-top-panel, #jp-bottom-panel, #jp-menu-panel) { display: none !important; }
}
.rheokit-page .rheokit-fold-opener { width: auto; max-width: 100%; height: auto; white-space: normal; text-align: left; line-height: 1.4; }
</style>"""


def beside(main: W.Widget, picture: W.Widget, *others: W.Widget) -> W.Box:
    """Return a main control and others with their picture at the right, or below the main one where the page is narrow."""
    places = {"beside-main": [main], "beside-picture": [picture], "beside-others": others}
    return W.Box([W.VBox(inside).add_class(place) for place, inside in places.items()]).add_class("beside")


class Fold(W.VBox):
    """A place for a widget that a button opens and closes; until it is first opened it costs no time.

    Parameters
    ----------
    words : str
        On the button.
    make : callable
        Returns the widget; called once, at the first opening or when `made` is asked for.
    icon : str
        Of the button.
    apart : bool
        Whether the button stands elsewhere: who says so shows `opener`.
    """

    def __init__(self, words: str, make: Callable[[], W.Widget], icon: str = "", *, apart: bool = False) -> None:
        self.opener = W.ToggleButton(description=words, icon=icon, tooltip="")  # none would read "null"
        self.opener.add_class("rheokit-fold-opener")
        self.inside: W.Widget | None = None
        self._make, self._place = make, W.VBox([], layout=W.Layout(width="100%"))
        super().__init__([self._place] if apart else [self.opener, self._place], layout=W.Layout(width="100%"))
        show(self._place, False)
        hear(self.opener, self._turn)

    @property
    def made(self) -> W.Widget:
        """The widget, made now if it was not yet."""
        if self.inside is None:
            self.inside = self._make()
            self._place.children = [self.inside]
        return self.inside

    def renew(self) -> None:
        """Make the widget anew: at once where it is shown, else when it is opened."""
        self.inside, self._place.children = None, []
        if self.is_open:
            _ = self.made

    @property
    def is_open(self) -> bool:
        """Whether what is in it is shown."""
        return self.opener.value

    def unfold(self) -> None:
        """Show what is in it."""
        self.opener.value = True

    def _turn(self):
        if self.opener.value:
            _ = self.made
        show(self._place, self.opener.value)
