"""With what all of this was computed, and how it is computed again."""

from calendar import timegm
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from shlex import quote

from ...errors import DataError
from ...fitting.budget import DRAWS as DRAWN
from ...fitting.draws import EACH, GENERATOR, ROUNDS
from ...limits.sure import DRAWS as SURE_DRAWS
from ...nomenclature import number
from ...nomenclature.written import decimal_mark
from ...part.job import FIBRE
from ...planning import LIKELY
from ...planning.foreseen import COUNT, OUTCOMES
from ...planning.predicted import DRAWS as NEXT
from ...sampling import error_of_end, error_of_share
from ..answers import told_errors
from ..document import Listing, Paragraph, Section, Table
from ..environment import versions
from ..study import DRAWS, ON_MAP, POINTS, RESTED, SEED, Study
from .forces import start_errors

TITLE = "Computing environment"
ALSO = ("tomlkit", "pypdf", "fonttools")


def section(study: Study) -> Section:
    """Return versions, commit, seed, platform, commands, and the script of the workbook."""
    rows = [
        *versions().items(),
        *((name, _version(name)) for name in ALSO),
        ("seed of all random draws", str(SEED)),
        ("generator of all random draws", f"{GENERATOR.__name__}, of numpy.random"),
    ]
    table = Table(
        "environment",
        f"{study.paste}: versions of all that computed this appendix, as installed where it was made.",
        ("what", "version or value"),
        tuple(rows),
    )
    blocks = (
        table,
        _draws(study),
        Paragraph(
            "The files of the workbook are attached as they stand. From the folder that holds the workbook, in a POSIX shell, the first command makes this appendix "
            f"again, into a folder of its own beside it (--out, which changes nothing in it){_same_bytes(study)}. The second recomputes it "
            "and names what differs. With -P no script that stands in that folder is taken for a part of Python."
        ),
        Listing("\n".join(commands(study)), "Commands that make and verify this appendix."),
        Listing(
            study.without_place(study.book.script(POINTS, ON_MAP)),
            f"{study.paste}: the script that computes the same by the library, outside any notebook; it reads the folder by its name.",
        ),
    )
    return Section(TITLE, blocks)


def commands(study: Study) -> tuple[str, str]:
    """Return the commands that make an appendix again, with its date and its decimal mark, and that verify it."""
    name = study.book.name
    again = quote(f"{name}-appendix")
    date = f"SOURCE_DATE_EPOCH={_seconds(study.date)} " if study.date else ""
    comma = " --decimal comma" if decimal_mark() == "," else ""
    return (
        f"{date}python -P -m rheokit appendix {quote(name)}{comma} --out {again}",
        f"python -P -m rheokit verify {again}",
    )


def _same_bytes(study):
    date = (
        "; SOURCE_DATE_EPOCH gives it the same date, in seconds since 1970, and so the same bytes" if study.date else ""
    )
    return f"{date}, where the versions are those of the table" if date else ""


def _seconds(date):
    """Return a date, ISO 8601, in whole seconds since 1970."""
    return timegm(datetime.fromisoformat(date).utctimetuple())


def _draws(study: Study) -> Table:
    """Return what is drawn, how often, and how far its numbers have converged."""
    rows = [row for tell in (_of_fit, _of_budgets, _of_start, _of_next, _of_chances) for row in tell(study)]
    rows.append(
        (
            "which reading next",
            str(COUNT),
            f"{OUTCOMES} simulated readings of each candidate; widths nearer than chance share a place",
        )
    )
    return Table(
        "draws",
        f"{study.paste}: how many random draws stand behind each number, and its standard error by that number.",
        ("what is drawn", "draws", "standard error by the number of draws"),
        tuple(rows),
        "That draws have converged is to be looked at (JCGM 101:2008, 7.9, from memory). Of the ends of an interval by order statistics, of a chance p of n "
        "draws √(p(1 - p)/n); lower and upper end apart where they differ. Another seed moves a number by about so much. "
        f"Intervals by draws are probabilistically symmetric, not the shortest ones: {number(2.5)} % of the draws lie below and {number(2.5)} % above "
        "(JCGM 101:2008, 7.7, from memory).",
        row_names=False,
    )


def _of_fit(study):
    if not study.knows("fit"):
        return
    try:
        worth = study.fit.draw(DRAWN, SEED).effective
    except DataError as error:
        yield "law and apparatus", "none", study.plain(str(error))
        return
    told = f"chosen by weight from {ROUNDS * EACH} points of an adaptive mixture, which are worth {number(worth, 2)} independent draws"
    yield "law and apparatus, all parameters jointly", "as below", told


def _of_budgets(study):
    if study.knows("budgets"):
        for one, found in study.budgets:
            if off := told_errors(found.drawn_errors, one.unit):
                yield (
                    f"{one.words}, interval of the fit alone by draws (uncertainty budget)",
                    str(DRAWN),
                    f"{off}, of the ends",
                )


def _of_start(study):
    if not study.knows("case") or study.rested is None:
        return
    for words, errors in start_errors(study).items():
        if off := told_errors(errors, "N" if "force" in words else "Pa"):
            yield f"{words}, of the fit alone", str(RESTED), f"{off}, of the ends"
    off = number(100 * error_of_end(RESTED), 1)
    told = f"as for the start: the share of draws beyond an end is known to {off} in 100"
    yield "start and stop; bands of pictures", str(RESTED), told


def _of_next(study):
    if study.knows("predicted"):
        for one in study.predicted.found:
            if off := told_errors(one.errors, "N" if "force" in one.quantity else "m"):
                yield f"{one.quantity} of the next batch", str(NEXT), f"{off}, of the ends"
    standing = study.standing
    try:
        off = "" if standing is None else told_errors(standing.foot_errors, "m")
    except DataError:  # no draws
        return
    if off:
        yield (
            "height at which the foot yields, of the paste that was tested, next batch",
            str(standing.draws),
            f"{off}, of the ends",
        )


def _of_chances(study):
    off = " in 100"
    if study.knows("chance"):
        error = number(100 * float(study.chance.probability_error[0, 0]), 1)
        yield "chance that every limit judged holds", str(DRAWS), f"{error}{off}"
    if not study.knows("case"):
        return
    asked = (("windows, at the chance they ask", DRAWS), ("each point of the map, at that chance", ON_MAP))
    for words, count in (
        () if study.book.plan.text("job", "kind") == FIBRE else asked
    ):  # of a fibre there is no map here
        yield words, str(count), f"{number(100 * error_of_share(LIKELY, count), 2)}{off}"
    hard = number(100 * error_of_end(SURE_DRAWS), 2)
    yield f"hard limits, at {number(97.5)} in 100", str(SURE_DRAWS), f"{hard}{off}"


def _version(name):
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
