"""A picture that follows a slider: while only its numbers change, it is not built anew."""

from .parts import paragraph
from .pictures import Picture


class MovingPicture(Picture):
    """A `Picture` of a ``Drawing``."""

    _drawing = _spec = None

    @property
    def chart(self):
        """The chart that is shown, or None before the first one."""
        return None if self._drawing is None else self._drawing.chart()

    def clear(self):
        """Show nothing."""
        self._drawing = self._spec = None
        super().clear()

    def move(self, drawing):
        """Show a drawing: the same picture with other numbers where its axes are those shown, else another one."""
        before, self._drawing = self._drawing, drawing
        if before is None or (before.axes, before.build) != (drawing.axes, drawing.build):
            self.draw(drawing.chart())
            self._spec = self._place.children[0].spec
            return
        self._spec = {**self._spec, **drawing.numbers}
        self._place.children[0].spec = self._spec
        self.words.value = paragraph(f"In words: {drawing.words}")
        self.renew()
