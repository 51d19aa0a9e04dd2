"""How the uncertainties that were typed are taken: what stands after ±, what is rounding, and what nobody stated of several kinds of test."""

from ..bench.base import quantity_of
from ..nomenclature import and_, written
from ..reading.uncertainties import is_rounding
from .authors import TABLE, not_stated
from .document import Points
from .study import Study

TAKEN = (
    "What stands after ± in bench.toml, and an amount or a share that is stated as an uncertainty, is taken as one standard uncertainty, of a normal "
    "distribution"
)
ROUNDING = (
    "rounding to this step; the error lies anywhere within half a step either way, a rectangular distribution, of which half a step over √3 is the "
    "standard uncertainty"
)
SOURCE = "JCGM 100:2008, 4.3.7, from memory"


def how_stated(study: Study) -> Points:
    """Return in a sentence each how uncertainties are taken, with what each is by as far as the authors say it."""
    by = study.book.plan.text(TABLE, "uncertainties")
    reason = (
        "as stated under “Apparatus”"
        if by
        else f"{not_stated(study, 'instruments', 'calibration')}; to be filled in by the authors (uncertainties), as “Apparatus” asks"
    )
    said = [f"{TAKEN}. What each is by (calibration, resolution or repeats): {reason}."]
    return Points((*said, *_rounded(study), *_pooled(study.fit)))


def _rounded(study):
    """Return a sentence for each test whose readings are stated to be rounded."""
    for place, (test, entry) in enumerate(zip(study.bench.tests, study.entries, strict=False), 1):
        given = entry.get("uncertainty", [])
        for text in given if isinstance(given, list) else [given]:
            if is_rounding(text):
                yield f"Test {place}, {test.name}, uncertainty “{text}”: {ROUNDING}{_here(test)} ({SOURCE})."


def _here(test):
    """Return what it comes to of the readings of a test that has no other uncertainty; "" where they differ in it."""
    size = test.uncertainty
    if size is None or (getattr(size, "ndim", 0) and size.min() != size.max()):
        return ""
    about = quantity_of(test, test.reads)
    one = float(size.max()) if getattr(size, "ndim", 0) else float(size)
    return f", here {written(one, 'temperature_difference' if about.unit == 'K' else about)} of the {test.reads.replace('_', ' ')}"


def _pooled(fit):
    """Return a sentence where one size of an error was estimated for tests of several kinds."""
    kinds = list(dict.fromkeys(test.kind for test in fit.tests if not test.error_is_known and test.error == "relative"))
    if len(kinds) > 1:
        yield (
            f"Nobody stated an error of {and_(kinds)}: one share of the reading was estimated for all of them together, so that a kind that scatters "
            "less than the others is trusted less than its own scatter says, and one that scatters more is trusted more."
        )
