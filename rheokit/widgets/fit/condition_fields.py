"""Fields for the condition at which a law is asked: temperature, water and age of the paste, as far as it depends on them."""

from types import MappingProxyType

import ipywidgets as W
import numpy as np

from ...fitting.over_conditions import TOLD
from ...nomenclature import written
from ..page.number_field import fields_of
from ..page.rests_on import SET, field_row

FIELDS = {  # words with unit, example, bounds
    "temperature": ("temperature of the paste T [°C]", 45.0, -20.0, 150.0),
    "water_content": ("water content u (dry basis) [-]", 1.0, 0.001, 20.0),
    "age": ("age of the paste t_a [h]", 2.0, 0.001, 1e5),
}


class ConditionFields(W.VBox):
    """A field for each condition that a law depends on; none for one that depends on nothing.

    It begins at the condition of the paste that is planned with, where that is another than the law's reference.

    Attributes
    ----------
    fields : dict of str to NumberField
        Those that are asked, by the name of the condition.
    """

    def __init__(self, changed):
        self._all, self._conditions, self.fields = fields_of(FIELDS, changed), None, {}
        self._known = {}
        super().__init__([], layout=W.Layout(width="100%"))

    def ask_of(self, law_class, planned=MappingProxyType({})):
        """Ask what a class of laws depends on, from what is planned, in SI by name, or its references on; what was typed from the same stays."""
        if (law_class.conditions, dict(planned)) == self._conditions:
            return
        self._conditions = law_class.conditions, dict(planned)
        self.fields = {condition.name: self._all[condition.name] for condition, _ in law_class.conditions}
        for condition, reference in law_class.conditions:
            (zero, unit), (words, _, *bounds) = TOLD[condition.name], FIELDS[condition.name]
            start = float(planned.get(condition.name, reference))
            words += f", to begin with that of the {'law as fitted' if np.isclose(start, reference) else 'plan'}"
            told = float(f"{(start - zero) / unit:.12g}")
            self.fields[condition.name].describe(words, told, *bounds)
            self.fields[condition.name].value = told
        self.children = list(self.fields.values())

    def know(self, known):
        """Take conditions that are known otherwise, in SI by name: they are not asked."""
        self._known = {name: value for name, value in known.items() if name in self.fields}
        self.children = [field for name, field in self.fields.items() if name not in self._known]

    @property
    def _typed(self):
        return {name: field for name, field in self.fields.items() if name not in self._known}

    @property
    def condition(self):
        """The condition that is known or typed, in SI, by name."""
        typed = {name: field.value * TOLD[name][1] + TOLD[name][0] for name, field in self._typed.items()}
        return typed | self._known

    @property
    def said(self):
        """The condition in words: "45 °C, u = 1"; nothing where none is asked."""
        told = {name: field.shown for name, field in self._typed.items()}
        told |= {name: written(value, name) for name, value in self._known.items()}
        return ", ".join(f"u = {told[name]}" if name == "water_content" else told[name] for name in self.fields)

    def rows(self):
        """Return the rows of what an answer rests on; what is known otherwise has its row there."""
        return [field_row(field, field.words, SET) for field in self._typed.values()]
