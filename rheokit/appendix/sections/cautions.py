"""What can hurt in these tests and in what is planned."""

from ...errors import DataError
from ...fitting.handling import UNRATED_WORDS, caution
from ...limits import judge
from ...machine.blocked import when_blocked
from ...machine.cautions import CAUTIONS
from ...part.job import FIBRE
from ...paste.cautions import CAUTIONS as OF_PASTE
from ...paste.cautions import DECIDES
from ...units import ZERO_CELSIUS
from ..authors import RATING, TABLE
from ..cells import stopped
from ..document import Caution, Paragraph, Points, Section
from ..study import Study

TITLE = "Cautions"
FIRST = (
    "Nothing here is a risk assessment. The cautions are those of the tests that were made and of the job that is planned (common practice of "
    "laboratories, no source); the rules of the laboratory and its own assessment decide."
)
OF_WHAT_IT_HOLDS = (
    "Cautions of powders and pastes, each as far as the paste holds such, which its authors know and no program does:"
)
WARM = 45.0 + ZERO_CELSIUS  # K, from which a gel burns; common practice, no source


def section(study: Study) -> Section:
    """Return each caution once."""
    said = list(dict.fromkeys(filter(None, (*_of_tests(study), *_of_job(study)))))
    of_paste = Caution(OF_WHAT_IT_HOLDS), Points(tuple(_of_paste()))
    return Section(TITLE, (Paragraph(FIRST), *map(Caution, said), *of_paste, Paragraph(DECIDES)))


def _of_tests(study):
    if study.knows("fit"):
        yield _with_rating(study, caution(study.fit))
    if study.knows("bench"):
        for test in study.bench.tests:
            yield test.caution
            if test.nozzle is not None:
                yield CAUTIONS["barrel"]
                yield CAUTIONS["tip"]
            if (warm := test.conditions.get("temperature")) is not None and float(
                getattr(warm, "max", lambda warm=warm: warm)()
            ) >= WARM:
                yield CAUTIONS["hot gel"]


def _with_rating(study, said):
    """Return a caution of a pressure that no rating judges, with what the authors wrote of one."""
    wrote = stopped(study.book.plan.text(TABLE, RATING))
    told = f" What the authors wrote of a rating (“Apparatus”), which no program reads: {wrote}"
    return said.replace(UNRATED_WORDS, f"{UNRATED_WORDS}{told}") if wrote else said


def _of_job(study):
    if study.knows("extruder"):
        yield CAUTIONS["barrel"]
        drive = study.extruder.drive
        yield from (CAUTIONS[hazard] for hazard in getattr(drive, "hazards", ()))
        if not study.knows("case"):  # else it stands beside the force
            yield when_blocked(study.extruder)
    if study.book.plan.text("job", "kind") == FIBRE:
        yield CAUTIONS["hot gel"]
        yield CAUTIONS["bath"]
    if study.knows("case"):
        try:
            yield from (row.caution for row in judge(study.sure_case).itertuples() if row.verdict != "not asked")
        except DataError:
            return


def _of_paste():
    """Return the cautions of powders and of what is wet and organic: a recipe names ingredients, and not what they hold, so all of them."""
    return (f"{hazard.capitalize()}: {words}" for hazard, words in OF_PASTE.items())
