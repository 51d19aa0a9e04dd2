"""A question that is answered twice: first by a guess, then by the computed number."""

import math
from collections.abc import Iterable

import ipywidgets as W

from ...errors import DataError
from ...nomenclature import number
from ..page.accessible import name
from ..page.elements import WIDE, Message, paragraph, result, section
from ..page.frame import Page
from ..page.hearing import hear_press
from ..page.number_field import TypedText
from ..page.typed_numbers import number_typed

CLOSE = 1.15
"""Factor within which a prediction is called close; a convention of the classroom."""

LARGE = "<style>.rheokit-page .widget-radio-box label { font-size: 15px; line-height: 1.6; }</style>"


class Exercise(Page):
    """Predict first, then see: the answer is not in the page until a prediction has been made, and there is one prediction.

    Parameters
    ----------
    title, question : str
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
        self.message, self.answer = Message(), W.HTML()
        shown = section(title, W.HTML(result(question)), self.field, self.show, self.message, self.answer)
        super().__init__([shown], style=LARGE, max_width="900px")

    def __repr__(self):
        return f"Exercise, {'answered' if self.prediction is not None else 'not predicted yet'}"

    def _reveal(self):
        """Compare the prediction with the answer, or say why it cannot be."""
        try:
            self.prediction = self._predicted()
        except DataError as error:
            self.message.complain(str(error))
            return
        self.message.complain("")
        self.field.disabled = self.show.disabled = True
        self.verdict = compared(self.prediction, self._answer, self.unit)
        said = result(self.verdict) + "".join(map(paragraph, self._because))
        self.answer.value = f"<div role='status'>{said}</div>"

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
