"""Every dimension of the apparatus as it was stated, with its standard uncertainty, and what was taken where nothing was."""

from collections.abc import Iterator

from ...bench import KINDS
from ...bench.usual_corrections import GEOMETRY, TEMPERATURE, TORQUES
from ...errors import DataError
from ...nomenclature import QUANTITIES, unit_for
from ...reading.forms import form_of
from ...reading.stated import stated_number
from ..authors import APPARATUS, RATING, TABLE, points, unless_noted
from ..cells import NOT_STATED, in_unit, with_uncertainty
from ..conditions_stated import uncertainty_of
from ..document import Block, Cell, Paragraph, Points, Section, Table
from ..study import Study

TITLE = "Apparatus"
AS_TYPED = 6
"""Digits of a number that was typed without an uncertainty: all that anybody types."""
BESIDE = (
    "Comments beside the numbers stand in the file bench.toml, those of the files of readings in these; both are printed under “Raw readings”. Beside "
    "them:"
)
OF_DIMENSIONS = ("dimensions_measured", "instruments", "geometry", "calibration", "uncertainties", "walls")
"""Entries of the authors that may state how well a dimension is known."""
OF_SOME_TESTS = (GEOMETRY, TORQUES, RATING)
"""What is asked where a test needs it: its usual corrections, or a barrel without a stated rating."""
SEGMENT = ("diameter", "inlet_diameter", "outlet_diameter", "length")


def section(study: Study) -> Section:
    """Return the dimensions, and what the reader took where nothing was stated."""
    rows, notes = list(dimensions(study)), _notes(study)
    blocks: list[Block] = []
    if rows:
        blocks.append(
            Table(
                "apparatus",
                f"{study.of}: dimensions of the apparatus as stated, each with its standard uncertainty where one was stated (u).",
                ("of", "dimension", "symbol", "as typed", "value", "u", "unit", "where it comes from"),
                tuple(rows),
                f"What was taken where no uncertainty was stated stands below. Not stated: not typed in its entry{unless_noted(study, *OF_DIMENSIONS)}.",
                row_names=False,
            )
        )
    if notes:
        blocks += [
            Paragraph(
                "Not stated, or stated without an uncertainty, and assumed by the reader of the folder (common practice, where no other reason is given):"
            )
        ]
        blocks.append(Points(tuple(map(study.plain, notes))))
    blocks += [
        Paragraph(BESIDE),
        points(study, _asked(study)),
    ]
    return Section(TITLE, tuple(blocks))


def _asked(study):
    """Return what is asked of the authors: of a rotational instrument, or what held a pressure, alone where a test that was read has one."""
    if not study.knows("bench"):
        return APPARATUS
    words_of = dict(APPARATUS)
    if uncertainty_of(study, "temperature"):  # which is printed, so that nobody is asked for it again
        words_of[TEMPERATURE] = words_of[TEMPERATURE].removesuffix(", and its uncertainty")
    needed = {one.key for test in study.tests for one in test.corrections()}
    if any(test.nozzle is not None and test.pressure_rating is None for test in study.tests):
        needed.add(RATING)
    return {
        key: words
        for key, words in words_of.items()
        if key not in OF_SOME_TESTS or key in needed or study.book.plan.text(TABLE, key)
    }


def _notes(study):
    """Return what the reader of the folder took where nothing was stated."""
    origin = study.bench.origin if study.knows("bench") else None
    return origin.notes if origin else ()


def dimensions(study: Study) -> Iterator[tuple[Cell, ...]]:
    """Return a row for each number of an apparatus or a test that bench.toml states."""
    stands = study.stated.get("apparatus", {})
    tests = [one for one in study.entries if isinstance(one.get("kind"), str) and one["kind"] in KINDS]
    for name, held in stands.items() if isinstance(stands, dict) else ():
        if not isinstance(held, dict):
            continue
        forms = [form_of(KINDS[test["kind"]]) for test in tests if test.get("apparatus") == name]
        yield from _of(f"apparatus {name}", held, forms)
    for place, test in enumerate(tests, 1):
        label = test.get("label")
        where = f"test {place}, {test['kind']}" + (f" '{label}'" if label else "")
        yield from _of(where, test, [form_of(KINDS[test["kind"]])])


def _of(where, held, forms):
    """Return the rows of one table of bench.toml: of what the forms of its tests call a dimension."""
    for name, given in held.items():
        form = next((one for one in forms if name in one.dimension_names()), None)
        if form is None:
            continue
        if name != "nozzle":
            yield _row(where, name, given, QUANTITIES["diameter"] if name == "bore" else form.quantity(name))
            continue
        for place, segment in enumerate(given if isinstance(given, list) else [given], 1):
            for key, size in segment.items() if isinstance(segment, dict) else [(name, segment)]:
                yield _row(f"{where}, segment {place} of the nozzle", key, size, QUANTITIES.get(key))


def _row(where, name, given, about):
    words = name.replace("_", " ")
    symbol = about.symbol if about else ""
    try:
        told = stated_number(given, about.unit, name, by_gauge=name in ("bore", *SEGMENT[:3]))
    except (DataError, AttributeError):  # a word, such as that it has none
        return where, words, symbol, str(given), NOT_STATED, NOT_STATED, "", "as stated"
    scale = unit_for(about, told.value)
    value: Cell = in_unit(told.value, scale, AS_TYPED)
    spread: Cell = NOT_STATED
    if told.uncertainty is not None:
        value, spread = with_uncertainty((told.value - scale.zero) / scale.factor, told.uncertainty / scale.factor)
    return (
        where,
        words,
        symbol,
        str(given),
        value,
        spread,
        scale.text,
        "looked up by its gauge" if told.looked_up else "stated",
    )
