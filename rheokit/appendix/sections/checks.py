"""All questions that the fit answers about itself, those that failed first."""

import math

from ...checking import AT_LEAST, EITHER_WAY, FAILED, PASSED, SEEN, Check, beyond, verdict_of
from ...fitting.text import in_order
from ...nomenclature import number, unit_for
from ...nomenclature.measures import Unit
from ..cells import NOT_KNOWN, counted
from ..document import Caution, Paragraph, Section, Table
from ..study import Study

TITLE = "Checks"
STUDENTISED = (
    "Studentised: the residual over √(1 - leverage), which is what the fit leaves of its standard uncertainty; internally where the sizes of all errors are known, "
    "externally where one was estimated, which is then that of the other readings."
)
BEYOND = "passed, although beyond the limit, for the reason in the last column"
SMALL = (
    f"“{SEEN}”: what is asked about is there and more than chance, and passes because it is too small to matter where the law is used, as "
    "the last column says."
)
SHARE, TIMES, DEVIATIONS, LN = "%", "times", "standard deviations", "of ln stress"
MEASURES = {
    "parameters identified": "parameters open",
    "no parameter at a bound": "parameters",
    "yield stress identified": "high over low limit",
    "plausible for a paste": "parameters",
    "readings follow the law at all rates": SHARE,
    "readings do not drift in the order of reading": SHARE,
    "no reading pulls the fit": DEVIATIONS,
    "no theory taken as exact": "tests",
    "apparatus as described": DEVIATIONS,
    "kinds of test agree": DEVIATIONS,
    "readings in their windows": "readings that count as bounds",
    "converging flow in range": SHARE,
    "barrel drag described": SHARE,
    "friction known well enough": SHARE,
    "friction leaves little of the force open": SHARE,
    "gap of the plate as usual": "m",
    "plate squeezed far enough": "gaps",
    "ball falls slowly enough": "-",
    "ball in a liquid without a yield stress": SHARE,
    "drains slowly enough": SHARE,
    "no drift through the stroke": SHARE,
    "first setting repeats": SHARE,
    "rows read when steady": "rows",
    "yield stresses agree": TIMES,
    "no flow below yield (slip)": "squared misfit",
    "end loss as the formula says": "squared misfit",
    "no flow below the tests' yield stress": "rows",
    "runs repeat": SHARE,
    "up and down branch agree": SHARE,
    "records differ by their conditions alone": LN,
    "no batch apart from the others": LN,
    "grains small against bores and gaps": "times what is wanted",
    "no more pushed than filled in": "rows",
    "fill as usual for the barrel": "diameters",
    "needle keeps its temperature": "temperature_difference",
}
"""What is counted or measured of each question, by its name: a unit, a quantity, or words."""
ESTIMATED, STATED = SHARE, "reduced chi-square"
"""Of the scatter: the size of an error that was estimated, or what is usual of one that was stated."""


def section(study: Study) -> Section:
    """Return the verdict and every check with what was found, what would be too much, and what it means."""
    fit = study.fit
    rows = [(_verdict(one), one.question, *_numbers(one), one.comment) for one in in_order(fit).itertuples()]
    failed, small = (sum(row[0] == word for row in rows) for word in (FAILED, SEEN))
    over = sum(row[0] == BEYOND for row in rows)
    seen = (f", {over} passed although beyond the limit" if over else "") + (f", {small} “{SEEN}”" if small else "")
    table = Table(
        "checks",
        f"{study.of}: {counted(len(rows), 'check')} of the fit, {failed} failed{seen}. Failed ones stand first, the likeliest cause before its "
        "consequences.",
        ("verdict", "question", "found", "limit", "unit", "what it means"),
        tuple(rows),
        "Found and limit have the unit of their row; shares are of the reading or of the stress, as the last column says. Where a question has no limit in "
        f"numbers there is none (-). {STUDENTISED}" + (f" {SMALL}" if small else ""),
        row_names=False,
    )
    return Section(TITLE, (Caution(fit.verdict) if fit.stamp else Paragraph(fit.verdict), table))


def _verdict(one):
    told = verdict_of(one)
    return BEYOND if told == PASSED and beyond(one) else told


def measure_of(one: Check) -> str:
    """Return what is counted or measured of a check: a unit, a quantity or words; empty where it answers in words."""
    if isinstance(one.value, str):
        return ""
    if one.question == "scatter about the law as expected":
        return STATED if isinstance(one.threshold, str) else ESTIMATED
    return MEASURES.get(one.question, "-")


def _numbers(one):
    """Return what was found, its limit with the side that is good, and the unit of both, as text."""
    of = measure_of(one)
    known = [abs(end) for end in (one.value, one.threshold) if not isinstance(end, str) and math.isfinite(end)]
    unit = unit_for(of, min(known)) if of in ("m", SHARE, "temperature_difference") and known else Unit(of, 1.0)
    return _told(one.value, unit), _limit(one, unit), unit.text


def _limit(one, unit):
    """Return the limit of a check as text that says which side of it is good."""
    if not isinstance(one.threshold, str):
        either = " either way" if one.question in EITHER_WAY else ""
        return f"{'at least' if one.question in AT_LEAST else 'at most'} {_told(one.threshold, unit)}{either}"
    told = _told(one.threshold, unit)
    return told if any(letter.isdigit() for letter in told) or told in ("yes", "rates read") else "-"


def _told(value, unit):
    """Return a measure or a limit of a check as text, three digits at most."""
    if isinstance(value, str):
        return {"True": "yes", "False": "no"}.get(value, value)
    return NOT_KNOWN if math.isnan(value) else number((value - unit.zero) / unit.factor)
