"""A question that is answered twice: first by a guess, then by the computed number."""

import math
from collections.abc import Iterable
from typing import Any

import ipywidgets as W
from traitlets import TraitError

from ...errors import DataError
from ...nomenclature import number
from ...paste.properties import Paste
from ...workbook import Workbook, shelf
from ..page.accessible import JUDGED, name
from ..page.elements import WIDE, Message, paragraph, result
from ..page.elements import show as shown_if
from ..page.frame import Page
from ..page.hearing import hear_press
from ..page.number_field import TypedText
from ..page.picker import PROJECTOR
from ..page.typed_numbers import number_typed
from ..page.workbook_page import WorkbookPage
from .paste import PasteOfExercises

CLOSE = 1.15
"""Factor within which a prediction is called close; a convention of the classroom."""

PREDICTED = "predictions"
"""Under which the predictions are remembered, by the titles of the exercises."""
ANOTHER = "The computed number is another one than when you predicted: the paste was changed. Predict again."
EXERCISE = "rheokit-exercise"
STYLE = f"""<style>
.rheokit-page .widget-radio-box label {{ font-size: var(--text); line-height: 1.6; }}
.jp-OutputArea-child:has(.rheokit-page.{EXERCISE}) > .jp-OutputPrompt {{ display: block; visibility: hidden; }}
</style>"""
"""Large choices; and it stands below its heading in the notebook, not to the left of that."""


class Exercise(Page):
    """Predict first, then see: the answer is not in the page until a prediction has been made, and there is one prediction.

    What was predicted is remembered, so that neither Run All nor a new kernel takes it away; who wants to predict again says so.

    Parameters
    ----------
    title : str
        Goes before the names of its controls: the heading stands in the notebook.
    question : str
    answer : float or str
        As computed, in the unit of `unit`; one of `choices` where there are some.
    unit : str
        Of the number to be predicted.
    choices : sequence of str
        What can be chosen; none: a number is asked for.
    because : str or sequence of str
        What is said with the answer: the numbers behind it, a paragraph each.

    Attributes
    ----------
    prediction : float, str or None
        What was predicted, once it was.

    Examples
    --------
    >>> asked = Exercise("Doubling", "A wall twice as thick stands how many times as high?", 2 ** (2 / 3), unit="times")
    >>> asked.field.value = "2"
    >>> asked.show.click()
    >>> asked.verdict
    'You predicted 2 times; computed: 1.59 times. Your prediction is 1.26 times the computed value.'
    """

    def __init__(
        self,
        title: str,
        question: str,
        answer: float | str,
        *,
        unit: str = "",
        choices: Iterable[str] = (),
        because: str | Iterable[str] = (),
    ) -> None:
        choices = tuple(choices)
        if choices and answer not in choices:
            raise DataError(
                f"Exercise {title!r}: the answer {answer!r} is not among its choices, {', '.join(map(repr, choices))}."
            )
        if not choices:
            answer = float(answer)
            if not math.isfinite(answer):
                raise DataError(f"Exercise {title!r}: the answer {answer} is no number to predict.")
        self._answer, self.unit, self.prediction, self.verdict = answer, unit, None, ""
        self._because = (because,) if isinstance(because, str) else tuple(because)
        asked = f"my prediction{f' [{unit}]' if unit else ''}"
        if choices:
            self.field = W.RadioButtons(options=choices, value=None, layout=W.Layout(width="100%"))
        else:
            self.field = TypedText(description=asked, style=WIDE, layout=W.Layout(width="auto", max_width="380px"))
        name(self.field, f"{title}: {asked}")
        self.show = W.Button(description="Show the answer", layout=W.Layout(width="auto", max_width="220px"))
        name(self.show, f"{title}: show the answer")
        hear_press(self.show, self._reveal)
        self.again = W.Button(description="Predict again", layout=W.Layout(width="auto", max_width="220px"))
        name(self.again, f"{title}: predict again")
        hear_press(self.again, self._forget)
        shown_if(self.again, False)
        self.title, self.message, self.answer = title, Message(), W.HTML()
        buttons = W.HBox([self.show, self.again])
        asked_for = W.VBox([self.field, buttons, self.message]).add_class(JUDGED)
        super().__init__([W.HTML(result(question)), asked_for, self.answer], style=STYLE, max_width="900px")
        self.add_class(EXERCISE)
        self.enlarge(shelf.remembered(PROJECTOR) is True)
        self._remember()

    def __repr__(self):
        return f"Exercise, {'answered' if self.prediction is not None else 'not predicted yet'}"

    def enlarge(self, large: bool) -> None:
        """Show large text, for a projector, or text as usual."""
        (self.add_class if large else self.remove_class)("projector")

    def _reveal(self):
        """Compare the prediction with the answer, or say why it cannot be."""
        try:
            self.prediction = self._predicted()
        except DataError as error:
            self.message.complain(str(error))
            return
        known = shelf.remembered(PREDICTED, {})
        shelf.remember(PREDICTED, known | {self.title: [self.field.value, self._computed]})
        self._answered()

    def _answered(self):
        self.message.complain("")
        self.field.disabled = self.show.disabled = True
        shown_if(self.again, True)
        self.verdict = compared(self.prediction, self._answer, self.unit)
        said = result(self.verdict) + "".join(map(paragraph, self._because))
        self.answer.value = f"<div role='status'>{said}</div>"

    @property
    def _computed(self):
        """The answer as it is remembered beside a prediction: as many digits as a page shows."""
        return self._answer if isinstance(self._answer, str) else number(self._answer)

    def _remember(self):
        """Take what was predicted before, where it was of the same number."""
        typed, computed = shelf.remembered(PREDICTED, {}).get(self.title, (None, None))
        if typed is None:
            return
        if computed != self._computed:
            self.message.say(ANOTHER)
            return
        try:
            self.field.value = typed
            self.prediction = self._predicted()
        except (DataError, TraitError):
            return
        self._answered()

    def _forget(self):
        """Take prediction and answer away."""
        known = shelf.remembered(PREDICTED, {})
        shelf.remember(PREDICTED, {title: one for title, one in known.items() if title != self.title})
        self.prediction, self.verdict, self.answer.value = None, "", ""
        self.field.disabled = self.show.disabled = False
        self.field.value = None if isinstance(self.field, W.RadioButtons) else ""
        shown_if(self.again, False)

    def _predicted(self):
        if isinstance(self.field, W.RadioButtons):
            if self.field.value is None:
                raise DataError("Choose your prediction first; a guess is enough.")
            return self.field.value
        text = self.field.value.strip()
        if not text:
            raise DataError(f"Type your prediction first{f', in {self.unit}' if self.unit else ''}; a guess is enough.")
        return number_typed(text, "My prediction", self.unit or None, "25")


