"""What the panels of an explorer share: work after a change, messages in the page, the last good picture stays."""

import ipywidgets as W

from .parts import Later, Message, column, in_words, side_by_side

CONTROLS, PICTURE = 340, 480  # px: least widths of controls and picture that stand beside each other
GAP = 24  # px, right of either column and to spare
REST = 0.15  # s
WRAPS = """<style>
.wraps .widget-label { white-space: normal; height: auto; line-height: 1.25; overflow: visible; padding-top: 4px; }
@container (max-width: 560px) {
  .wraps .widget-hslider { flex-wrap: wrap; height: auto; }
  .wraps .widget-hslider .widget-label { width: 100% !important; }
  .wraps .grid-head p { font-size: 12px; }
}
</style>"""
"""Labels too long for their column go on below."""


def beside_each_other(controls, picture):
    """Return controls at the left, and what they move to the right of them, or below where the page is narrow."""
    left, right = column(*controls, share=f"1 1 {CONTROLS}px"), column(*picture, share=f"999 1 {PICTURE}px")
    return side_by_side(left, right)


class Room(W.VBox):
    """One panel of an explorer; a subclass gives `steps`, each of which may fail without holding up the others."""

    def __init__(self):
        self.message, self.page, self.width, self.subtitle = Message(), "light", 600, ()
        self._later, self._said = Later(self.message.complain), []
        super().__init__([], layout=W.Layout(width="100%"))

    @property
    def steps(self):
        """What is worked through after a change, functions without arguments; the first is the quickest to be seen."""
        raise NotImplementedError

    @property
    def beside(self):
        """Width of a picture beside controls [px]."""
        return self.width - CONTROLS - GAP if self.width >= CONTROLS + PICTURE else self.width

    def refresh(self):
        """Work through the steps; what goes wrong is said in the page, once each."""
        self._said = []
        self._later.start([*(self._trying(step) for step in self.steps), self._complain], REST)

    def look(self, page, width, subtitle):
        """Take the colour and width [px] of the page, and what stands below every title, without drawing."""
        self.page, self.width, self.subtitle = page, width, tuple(subtitle)

    def _trying(self, step):
        def go():
            try:
                step()
            except Exception as error:  # a traceback in the page helps nobody
                self._said.append(in_words(error))
                self._complain()

        return go

    def _complain(self):
        words = list(dict.fromkeys(self._said))
        self.message.complain(
            "\n".join([*words, "What could not be computed stands below as it was before."] if words else [])
        )
