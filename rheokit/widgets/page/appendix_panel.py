"""The appendix of a report by one press: written into the folder of the paste that is open, a demo's into the person's own.

A `WorkbookPage` shows it folded, below its script.
"""

import math
from collections.abc import Callable
from shlex import quote
from time import monotonic

import ipywidgets as W

from ...errors import DataError
from ...progress import told_to
from ...reading.faults import shown
from ...reading.refusals import ELSEWHERE
from ...workbook import Workbook
from ...workbook.disk import still_there
from .accessible import name
from .bound import saving_of
from .elements import Message, paragraph
from .hearing import hear_press
from .layout import Fold
from .page_words import in_words

TITLE = "Appendix of a report"
ABOUT = (
    "What a reviewer asks of measurements, in one page (appendix.html) and one PDF that holds this workbook: apparatus, readings, law, limits, "
    "checks, predictions; with its tables and figures as files. It takes some seconds, in which the page waits."
)
BUTTON = "Make the appendix"
BY_COMMAND = "write it into another place by command: rheokit appendix FOLDER --out PLACE"
A_SECOND_PRESS = 1.0  # of two, which is heard when the first is worked off, comes within this time [s]
NEWER = (
    "It is of what stands in the folder now, which is newer than what this page shows: take that, on top of the page."
)
LATER = (
    "The appendix was not made: a change of the plan waits to be saved, as told on top of the page. Settle that first."
)


class AppendixPanel(W.VBox):
    """A button that writes the appendix, and below it which step is at work, where it was written, or why it was not."""

    def __init__(self, workbook: Callable[[], Workbook | None], overtaken: Callable[[], bool] = lambda: False) -> None:
        self._workbook, self._overtaken, self.message, self._made = workbook, overtaken, Message(), -math.inf
        self.button = name(
            W.Button(description=BUTTON, icon="file-pdf-o", layout=W.Layout(width="auto", align_self="flex-start")),
            BUTTON,
        )
        hear_press(self.button, self.make)
        super().__init__([W.HTML(paragraph(ABOUT)), self.button, self.message], layout=W.Layout(width="100%"))
        self.add_class("rheokit-appendix")

    def make(self) -> None:
        """Write the appendix of the paste that is open."""
        if monotonic() < self._made + A_SECOND_PRESS:
            return
        book = self._workbook()
        if book is None:
            self.message.complain("No paste is open: choose one on top of the page.")
            return
        if saving_of(book.plan).waits:
            self.message.complain(LATER)
            return
        self.button.disabled = True
        try:
            from ...appendix import write

            still_there(book.folder)
            with told_to(lambda words: self.message.say(f"Making it: {words.removesuffix(': ')} …")):
                written = write(book)
            self._made = monotonic()
            pdf = "" if written.lacks else "appendix.pdf, "
            where = f"appendix.html, {pdf}tables and figures are written into {shown(written.folder, 300)}."
            failed = [f"FAILED: {one}" for one in (written.forbids, written.lacks) if one]
            check = f"To check it later, in a terminal: rheokit verify {quote(str(written.folder))}"
            newer = [NEWER] if self._overtaken() else []
            made_up = [written.invented] if written.invented else []
            self.message.say(" ".join([where, *failed, *made_up, *newer, *written.told, check]))
        except (DataError, OSError) as error:
            self.message.complain(f"The appendix was not made: {in_words(error).replace(ELSEWHERE, BY_COMMAND)}")
        except Exception as error:  # said below the button, as of every picture
            self.message.complain(f"The appendix was not made: {type(error).__name__}: {error}"[:500])
        finally:
            self.button.disabled = False


def appendix_fold(workbook: Callable[[], Workbook | None], overtaken: Callable[[], bool] = lambda: False) -> Fold:
    """Return the fold of a page, which makes the panel when it is opened."""
    return Fold(TITLE, lambda: AppendixPanel(workbook, overtaken), "book")
