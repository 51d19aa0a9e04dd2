"""Which reading to take next: a question is chosen, and the readings that the bench allows are ranked by what each is expected to leave."""

from collections.abc import Callable

import ipywidgets as W

from ...errors import DataError
from ...fitting.predictions import MEDIAN, NEXT
from ...fitting.result import FitResult
from ...paste.material import Material
from ...planning.questions import Question
from ...planning.ranked_readings import NextReading
from ...planning.reading_advice import HEADINGS, notes_of, remarks_of, rows_of
from ...workbook import Plan
from ...workbook.questions import questions
from ..page.base import Panel
from ..page.elements import WIDE, cautions, details, paragraph, result, stamped, table
from ..page.freshness import Answer
from ..page.hearing import hear
from ..page.page_words import silent
from . import words

ASK, OF_BATCH = "question", "of which batch"
BATCHES = {"those that were read (their median)": MEDIAN, "the next one, not yet made": NEXT}
FOR_NEXT = "next readings"
EACH = "What each would show, and what is doubtful of it"
CANNOT_BE_ASKED = "Cannot be asked yet"


class NextPanel(Panel):
    """Questions of a fit and what is planned with it; the answer is computed when the panel is made, and for each question chosen.

    Attributes
    ----------
    choice, batch : Dropdown
        Of the questions that can be asked, and of the batch that is meant.
    found : NextReading or None
    """

    def __init__(self, plan: Plan | None = None) -> None:
        self.fit: FitResult | None = None
        self.plan = plan
        self.found: NextReading | None = None
        self._questions: dict[str, Question] = {}
        self._material_of: Callable[[FitResult], Material] = Material.of
        super().__init__()

    def sections(self) -> list[W.Widget]:
        """Return the choice, the answer, the table and what cannot be asked."""
        self.choice = W.Dropdown(
            options=[], description=ASK, style=WIDE, layout=W.Layout(width="auto", max_width="420px")
        )
        self.batch = W.Dropdown(options=BATCHES, description=OF_BATCH, style=WIDE, layout=self.choice.layout)
        for control in (self.choice, self.batch):
            hear(control, self._chosen)
        self.answered, self.numbers, self.lacking = Answer(), Answer(), Answer()
        return [self.choice, self.batch, self.message, self.status, self.answered, self.numbers, self.lacking]

    def wait(self) -> None:
        """Compute nothing until another fit is shown; what stands here is old."""
        self.fit = None
        super().wait()

    def show(self, fit: FitResult, material_of: Callable[[FitResult], Material] = Material.of) -> None:
        """Take another fit, and what makes a material of it."""
        self.fit = None  # until the choice stands
        self._material_of = material_of
        with silent():
            self._questions = questions(fit, self.plan, material_of)
        can = [name for name, one in self._questions.items() if not one.lacking]
        before = self.choice.value
        self.choice.options = can
        if can:
            self.choice.value = before if before in can else can[0]
        self.fit = fit
        self.refresh()

    def _chosen(self):
        if self.fit is not None:
            self.changed()

    def refresh(self) -> None:
        """Compute again."""
        if self.fit is not None:
            self.status.say(words.computing(FOR_NEXT))
            super().refresh()

    @property
    def steps(self) -> tuple[Callable[[], object], ...]:
        """What is worked through after a change."""
        return (self.say,)

    def say(self) -> None:
        """Say which reading to take next, and why each."""
        without = [f"{name}: {one.lacking}" for name, one in self._questions.items() if one.lacking]
        self.lacking.value = "".join(map(paragraph, [f"{CANNOT_BE_ASKED}: {'; '.join(without)}."])) if without else ""
        if self.choice.value is None or self.fit is None:
            self.answered.value, self.numbers.value = "", ""
            self.status.say("")
            return
        asked = self._questions[self.choice.value]
        try:
            with silent():
                self.found = asked.asked_of(self.fit, self.batch.value)
        except DataError as fault:
            self.found = None
            self.answered.value = result(f"Not known which reading helps: {str(fault).removeprefix('next_reading: ')}")
            self.numbers.value = ""
        else:
            self.answered.value = stamped(self.found.stamp) + result(self.found.said)
            title = f"Readings for the {asked.about}, the one that narrows most first"
            told = details(
                EACH, table(("reading", "what it would show"), remarks_of(self.found), f"{EACH}: {asked.about}")
            )
            notes = "".join(map(paragraph, notes_of(self.found)))
            careful = cautions(self.found.cautions)
            self.numbers.value = table(HEADINGS, rows_of(self.found), title) + careful + told + notes
        self.message.complain("")
        self.status.say("")
