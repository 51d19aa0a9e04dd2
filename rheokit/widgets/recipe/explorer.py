"""Recipe, shape and drying of a paste in one page: what to weigh, what to add, will it stand, what will it measure."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any, Self

import ipywidgets as W

from ...workbook import Workbook, shelf
from ..page.base import Explorer
from ..page.freshness import expire
from ..page.strip import Strip
from ..page.workbook_page import WorkbookPage
from . import words
from .asking import WRAPS
from .drying_panel import DryingPanel
from .in_strip import tell
from .of_bench import offer
from .planned import Came, as_it_came, bind, draft_of
from .recipe_panel import RecipePanel
from .shape_panel import ShapePanel

DEMO = "olive-stone-paste"


class RecipeExplorer(Explorer):
    """Ingredients, water, wall and room; batch sheet, correction, stack height, drying time and scale factors.

    Parameters
    ----------
    demo : str
        The folder that came with rheokit whose INVENTED numbers it shows; what is typed over them is kept nowhere.

    Attributes
    ----------
    recipe, shape, drying : RecipePanel, ShapePanel, DryingPanel
    workbook : Workbook
    """

    styles = WRAPS

    def __init__(self, demo: str = DEMO, *, _workbook: Any = None) -> None:
        self.workbook, self.strip = _workbook or draft_of(shelf.demo(demo)), Strip()
        self.drying: DryingPanel
        self.shape = ShapePanel(self.workbook, lambda: self.drying.refresh())
        self.drying = DryingPanel(self.workbook, self.shape.wall)
        self.recipe = RecipePanel(self.workbook, self.shape, self.drying)
        self._begin(as_it_came(self.workbook))
        for panel in self.panels:
            panel.begun, panel.told, panel.whole = partial(expire, self.strip), self.tell, self
        super().__init__()
        self.add_class("wraps")

    @classmethod
    def of(cls, workbook: Any) -> Self:
        """Return the page of a workbook, whose plan holds what is typed: what is empty is not known, and nothing is computed with it.

        Parameters
        ----------
        workbook : Workbook

        Returns
        -------
        RecipeExplorer
        """
        return cls(_workbook=workbook)

    def __repr__(self):
        return f"RecipeExplorer of {self.workbook.name}"

    def sections(self) -> list[W.Widget]:
        """Return the answer in short, and the panels."""
        self.recipe.measured.children = [self.probe]
        return [self.strip, *self.panels]

    def tell(self) -> None:
        """Say in the strip what all panels came to, once none is at work."""
        if not any(panel.busy for panel in self.panels):
            tell(self.strip, self.recipe, self.shape, self.drying, self.is_invented)

    @property
    def panels(self) -> tuple[Any, ...]:
        """The three panels, top to bottom."""
        return self.recipe, self.shape, self.drying

    def _begin(self, came: Came) -> None:
        """Put in what the plan holds; `came` are the numbers that are nobody's own."""
        with self._held():
            self.recipe.came = came
            for panel in self.panels:
                for key, field in panel.entries.items():
                    field.of_example = came.numbers.get(panel.table_of(key), {}).get(key)
            bind(self.panels, self.workbook.plan)
            offer(self.panels, self.workbook)

    @contextmanager
    def _held(self) -> Iterator[None]:
        """Compute nothing while many numbers are put in."""
        for panel in self.panels:
            panel.held = True
        yield
        for panel in self.panels:
            panel.held = False

    @property
    def sliders(self) -> list[W.Widget]:
        """The sliders of all panels."""
        return [slider for panel in self.panels for slider in panel.sliders]

    @property
    def fields(self) -> dict[str, W.Widget]:  # type: ignore[override]  # each panel has its own
        """The number fields of all panels, by key."""
        return {key: field for panel in self.panels for key, field in panel.fields.items()}

    @property
    def is_invented(self) -> bool:
        """Whether numbers stand there that came with a demo."""
        fields = [field for panel in self.panels for field in panel.entries.values()]
        return self.workbook.is_demo or any(field.holds and field.stands_at(field.of_example) for field in fields)

    def wait(self) -> None:
        """Compute nothing until it is refreshed."""
        super().wait()
        for panel in self.panels:
            panel.wait()

    def refresh(self) -> None:
        """Compute all panels again; those that wait for the paste of the first are told when it stands."""
        subtitle = [words.INVENTED] if self.is_invented else []
        for panel in self.panels:
            panel.look(self.page, self.width, subtitle)
            panel.say_known()
        self.recipe.refresh()


class RecipePage(WorkbookPage):
    """Recipe, shape and drying of the paste that is picked on top."""

    def explorer_of(self, workbook: Workbook) -> RecipeExplorer:
        """Return the page of a workbook."""
        return RecipeExplorer.of(workbook)
