"""Recipe, shape and drying of a paste in one page: what to weigh, what to add, will it stand, what will it measure."""

import ipywidgets as W

from ..errors import DataError
from ..units import mm
from .accessible import AccessibleNames
from .drying_panel import DryingPanel
from .parts import STYLE, WIDE, PageProbe
from .recipe_examples import EXAMPLES
from .recipe_panel import RecipePanel
from .room import WRAPS
from .shape_panel import ShapePanel

INVENTED = "INVENTED numbers, for demonstration"
OWN = "my own numbers"


class RecipeExplorer(W.VBox):
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

    def __init__(self, example="olive-stone paste (invented)"):
        if example not in EXAMPLES:
            raise DataError(f"RecipeExplorer: example = {example!r}; give one of {', '.join(map(repr, EXAMPLES))}.")
        self.probe = PageProbe(layout=W.Layout(width="100%", height="0"))
        self.shape = ShapePanel(lambda: self.drying.refresh())
        self.drying = DryingPanel(lambda: self.shape.wall.value * mm)
        self.recipe = RecipePanel(self._pass_on)
        self.example = W.Dropdown(
            options=[*EXAMPLES, OWN], value=example, description="numbers to begin with", style=WIDE
        )
        self.example.layout = W.Layout(width="auto", max_width="460px")
        self.example.observe(lambda _: self._begin(), "value")
        self.probe.observe(lambda _: self._look(), ["page", "width"])
        super().__init__(
            [W.HTML(STYLE + WRAPS), self.probe, self.example, self.recipe, self.shape, self.drying, AccessibleNames()],
            layout=W.Layout(width="100%", max_width="1200px"),
        )
        self.add_class("rheokit-page")
        self.add_class("wraps")
        self._begin()

    def __repr__(self):
        return f"RecipeExplorer of {self.example.value}"

    @property
    def panels(self):
        """The three panels, top to bottom."""
        return self.recipe, self.shape, self.drying

    def _pass_on(self, mixed):
        self.shape.take(mixed)
        self.drying.take(mixed)

    def _begin(self):
        """Put the numbers of an example into the fields; own numbers stay as they stand."""
        if self.example.value in EXAMPLES:
            example = EXAMPLES[self.example.value]
            self.recipe.ingredients.fill(example.ingredients)
            self.recipe.readings.fill(example.readings)
            self.recipe.water.value = example.water
            for key, value in example.fields.items():
                next(panel.fields[key] for panel in self.panels if key in panel.fields).value = value
        self._look()

    def _look(self):
        subtitle = [INVENTED] if self.example.value in EXAMPLES else []
        for panel in self.panels:
            panel.look(self.probe.page, self.probe.width, subtitle)
        self.recipe.refresh()
