"""All questions that the fit answers about itself, those that failed first."""

from ...fitting.text import in_order
from ...nomenclature import number
from ..cells import counted
from ..document import Caution, Paragraph, Section, Table
from ..study import Study

TITLE = "Checks"
PASSED, FAILED = "passed", "FAILED"


def section(study: Study) -> Section:
    """Return the verdict and every check with what was found, what would be too much, and what it means."""
    fit = study.fit
    rows = [
        (PASSED if one.passed else FAILED, one.question, _told(one.value), _told(one.threshold), one.comment)
        for one in in_order(fit).itertuples()
    ]
    failed = sum(row[0] == FAILED for row in rows)
    table = Table(
        "checks",
        f"{study.of}: {counted(len(rows), 'check')} of the fit, {failed} failed. Failed ones stand first, the likeliest cause before its "
        "consequences.",
        ("verdict", "question", "found", "limit", "what it means"),
        tuple(rows),
        "Found and limit are counts, shares, factors or standard deviations, as the last column says.",
        row_names=False,
    )
    return Section(TITLE, (Caution(fit.verdict) if fit.stamp else Paragraph(fit.verdict), table))


def _told(value):
    """Return a measure or a limit of a check as text, three digits at most."""
    if isinstance(value, str):
        return {"True": "yes", "False": "no"}.get(value, value)
    return number(value)
