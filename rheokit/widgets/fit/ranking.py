"""Which law is worth its parameters: the law that is shown and those it is compared with, ranked."""

from collections.abc import Sequence

from ...bench import Bench
from ...fitting import text as in_text
from ...fitting.comparison import compared
from ...fitting.result import FitResult
from ...laws import LAWS
from ..page.elements import paragraph, table


def ranked(fits: Sequence[FitResult], bench: Bench, use_range: tuple[float, float] | None) -> str:
    """Return fits of a bench as a table, with what it advises, as HTML; nothing of one alone."""
    if len(fits) < 2:
        return ""
    known = {one.problem.law_class: one for one in fits}
    order = list(LAWS.values())  # of the library, whichever is drawn
    asked = sorted(known, key=lambda law: order.index(law.without_conditions()))
    found = compared(asked, [bench], known=known.values(), use_range=use_range)
    return table(in_text.RANKED, in_text.ranking(found), "Which law is worth its parameters") + paragraph(
        found.attrs["advice"]
    )
