"""What a law leaves of the readings, in three pictures that are drawn while somebody looks."""

from collections.abc import Callable

import ipywidgets as W

from ... import charts
from ...fitting.result import FitResult
from ..page.hearing import hear
from ..page.layout import Fold
from ..page.pictures import Picture
from . import words


class Residuals(Fold):
    """The pictures of the residuals of a fit, folded; `opened` is called without arguments when they are to be drawn.

    Attributes
    ----------
    along_rate, along_order, against : Picture
    """

    def __init__(self, opened: Callable[[], object]) -> None:
        self.along_rate, self.along_order = Picture(words.ALONG_RATE, 400), Picture(words.ALONG_ORDER, 400)
        self.against = Picture(words.AGAINST, 380)
        # below one another, each as wide as the curve
        super().__init__(words.RESIDUALS, lambda: W.VBox([self.along_rate, self.along_order, self.against]))
        hear(self.opener, lambda: opened() if self.is_open else None)

    def draw(self, fit: FitResult, **paper: str | int) -> None:
        """Draw those of a fit, on paper of a colour and width [px], where they are shown."""
        if self.is_open:
            self.along_rate.put(charts.residuals(fit, charts.RATE, **paper))
            self.along_order.put(charts.residuals(fit, charts.RUN_ORDER, **paper))
            self.against.put(charts.read_against_predicted(fit, **paper))
