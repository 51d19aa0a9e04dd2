"""Controls of machine and part that are more than a field for a number: buttons of which one is chosen, and two ways to give one thing."""

from collections.abc import Callable
from typing import Any

import ipywidgets as W

from ...errors import DataError
from ...workbook import ASKED, Plan
from .accessible import name
from .bound import bound, saving_of
from .elements import paragraph, show
from .hearing import hear
from .machine_words import WHENCE, WHENCE_OF
from .number_field import NumberField, SlidingNumber
from .typed_numbers import plain


def buttons(words: str, options: Any, chosen: Any = None) -> W.ToggleButtons:
    """Return buttons of which one is chosen: JupyterLab takes letters and arrows from a drop-down, but not Space."""
    control = W.ToggleButtons(options=options, style={"button_width": "auto"})
    if chosen is not None:
        control.value = chosen
    return name(control, words)


def under(words: str, control: W.Widget) -> W.VBox:
    """Return a control under its words."""
    return W.VBox([W.HTML(paragraph(words)), control])


def buttons_whence(plan: Plan, table: str, changed: Callable[[], object]) -> W.ToggleButtons:
    """Return the choice where the numbers of a table of a plan come from; what else the plan says of it stays until one is chosen."""
    word = plan.text(table, "origin").partition(":")[0].strip()
    control = buttons(WHENCE_OF[table], list(WHENCE.items()), word if word in WHENCE.values() else None)
    hear(control, lambda: saving_of(plan).put(table, "origin", control.value))
    hear(control, changed)
    return control


USUAL_SPEED, LEAST_SPEED, MOST_SPEED = 15.0, 15 * 10**-1.2, 15 * 10**0.8  # mm/s


def speed_slider(plan: Plan) -> SlidingNumber:
    """Return the slider of the print speed of a plan, beside a field that takes every speed that a plan may say."""
    asked, ends = ASKED["print"]["print_speed"], (USUAL_SPEED, LEAST_SPEED, MOST_SPEED)
    field = SlidingNumber(asked.label, *ends, 0.02, logarithmic=True, hint=f"Not known: {asked.without}.", begin=None)
    field.describe(asked.label, asked.example, asked.low, asked.high)
    return bound(field, plan, "print", "print_speed")


class Either(W.VBox):
    """One of two fields for one thing, such as a taper by its length or by its half angle; the plan holds one of the two.

    Parameters
    ----------
    words : str
        What is given.
    ways : sequence of str
        Of the buttons, in the order of the fields.
    fields : mapping of str to NumberField
        Two, by the key of the plan.
    plan, table
        Where they are kept.
    convert : callable
        Takes the key of a field and returns what the other field holds then, in its own unit; raises `DataError` where that
        is not known.
    changed : callable
    """

    def __init__(
        self, words: str, ways: list[str], fields: dict[str, NumberField], plan: Plan, table: str,
        convert: Callable[[str], float], changed: Callable[[], object],
    ) -> None:  # fmt: skip
        self.fields, self._plan, self._table, self._convert, self._changed = fields, plan, table, convert, changed
        first, second = fields
        self.way = buttons(f"{words} given by", list(zip(ways, fields, strict=True)))
        if plan.text(table, second) and not plan.text(table, first):
            self.way.value = second
        for key, field in fields.items():
            bound(field, plan, table, key)
            field.heard(changed)
        self._show()
        hear(self.way, self._turn)
        super().__init__([under(f"{words} given by", self.way), *fields.values()], layout=W.Layout(width="100%"))

    @property
    def shown(self) -> NumberField:
        """The field of the way that is chosen."""
        return self.fields[self.way.value]

    def _show(self):
        for key, field in self.fields.items():
            show(field, key == self.way.value)

    def _turn(self):
        """Hold the same thing in the other way; what cannot be said in it is not known there."""
        now = self.way.value
        before = next(key for key in self.fields if key != now)
        try:
            text = ASKED[self._table][now].typed(plain(self._convert(before), 5))
        except DataError:
            text = ""
        saving = saving_of(self._plan)
        saving.put(self._table, before, "")
        self.fields[before].text.value = ""
        self.fields[now].text.value = text
        self._show()
        self._changed()
