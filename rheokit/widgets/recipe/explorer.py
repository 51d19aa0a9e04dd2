"""Recipe, shape and drying of a paste in one page: what to weigh, what to add, will it stand, what will it measure."""

from typing import Any

import ipywidgets as W

from ...errors import DataError
from ...units import mm
from ..page.base import Explorer, Panel
from ..page.elements import Message
from ..page.fields import choice
from . import words
from .desk import WRAPS
from .drying_panel import DryingPanel
from .examples import EXAMPLES
from .recipe_panel import RecipePanel
from .shape_panel import ShapePanel


class RecipeExplorer(Explorer):
    """Ingredients, water, wall and room; batch sheet, correction, stack height, drying time and scale factors.

    Parameters
    ----------
    example : str
        The invented paste to begin with, a key of ``RecipeExplorer.EXAMPLES``.

    Attributes
    ----------
    recipe, shape, drying : RecipePanel, ShapePanel, DryingPanel
    """

    EXAMPLES = EXAMPLES
    styles = WRAPS

    def __init__(self, example: str = "INVENTED: olive-stone paste") -> None:
        if example not in EXAMPLES:
            raise DataError(f"RecipeExplorer: example = {example!r}; give one of {', '.join(map(repr, EXAMPLES))}.")
        self.drying: DryingPanel
        self.shape = ShapePanel(lambda: self.drying.refresh())
        self.drying = DryingPanel(lambda: self.shape.wall.value * mm)
        self.recipe = RecipePanel(self.shape, self.drying)
        self.emptied = Message()
        self._sheets: dict[str, Any] = {}
        self._shown = ""
        self.example = choice("numbers to begin with", [*EXAMPLES, words.OWN], self._begin, example)
        self._fill()
        super().__init__()
        self.add_class("wraps")

    def __repr__(self):
        return f"RecipeExplorer of {self.example.value}"

    def sections(self) -> list[W.Widget]:
        """Return the choice of numbers and the panels."""
        return [self.probe, self.example, self.emptied, *self.panels]

    @property
    def panels(self) -> tuple[Panel, ...]:
        """The three panels, top to bottom."""
        return self.recipe, self.shape, self.drying

    def _begin(self):
        self._fill()
        self.refresh()

    def _fill(self):
        """Put the numbers of an example into the fields, or for one's own numbers empty what still holds the example's.

        What was chosen and typed into before is there again as it was left.
        """
        if self._shown:
            self._sheets[self._shown] = self._sheet()
        self._shown = self.example.value
        if self._shown in self._sheets:
            self._put(self._sheets[self._shown])
        elif self._shown in EXAMPLES:
            self._begin_with(EXAMPLES[self.example.value])
            for one in self.recipe.choices:
                one.value = one.options[0]
            self.recipe.ingredients.fill(self.recipe.example.ingredients)
            self.recipe.readings.fill(self.recipe.example.readings)
            for field in (self.recipe.water, *self.fields.values()):
                field.value = field.of_example
        else:
            self.recipe.ingredients.forget(self.recipe.example.ingredients)
            self.recipe.readings.forget(self.recipe.example.readings)
            for field in self.fields.values():
                if field.stands_at(field.of_example):
                    field.value = None
        stood = ", ".join(f"{one.words}: {one.holds}" for one in self.sliders)
        said = words.KEPT if words.OWN in self._sheets else ""
        self.emptied.say(f"{words.EMPTIED}{stood}." if self._shown == words.OWN else said)

    def _begin_with(self, example):
        """Take the numbers of an example for those of the page."""
        self.recipe.example = example
        self.recipe.water.of_example = example.water
        for key, field in self.fields.items():
            field.of_example = example.fields.get(key, field.usual)

    def _sheet(self):
        grids = (self.recipe.ingredients, self.recipe.readings)
        cells = [[[cell.value for cell in row] for row in grid.cells] for grid in grids]
        return self.recipe.example, cells, [one.value for one in self._single]

    def _put(self, sheet):
        given, (ingredients, readings), values = sheet
        self._begin_with(given)
        self.recipe.ingredients.fill(ingredients)
        self.recipe.readings.fill(readings)
        for one, value in zip(self._single, values, strict=True):
            one.value = value

    @property
    def _single(self):
        """All that is chosen or typed, but for the tables."""
        return [*self.recipe.choices, *(one.text for one in (*self.fields.values(), *self.sliders))]

    @property
    def sliders(self) -> list[W.Widget]:
        """The sliders of all panels."""
        return [slider for panel in self.panels for slider in panel.sliders]

    @property
    def fields(self) -> dict[str, W.Widget]:  # type: ignore[override]  # each panel has its own
        """The number fields of all panels, by key."""
        return {key: field for panel in self.panels for key, field in panel.fields.items()}

    def refresh(self) -> None:
        """Compute all panels again; those that wait for the paste of the first are told when it stands."""
        subtitle = [words.INVENTED] if self.example.value in EXAMPLES else []
        for panel in self.panels:
            panel.look(self.page, self.width, subtitle)
        self.recipe.refresh()
