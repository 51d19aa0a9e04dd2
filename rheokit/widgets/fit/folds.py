"""What page 1 says of its fit while somebody looks: the force that it means, and which reading to take next."""

from typing import Any

from ..page.freshness import FAILED, outlive
from ..page.hearing import hear
from ..page.layout import Fold
from . import words
from .force_panel import ForcePanel
from .next_panel import NextPanel


class FitFolds:
    """Two folds, each with a panel that is made when it is first opened.

    Parameters
    ----------
    page : FitExplorer
    """

    def __init__(self, page: Any) -> None:
        self._page = page
        self.forces, self.nexts = Fold(words.FORCE, self._force_panel), Fold(words.NEXT, self._next_panel)
        hear(self.nexts.opener, self._next_opened)

    def _force_panel(self):
        panel = ForcePanel(self._page.plan)
        panel.page, panel.width = self._page.page, self._page.width
        return self._begun(panel)

    def _next_panel(self):
        panel = NextPanel(self._page.plan)
        for control in (panel.choice, panel.batch):
            hear(control, lambda: self._page.look())
        return self._begun(panel)

    def _begun(self, panel):
        """Return a panel that shows the fit that stands, and is old where that is."""
        page = self._page
        if page.fit is not None:
            panel.show(page.fit, page.material_of)
        if FAILED in page.verdict._dom_classes:
            panel.wait()
            outlive(panel)
        return panel

    def _next_opened(self):
        """Answer for the fit that stands, where another stood when the fold was closed."""
        panel, page = self.nexts.inside, self._page
        if self.nexts.is_open and panel is not None and page.fit is not None and panel.fit is not page.fit:
            panel.show(page.fit, page.material_of)

    def new_page(self) -> None:
        """Show them on a page of another colour or width."""
        if self.forces.inside is not None:
            self.forces.inside.page, self.forces.inside.width = self._page.page, self._page.width

    def wait(self) -> None:
        """Compute nothing in them until another fit is shown."""
        for fold in (self.forces, self.nexts):
            if fold.inside is not None:
                fold.inside.wait()

    def show(self) -> None:
        """Show the fit that stands in what was opened; nothing is computed after it that anybody waits for."""
        page = self._page
        if self.forces.inside is not None:
            self.forces.made.show(page.fit, page.material_of)  # it says from here on what is being computed
        if self.nexts.is_open:
            self.nexts.made.show(page.fit, page.material_of)
        page.status.say("")
