"""Which tests were made, in which order, when each reading was taken, and what was left out."""

from ...bench.usual import protocol_of
from ...nomenclature import between, written
from ...workbook.of_fit import LEAVE_OUT, name_of
from ..authors import PROTOCOL, points
from ..cells import NOT_STATED, counted, stopped
from ..directions import in_words, told_of
from ..document import Block, Caution, Paragraph, Points, Section, Table
from ..study import Study
from .readings import printed

TITLE = "Protocol"
USUAL = (
    "For comparison, how each kind of test is usually made, with the numbers of a usual apparatus. They are not those of this bench: what was used here "
    "stands under “Apparatus”, and what was done otherwise only the authors know."
)
CONDITIONS = (("temperature", "temperature"), ("water_content", "water content u"), ("age", "age"))


def section(study: Study) -> Section:
    """Return one row a test, what was left out, and the usual procedure of each kind."""
    if why := study.lacking("bench"):
        return Section(TITLE, tuple(_unread(study, why)))
    tests, out = study.bench.tests, set(study.book.plan.listed(*LEAVE_OUT))
    rows = []
    for place, test in enumerate(tests, 1):
        order = NOT_STATED if test.run_order is None else between(test.run_order.min(), test.run_order.max())
        use = "property of the paste" if test.gives else "left out by the plan" if name_of(test) in out else "fitted"
        first = f"{place}. {test.name}", test.batch or NOT_STATED, str(len(test.readings)), order, _ends(test, "time")
        rows.append((*first, in_words(test), *(_ends(test, name) for name, _ in CONDITIONS), use))
    table = Table(
        "protocol",
        f"{study.of}: {counted(len(tests), 'test')} in the order of the folder. Time is that since the speed, load or pressure of a "
        "reading was set. Up and down is how what was set went, in the order of reading, else in that of the rows.",
        (
            "test",
            "batch",
            "readings",
            "order of reading",
            "time",
            "runs, up or down",
            *(words for _, words in CONDITIONS),
            "use",
        ),
        tuple(rows),
    )
    blocks: list[Block] = [table, _left_out(study, out)]
    blocks += _said(study)
    if several := list(dict.fromkeys(test.batch for test in tests if test.batch))[1:]:
        whose = f"batch {several[0]} was" if len(several) == 1 else f"batches {', '.join(several)} were"
        blocks.append(Paragraph(f"When and by whom {whose} read: {NOT_STATED}, unless a note above says it."))
    kinds = dict.fromkeys(type(test) for test in tests)
    blocks.append(Paragraph(USUAL))
    blocks.append(Points(tuple(f"Usual {kind.kind}: {protocol_of(kind)}" for kind in kinds)))
    return Section(TITLE, tuple(blocks))


def _unread(study, why):
    """Return what can be said where no test can be read: why, and what bench.toml says as it stands."""
    blocks: list[Block] = [Caution(f"Not known: {stopped(why)}")]
    if "bench.toml" in study.files:
        blocks.append(printed(study, "bench.toml", study.files["bench.toml"], ", in which the tests are described"))
    return [*blocks, *_said(study)]


def _said(study):
    """Return what those who read the tests say of them."""
    blocks: list[Block] = []
    if notes := tuple(_notes(study)):
        blocks += [Paragraph("Notes of who read them, as they stand in bench.toml:"), Points(notes)]
    ways = [told for test in study.tests if (told := told_of(test))]
    known = {"direction": f"as the files have it, {'; '.join(ways)}."} if ways else {}
    return [
        *blocks,
        Paragraph("What no column of a file says, unless its rows or a note above do:"),
        points(study, PROTOCOL, known),
    ]


def _notes(study):
    """Return every note of bench.toml with what it is about."""
    stands = study.stated.get("apparatus", {})
    told = [("specimen", study.stated.get("specimen", {}))]
    told += [(f"apparatus {name}", held) for name, held in (stands.items() if isinstance(stands, dict) else ())]
    told += [
        (f"test {place}, {one.get('label') or one.get('kind')}", one) for place, one in enumerate(study.entries, 1)
    ]
    for where, held in told:
        note = held.get("note") if isinstance(held, dict) else None
        if isinstance(note, str) and note.strip():
            yield f"{where[0].upper()}{where[1:]}: {note.strip()}"


def _ends(test, name):
    """Return the least and the greatest value of a column or condition of a test, in words."""
    value = test.conditions.get(name) if name in dict(CONDITIONS) else getattr(test, name)
    if value is None:
        return NOT_STATED
    low, high = (
        (float(value), float(value)) if not getattr(value, "ndim", 0) else (float(value.min()), float(value.max()))
    )
    return written(low, name) if low == high else between(low, high, name)


def _left_out(study, out):
    if out:
        return Paragraph(
            f"Left out of the fit by the plan: {', '.join(sorted(out))}. The reason, and when it was decided: not stated."
        )
    return Paragraph(
        "No test was left out of the fit by the plan. Rows that a folder leaves out of a file stand in its bench.toml (rows, runs, branch)."
    )
