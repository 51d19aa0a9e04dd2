"""All questions that the fit answers about itself, those that failed first."""

from ...fitting.text import in_order
from ...nomenclature import number
from ..cells import counted
from ..document import Caution, Paragraph, Section, Table
from ..study import Study

TITLE = "Checks"
PASSED, FAILED = "passed", "FAILED"
BEYOND = "passed, although beyond the limit, for the reason in the last column"
AT_LEAST = (
    "gap of the plate as usual",
    "grains small against bores and gaps",
    "plate squeezed far enough",
)
"""Questions whose limit is the least that may be found; of all others it is the most."""
EITHER_WAY = ("no drift through the stroke", "first setting repeats")
"""Questions whose limit is the most that may be found either way."""
NO_LIMIT = ("parameters identified",)
"""Questions that are answered by something else than the number found."""


def section(study: Study) -> Section:
    """Return the verdict and every check with what was found, what would be too much, and what it means."""
    fit = study.fit
    rows = [
        (_verdict(one), one.question, _told(one.value), _limit(one), one.comment) for one in in_order(fit).itertuples()
    ]
    failed = sum(row[0] == FAILED for row in rows)
    table = Table(
        "checks",
        f"{study.of}: {counted(len(rows), 'check')} of the fit, {failed} failed. Failed ones stand first, the likeliest cause before its "
        "consequences.",
        ("verdict", "question", "found", "limit", "what it means"),
        tuple(rows),
        "Found and limit are counts, shares, factors or standard deviations, as the last column says. Where the question has no limit in numbers there is none (-).",
        row_names=False,
    )
    return Section(TITLE, (Caution(fit.verdict) if fit.stamp else Paragraph(fit.verdict), table))


def _beyond(one):
    """Return whether what was found lies on the wrong side of its limit in numbers."""
    if isinstance(one.value, str) or isinstance(one.threshold, str) or one.question in NO_LIMIT:
        return False
    found = abs(one.value) if one.question in EITHER_WAY else one.value
    return found < one.threshold if one.question in AT_LEAST else found > one.threshold


def _verdict(one):
    if not one.passed:
        return FAILED
    return BEYOND if _beyond(one) else PASSED


def _limit(one):
    """Return the limit of a check as text that says which side of it is good."""
    if one.question in NO_LIMIT:
        return "-"
    if not isinstance(one.threshold, str):
        either = " either way" if one.question in EITHER_WAY else ""
        return f"{'at least' if one.question in AT_LEAST else 'at most'} {number(one.threshold)}{either}"
    told = _told(one.threshold)
    return told if any(letter.isdigit() for letter in told) or told == "yes" else "-"


def _told(value):
    """Return a measure or a limit of a check as text, three digits at most."""
    if isinstance(value, str):
        return {"True": "yes", "False": "no"}.get(value, value)
    return number(value)
