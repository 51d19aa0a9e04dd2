"""Pictures that are redrawn in place, with their numbers in words below them; one that only moves is not built anew."""

import ipywidgets as W

from ...charts import live
from .accessible import name
from .elements import Message, details, paragraph, show
from .frame import Page
from .freshness import Dated
from .hearing import hear_press
from .page_words import in_words


class KeepLine(W.HBox):
    """The button that keeps a picture, and beside it what became of that."""

    def __init__(self, picture):
        self.picture, self.message = picture, None
        self.button = name(
            W.Button(description="Keep", layout=W.Layout(width="auto", flex="none")), f"Keep: {picture.title}"
        )
        hear_press(self.button, self._keep)
        super().__init__([self.button], layout=W.Layout(width="100%", align_items="center"))

    def _keep(self):
        self.message = self.message or Message()
        self.children = [self.button, self.message]
        try:
            self.message.say(Page.around(self.picture).keeper.keep(self.picture))
        except Exception as error:  # said beside the button
            self.message.complain(in_words(error))


class Picture(Dated, W.VBox):
    """A chart that keeps its place while it is redrawn, named for assistive technology.

    Parameters
    ----------
    title : str
        What it shows, in a few words.
    height : int
        Least height, so that the page does not jump before the first drawing. [px]
    """

    def __init__(self, title, height):
        self.title = title
        self.words, self.reason = W.HTML(), W.HTML()
        self._place = W.VBox([], layout=W.Layout(width="100%", min_height=f"{height}px", overflow="hidden"))
        self.keep_line = KeepLine(self)
        self._place.add_class("picture-place")
        super().__init__(
            [self.reason, self._place, self.words, self.keep_line], layout=W.Layout(width="100%", min_width="0")
        )
        self.add_class("answer")
        self._say_instead("")
        self._offer_to_keep()

    def _offer_to_keep(self):
        """Show the button where there is a chart to keep; its room stays."""
        self.keep_line.layout.visibility = "visible" if self._place.children else "hidden"

    @property
    def chart(self):
        """The chart that is shown, or None before the first one."""
        return self._place.children[0].chart if self._place.children else None

    @property
    def spec(self):
        """The specification of the chart that is shown, or None where there is none."""
        return self._place.children[0].spec if self._place.children else None

    @property
    def shows(self):
        """Whether anything was drawn, or said in its place."""
        return bool(self._place.children or self.words.value or self.reason.value)

    def leave_out(self, words):
        """Show no chart, and say why in its place."""
        self._place.children, self.words.value = [], ""
        self._say_instead(words)
        self._offer_to_keep()
        self.renew()

    def _say_instead(self, words):
        """Say on top of the place of the chart why it is empty; nothing where it is not."""
        self.reason.value = paragraph(words)
        show(self.reason, bool(words))
        (self.add_class if words else self.remove_class)("left-out")

    def clear(self):
        """Show nothing."""
        self._place.children, self.words.value = [], ""
        self._say_instead("")
        self._offer_to_keep()
        self.renew()

    def put(self, chart):
        """Show a chart in place of the one before."""
        if self._place.children:
            self._place.children[0].chart = chart
        else:
            self._say_instead("")
            shown = name(live(chart), f"{self.title}: described in the text below")
            shown.layout = W.Layout(width="100%")
            self._place.children = [shown]
            self._offer_to_keep()
        self.words.value = details("In words", paragraph(f"{chart.description}"))
        self.renew()


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

    def leave_out(self, words):
        """Show no chart, and say why."""
        self._drawing = self._spec = None
        super().leave_out(words)

    def move(self, drawing):
        """Show a drawing: the same picture with other numbers where its axes are those shown, else another one."""
        before, self._drawing = self._drawing, drawing
        if before is None or (before.axes, before.build) != (drawing.axes, drawing.build):
            self.put(drawing.chart())
            self._spec = self._place.children[0].spec
            return
        self._spec = {**self._spec, **drawing.numbers}
        self._place.children[0].spec = self._spec
        self.words.value = details("In words", paragraph(drawing.words))
        self.renew()