def compared(predicted, computed, unit=""):
    """Return a prediction and a computed answer in words; numbers are called close within a factor of 1.15."""
    if isinstance(computed, str):
        return f"You predicted: {predicted}. {'So it is' if predicted == computed else f'Computed: {computed}'}."
    after = f" {unit}" if unit else ""
    said = f"You predicted {number(predicted)}{after}; computed: {number(computed)}{after}."
    if predicted == computed:
        return f"{said} That is it."
    if predicted == 0 or computed == 0 or (predicted < 0) != (computed < 0):
        return f"{said} They differ by {number(abs(predicted - computed))}{after}."
    ratio = predicted / computed
    if 1 / CLOSE <= ratio <= CLOSE:
        return f"{said} That is close."
    if ratio > 1:
        return f"{said} Your prediction is {number(ratio)} times the computed value."
    return f"{said} The computed value is {number(1 / ratio)} times your prediction."


class ExercisesPage(WorkbookPage):
    """The choice of a paste for those exercises that can be about any."""

    first_demo = "olive-stone-series"

    def explorer_of(self, workbook: Workbook) -> PasteOfExercises:
        """Return what the exercises take of a workbook."""
        return PasteOfExercises(workbook)

    def _show_mode(self):
        """Show the exercises, each a page of its own, as large as this one."""
        super()._show_mode()
        for page in self._all:
            if isinstance(page, Exercise):
                page.enlarge(self.picker.projector.value)

    def gel_or(self, usual: Paste) -> Paste:
        """Return the paste that is picked where it is a gel of one's own, whose exercise says what it lacks; else another one."""
        if self.workbook is None or self.workbook.is_demo:
            return usual
        try:
            gel = self.workbook.material.paste
        except DataError:
            return usual
        return usual if gel.gel_temperature is None else gel

    def series_or(self, usual: Any) -> Any:
        """Return the folder that is picked where its readings differ in water and age, else another one."""
        try:
            tests = self.workbook.bench.tests if self.workbook else ()
        except DataError:
            return usual
        told = [[test.conditions.get(name) for test in tests] for name in ("water_content", "age")]
        differ = all(len({str(one) for one in values if one is not None}) > 1 for values in told)
        return self.workbook.folder if differ else usual
