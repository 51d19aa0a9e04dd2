"""Which law is fitted, which are drawn beside it, and at which rates it will be used."""

from collections.abc import Callable

import ipywidgets as W

from ...laws import LAWS
from ...workbook import Plan
from ..page.bound import bound, saving_of
from ..page.elements import WIDE, paragraph
from ..page.hearing import hear
from . import words
from .rates import rate_of_use, use_range_of

RIVALS = "page.fit", "compare"  # of a plan: the laws that are drawn too


class LawChoice:
    """The controls, bound to a plan where there is one.

    Parameters
    ----------
    law : str
        To begin with.
    plan : Plan or None
    changed : callable
        Called without arguments after every change.

    Attributes
    ----------
    law : Dropdown
    others : list of Checkbox
        A tick for each law that may be drawn beside it.
    slow, fast : NumberField
        Rates of use.
    """

    def __init__(self, law: str, plan: Plan | None, changed: Callable[[], object]) -> None:
        layout = W.Layout(width="auto", max_width="420px")
        self.law = W.Dropdown(options=list(LAWS), value=law, description="flow law", style=WIDE, layout=layout)
        tick = W.Layout(width="auto", margin="0 14px 0 0")
        self.others = [W.Checkbox(description=other, indent=False, layout=tick) for other in LAWS]
        self.slow, self.fast = (rate_of_use(which, changed) for which in ("slowest", "fastest"))
        for control in (self.law, *self.others):
            hear(control, changed)
        if plan is not None:
            self._bind(plan)

    def _bind(self, plan):
        bound(self.law, plan, "fit", "law")
        bound({"slowest_rate": self.slow, "fastest_rate": self.fast}, plan, "fit")

        def keep():
            saving_of(plan).put_list(*RIVALS, [box.description for box in self.others if box.value])

        for box in self.others:
            box.value = box.description in plan.listed(*RIVALS)
            hear(box, keep)

    @property
    def more(self) -> list[W.Widget]:
        """What stands below the law: its rates of use, and the others."""
        others = W.Box(self.others, layout=W.Layout(display="flex", flex_flow="row wrap"))
        return [self.slow, self.fast, W.HTML(paragraph(words.COMPARED)), others]

    @property
    def rivals(self) -> list[str]:
        """The names of the laws that are drawn beside it."""
        return [box.description for box in self.others if box.value and box.description != self.law.value]

    @property
    def use_range(self) -> tuple[float, float] | None:
        """Slowest and fastest rate of use [1/s]; None where neither is given, `DataError` where one alone is."""
        return use_range_of(self.slow, self.fast)
