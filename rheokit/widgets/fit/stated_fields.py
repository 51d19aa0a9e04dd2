"""What a kind of bench test asks beside its table: a field or a choice each, which keeps what was typed while another kind is shown."""

from functools import partial

import ipywidgets as W

from ...reading.columns import words_of
from ...reading.stated import example
from ..page.accessible import name
from ..page.elements import FIELD, WIDE, text_field
from ..page.hearing import hear
from . import words
from .read_choice import ReadChoice

OPTIONAL = " (optional)"
NOZZLE = {
    "bore": "bore at the tip, or a needle by its gauge, such as 18G",
    "length": "length of the straight land",
}


def _dropdown(key, options, value):
    return W.Dropdown(options=options, value=value, style=WIDE, description=words_of(key), layout=W.Layout(**FIELD))


class StatedFields(W.VBox):
    """Fields and choices of a kind of test.

    `reread` is called when another column is chosen as the one that was read, `heard` after every change.

    Attributes
    ----------
    shown : dict
        Those that are asked now, by key.
    texts, choices : dict
        All that was ever asked: fields by key and what they are about, choices by kind and key.
    """

    def __init__(self, reread, heard):
        self._reread, self._heard, self.shown, self.texts, self.choices = reread, heard, {}, {}, {}
        super().__init__()

    def ask(self, form, typed_as):
        """Put up what the form of a kind asks, but for what only columns need that are `typed_as` others."""
        self.shown = shown = {
            "label": self._text("label", "name of this test", "optional"),
            "apparatus": self._text("apparatus", "apparatus (optional)", "such as syringe", words.ONE_APPARATUS),
        }
        readable = [column for column, item in form.columns.items() if item.required]
        if "read" in form.choices:
            usual = form.choices["read"].default
            shown["read"] = self._choice(form, "read", partial(ReadChoice, readable, usual, self._reread))
        for key, field in form.choices.items():
            if options := field.metadata.get("options"):
                shown[key] = self._choice(form, key, partial(_dropdown, key, options, field.default or options[0]))
        wanted = {key: "" if item.required else OPTIONAL for key, item in form.dimensions.items()}
        others = dict.fromkeys(sorted(form.given() - wanted.keys() - form.idle(typed_as)), OPTIONAL)
        wanted |= (dict.fromkeys(NOZZLE, "") if form.nozzle else {}) | others
        instead = {key: f" (instead of {words_of(of)})" for of in form.dimensions for key in form.names_for(of)[1:]}
        for key, beside in (wanted | instead).items():
            about = NOZZLE.get(key) or form.quantity(key).meaning
            typed = "2.00 ± 0.02 mm" if key == "bore" else example(form.quantity(key).unit, key).strip('"')
            shown[key] = self._text(key, f"{words_of(key)}{beside}", f"such as {typed}", about)
        known = "of what was read, or of what gives it; several with a semicolon; what a scale rounds to as: to 1 g"
        shown["uncertainty"] = self._text("uncertainty", f"uncertainty of a reading{OPTIONAL}", "such as 3 %", known)
        said = {"read": shown["read"].said} if "read" in shown else {}
        self.children = [one for key, field in shown.items() for one in (field, said.get(key)) if one is not None]

    @property
    def elsewhere(self):
        """Words of the fields that hold something and are not asked now."""
        held = [field for field in self.texts.values() if field.value.strip() and field not in self.shown.values()]
        return [field.description.partition(" (")[0] for field in held]

    def _text(self, key, asked, example, about=""):
        """Return the field for what a key means: the same one in every kind that asks for it, with what was typed into it."""
        if (key, about) not in self.texts:
            self.texts[key, about] = text_field(asked)
            hear(self.texts[key, about], self._heard)
        field = self.texts[key, about]
        field.description, field.placeholder, field.tooltip = asked, example, about or None
        return name(field, asked)

    def _choice(self, form, key, make):
        """Return the choice of a kind for a key, as it was made."""
        place = (form.kind.kind, key)
        if place not in self.choices:
            self.choices[place] = make()
            hear(self.choices[place], self._heard)
        return self.choices[place]
