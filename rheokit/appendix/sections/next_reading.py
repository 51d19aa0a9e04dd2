"""Which reading would narrow the main answers most, what each would show, and what none of them changes."""

from ...errors import DataError
from ...nomenclature import number, with_limits
from ...nomenclature.batches import OF_THEORY, held_of_batches
from ...planning.questions import FORCE, HEIGHT, START, Question
from ...planning.ranked_readings import NextReading, Ranked
from ...planning.reading_advice import NONE, cautions_of, notes_of
from ...workbook.questions import questions
from ...workbook.standing import standing_of_bench
from ..cells import NOT_KNOWN, headed, in_column, stopped
from ..document import Block, Caution, Paragraph, Points, Section, Shown, Table
from ..study import SEED, Study

TITLE = "Which reading next"
FIRST = ("force at this speed", "wall height", "yield stress", "stress at the rate of use")
MOST = 2  # questions that are answered: each asks for many simulated readings
BY_LAW = (
    "; by the law alone: the error of the formula is left out, and static ratio, density and build-up are as they are typed or taken. With all of "
    "these it is wider, and stands under “Predictions: shape, drying and dry size”"
)
REPEATS, TIED = "nothing new", "cannot be told from the first"


def section(study: Study) -> Section:
    """Return the candidates for the first questions that can be asked, each in a sentence and a table."""
    blocks: list[Block] = []
    ranked: list[Ranked] = []
    asked = questions(study.fit, study.book.plan, study.book.material_of)
    for one in [asked[name] for name in FIRST if not asked[name].lacking][:MOST]:
        try:
            found = one.asked_of(study.fit, seed=SEED)
        except DataError as fault:
            blocks.append(Paragraph(f"{one.about}: not known which reading helps. {study.plain(str(fault))}"))
            continue
        blocks += [Caution(found.stamp)] if found.stamp else []
        blocks += [Paragraph(f"For the {one.about}: {found.said}"), _table(study, one, found)]
        ranked += found.ranked
    if said := cautions_of(ranked):
        blocks.append(Caution(" ".join(said)))
    without = tuple(f"{name}: {_lacks(study, name, one.lacking)}" for name, one in asked.items() if one.lacking)
    if without:
        blocks += [Paragraph("What could not be asked, and what it lacks:"), Points(without)]
    return Section(TITLE, tuple(blocks))


def _lacks(study: Study, name: str, lacking: str) -> str:
    """Return what a question lacks: of the height of a wall what the section of shape says that it lacks, and the same once."""
    try:
        if name == HEIGHT:
            standing_of_bench(study.book)
    except DataError as error:
        return stopped(study.plain(str(error)))
    return stopped(study.plain(lacking))


def _table(study: Study, asked: Question, found: NextReading) -> Table:
    """Return the candidates of a question, the one that narrows most first."""
    table, unit = found.table, found.unit or "-"
    widths, shown = in_column(unit, [None if row != row else row for row in table.expected_width])
    rows = [
        (
            one.place or NOT_KNOWN,
            one.candidate,
            width,
            _share(one.narrowing),
            Shown(float(one.minutes), number(one.minutes, 2)),
            one.reading or NOT_KNOWN,
            one.exposes or (REPEATS if ranked.repeats else NOT_KNOWN),
            "; ".join(filter(None, [one.doubt, f"needs {one.needs}" if one.needs else "", TIED if _tied(one) else ""])),
        )
        for one, ranked, width in zip(table.itertuples(), found.ranked, widths, strict=True)
    ]
    today = found.today
    held = held_of_batches(len(study.fit.problem.batches), OF_THEORY if asked.name in (FORCE, START) else "")
    caption = (
        f"{study.of}: {len(rows)} readings that could be taken next for the {asked.about}, the one that narrows the 95 % interval most first. "
        f"The interval now: {with_limits(today.value, today.low, today.high, unit)}, {held}{BY_LAW if asked.name == HEIGHT else ''}."
    )
    columns = (
        "place", "reading", headed("expected width", shown), headed("taken off the width", "%"), headed("work", "min"), "expected to read", "would show", "note",
    )  # fmt: skip
    name = f"next-reading-{asked.name.replace(' ', '-')}"
    return Table(name, caption, columns, tuple(rows), " ".join(notes_of(found)))


def _tied(row):
    return row.as_good_as_best and row.Index > 1 and row.narrowing == row.narrowing


def _share(narrowing):
    """Return a share of the width as a cell in percent."""
    if narrowing != narrowing:
        return NOT_KNOWN
    return Shown(
        100 * float(narrowing), number(100 * narrowing, 2) if narrowing >= NONE else f"below {number(100 * NONE)}"
    )
