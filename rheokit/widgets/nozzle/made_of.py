"""What the interval of a force is made of, in words and tables, for a fold of page 2."""

from ...fitting import FitResult, budget_words, uncertainty_budget
from ...limits import Case
from ...machine.extruder import Extruder
from ...nomenclature import written
from ...planning.settings import force_question, force_settings
from ..page.elements import paragraph, result, stamped, table
from ..page.page_words import silent
from .draws import SEED

TITLE = "What the interval of the force is made of"
NOTE = (
    "Kind A was estimated from the scatter of readings, kind B stated or assumed. A contribution is the sensitivity times the standard "
    "uncertainty; the squares of all add up to that of the force. The error of the nozzle's theory and how far the next batch lies off those read come on top."
)
EXACT = "What was taken as exact, and what the force would change by"


def made_of(fit: FitResult, case: Case, extruder: Extruder) -> str:
    """Return HTML of the uncertainty budget of the force of a case, as the fit knows the extruder."""
    flow = float(case.flow_rate)
    with silent():  # said on the page
        found = uncertainty_budget(
            fit,
            force_question(case),
            extruder=extruder,
            unit="N",
            seed=SEED,
            like=case.pressure_law,
            settings=force_settings(case),
        )
        rows, exact = budget_words.short_rows(found), budget_words.exact_rows(found)
    first, *rest = budget_words.summary(found, stamped=False)
    doubt = "" if found.near_linear or not rows else budget_words.agreement(found)
    said = (
        stamped(found.stamp) + result(first) + stamped(doubt) + "".join(paragraph(one) for one in rest if one != doubt)
    )
    if not rows:
        return said
    title = f"Uncertainty budget of the force at {written(flow, 'm³/s')}"
    told = f"{said}<div class='wrapped'>{table(list(budget_words.SHORT_HEADINGS), rows, title)}</div>{paragraph(NOTE)}"
    return told + (table(list(budget_words.EXACT_HEADINGS), exact, EXACT) if exact else "")
