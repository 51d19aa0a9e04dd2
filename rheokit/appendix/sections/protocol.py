"""Which tests were made, in which order, when each reading was taken, and what was left out."""

from ...bench.base import BenchTest
from ...bench.design import told_alike, turns
from ...bench.usual import protocol_of
from ...nomenclature import and_, between, written
from ...workbook.of_fit import LEAVE_OUT, name_of
from .. import left_out
from ..authors import PROTOCOL, TABLE, not_stated, notes, points, unless_noted
from ..cells import NOT_STATED, counted, stopped
from ..conditions_stated import of_specimen
from ..directions import in_words, told_of
from ..document import Block, Caution, Paragraph, Points, Section, Table
from ..study import Study
from .readings import heads_of, printed

TITLE = "Protocol"
USUAL = (
    "For comparison, how each kind of test is usually made, with the numbers of a usual apparatus. They are not those of this bench: what was used here "
    "stands under “Apparatus”, and what was done otherwise only the authors know."
)
NOT_OF_PASTE = "-"
OF_OTHERS = "-: what [specimen] states is of the paste as it was tested; this test reads something else, such as an empty barrel, dry grains, or paste in an oven."
OF_ITS_ROWS = "not stated; its rows go up and down"
WHEN = ("test_order", "operator")
OF_COLUMNS = ("mixing", "storage", "temperature_control", "pre_shear", "steadiness", "direction", "test_order", "room")
"""Entries of the authors that may state when a batch was read and by whom, and what a column of the tests lacks."""
CONDITIONS = (("temperature", "temperature"), ("water_content", "water content u"), ("age", "age"))


def section(study: Study) -> Section:
    """Return one row a test, what was left out, and the usual procedure of each kind."""
    if why := study.lacking("bench"):
        return Section(TITLE, tuple(_unread(study, why)))
    tests, out = study.bench.tests, set(study.book.plan.listed(*LEAVE_OUT))
    rows, flow = [], "fitted" if study.knows("fit") else "to be fitted; no law is"
    for place, test in enumerate(tests, 1):
        order = between(test.run_order.min(), test.run_order.max()) if test.run_order is not None else NOT_STATED
        if test.run_order is None and not test.gives and turns(test):
            order = OF_ITS_ROWS
        use = property_of(test) if test.gives else "left out by the plan" if name_of(test) in out else flow
        batch = NOT_OF_PASTE if test.of_apparatus else test.batch or NOT_STATED
        first = f"{place}. {test.name}", batch, str(len(test.readings)), order, _ends(test, "time")
        rows.append((*first, in_words(test), *(_condition(study, test, name) for name, _ in CONDITIONS), use))
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
        _note(study, rows),
    )
    blocks: list[Block] = [table, *map(Paragraph, _borrowed(study)), *left_out.blocks(study, heads_of(study))]
    if fitted := [test for test in tests if not test.gives and name_of(test) not in out]:
        blocks += _design(study, fitted)
    blocks += _said(study)
    if several := list(dict.fromkeys(test.batch for test in tests if test.batch))[1:]:
        whose = f"batch {several[0]} was" if len(several) == 1 else f"batches {', '.join(several)} were"
        blocks.append(Paragraph(f"When and by whom {whose} read: {not_stated(study, *WHEN)}."))
    kinds = dict.fromkeys(type(test) for test in tests)
    blocks.append(Paragraph(USUAL))
    blocks.append(Points(tuple(f"Usual {kind.kind}: {protocol_of(kind)}" for kind in kinds)))
    return Section(TITLE, tuple(blocks))


def _note(study, rows):
    """Return what "-" and "not stated" mean in the table of the tests."""
    others = f"{OF_OTHERS} " if any(NOT_OF_PASTE in row for row in rows) else ""
    return (
        f"{others}Not stated: not typed in bench.toml, nor in a column that is read{unless_noted(study, *OF_COLUMNS)}."
    )


def _unread(study, why):
    """Return what can be said where no test can be read: why, and what bench.toml says as it stands."""
    blocks: list[Block] = [Caution(f"Not known: {stopped(why)}")]
    if "bench.toml" in study.files:
        blocks.append(printed(study, "bench.toml", study.files["bench.toml"], ", in which the tests are described"))
    return [*blocks, *_said(study)]


def _said(study):
    """Return what those who read the tests say of them."""
    blocks: list[Block] = []
    if told := notes(study):
        blocks += [Paragraph("Notes of who read them, as they stand in bench.toml:"), Points(told)]
    ways = told_of(study.tests)
    known = {"direction": f"as the files have it, {ways}."} if ways else {}
    return [*blocks, Paragraph("What no column of a file says, unless its rows do:"), points(study, PROTOCOL, known)]


def _ends(test, name):
    """Return the least and the greatest value of a column or condition of a test, in words."""
    value = test.conditions.get(name) if name in dict(CONDITIONS) else getattr(test, name)
    if value is None:
        return NOT_STATED
    low, high = (
        (float(value), float(value)) if not getattr(value, "ndim", 0) else (float(value.min()), float(value.max()))
    )
    return written(low, name) if low == high else between(low, high, name)


def _condition(study, test, name):
    """Return a condition of a test in words, with whose it is where its own batch has none stated."""
    if name not in test.of_paste and getattr(test, name) is None:
        return NOT_OF_PASTE
    held = getattr(study.specimen, name)
    own = getattr(test, name) is not None or held is None or test.of_specimen.get(name) != held
    told = _ends(test, name) if own else of_specimen(study, name)
    return f"{told}, of {_whose(study)}" if taken_over(study, test, name) else told


def _whose(study):
    return f"batch {study.specimen.batch}" if study.specimen.batch else "[specimen]"


def property_of(test: BenchTest) -> str:
    """Return in words whose property a test measures: of the paste, or of what it was read with."""
    return "property of the apparatus" if test.of_apparatus else "property of the paste"


def taken_over(study: Study, test: BenchTest, name: str) -> bool:
    """Return whether a condition of a test, by its name, is that of [specimen], which is not stated to be of its batch."""
    return bool(
        test.batch
        and test.batch != study.specimen.batch
        and name in test.of_paste
        and name in test.conditions
        and getattr(test, name) is None
    )


def _borrowed(study):
    """Return a sentence a batch for which conditions of another one, or of none by name, were taken."""
    found: dict[str, dict[str, str]] = {}
    for test in study.tests:
        for name, words in CONDITIONS:
            if taken_over(study, test, name):
                found.setdefault(test.batch, {})[words] = of_specimen(study, name)
    for batch, held in found.items():
        yield (
            f"Of batch {batch} no {and_([*held])} of its own {'is' if len(held) == 1 else 'are'} stated in bench.toml: taken for it "
            f"{'is that' if len(held) == 1 else 'are those'} of {_whose(study)} ({', '.join(held.values())}), which it may not have had. A [[test]] "
            "may state its own."
        )


def _design(study, fitted):
    """Return what the readings cannot tell apart, as they were planned."""
    told = list(told_alike(fitted))
    if len(fitted) > 1 and not study.book.plan.text(TABLE, "test_order"):
        told.append(
            f"In which order the tests were made is not recorded in bench.toml{unless_noted(study)}: what changes from test to test with time (age of "
            "the paste, wear, the room) cannot be told from what the tests differ by."
        )
    if not told:
        return [
            Paragraph(
                "No two settings of these tests moved together, as far as orders, times, batches and nozzles are recorded."
            )
        ]
    return [Paragraph("What these readings cannot tell apart, whatever is fitted to them:"), Points(tuple(told))]
