"""What the exercises take of the paste that is picked."""

import ipywidgets as W

from ...workbook import Workbook
from ..page.elements import paragraph
from ..page.frame import Page

OF_PASTE = (
    "Exercises 9 and 10 are about this paste as far as its readings tell what they ask for, and else about an invented one. Chosen another? "
    "Then run their two cells again."
)


class PasteOfExercises(Page):
    """What the exercises take of a paste of one's own."""

    def __init__(self, workbook: Workbook) -> None:
        self.workbook = workbook
        super().__init__([W.HTML(paragraph(OF_PASTE))], max_width="900px")

    def wait(self) -> None:
        """Nothing is computed here."""
