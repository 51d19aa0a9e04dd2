"""Every reading as it was typed and in SI, the files they stand in with their SHA-256, and what each header means."""

from hashlib import sha256
from typing import Any

from ...bench.base import quantity_of
from ...bench.bounds_told import beyond_bounds, bounds_told, window_told
from ...bench.measured import SIDES
from ...nomenclature import common_unit
from ...nomenclature.measures import Unit as SI
from ...workbook.of_fit import LEAVE_OUT, name_of
from .. import file_words, left_out
from ..cells import counted, exactly, kept, stopped
from ..directions import columns_of
from ..document import Block, Caution, Cell, Listing, Paragraph, Section, Shown, Table
from ..study import Study

TITLE = "Raw readings"
MOST_ROWS = 200
"""Of a table that are printed; the file that holds them all is attached."""
MOST_BOUNDS = 20
"""Of a test that are told one by one."""
MOST_TEXT = 20_000
"""Characters of a file that are printed."""
UNREAD = (
    "Not all of the folder can be read; what can be is printed here, nothing is fitted to a part of it. What is wrong:"
)
OUTCOMES = "outcomes.csv"
BLOCKS = "none: counted by the blocks of the file"
LEFT_OUT = "left out"
PASSED_OVER = "Other columns of an instrument's export are passed over; the file holds them, and is attached."
BESIDE = ("plan.toml", OUTCOMES)
"""Files of a workbook beside those of its readings."""


def section(study: Study) -> Section:
    """Return the files with their hashes, what their headers mean, and one table a test."""
    files = study.files
    files |= {name: held for name in BESIDE if name not in files and (held := _held(study, name)) is not None}
    blocks: list[Block] = [_hashes(study, files)] if files else [Paragraph("These readings come from no files.")]
    if study.unread:
        blocks.insert(0, Caution(f"{UNREAD} {stopped(study.unread)}"))
    headers = dictionary(study)
    if headers is not None:
        blocks.append(headers)
    blocks += [printed(study, name, files[name], ", with its comments") for name in ("bench.toml",) if name in files]
    read = {getattr(test.origin, "file", "") for test in study.tests}
    if study.unread:
        unread = [name for name in files if name not in ("bench.toml", *BESIDE, *read)]
        blocks += [printed(study, name, files[name], ", of a test that cannot be read") for name in unread]
    over = {id(one.test): one for one in left_out.rows_of(study) if one.rows}
    tables = tuple(
        Section(test.name, (_table(study, place, test, over.get(id(test))), *file_words.blocks(study, test)))
        for place, test in enumerate(study.tests, 1)
    )
    return Section(TITLE, tuple(blocks), tables)


def printed(study: Study, name: str, raw: bytes, what: str) -> Block:
    """Return a file as it stands, its first characters where it is long; of one that is no text, that it is attached."""
    if b"\0" in raw[:MOST_TEXT]:
        return Paragraph(f"The file {name}{what}, is no text, and is attached as it stands.")
    text = raw.decode("utf-8-sig", "replace")
    more = f"; the first {MOST_TEXT} of {len(text)} characters" if len(text) > MOST_TEXT else ""
    return Listing(text[:MOST_TEXT], f"{study.of}: the file {name}, as it stands{what}{more}.")


def _held(study, name):
    place = study.book.plan.place if name == "plan.toml" else study.book.folder / name
    try:
        return place.read_bytes()
    except OSError:
        return None


def _hashes(study, files):
    used = {getattr(test.origin, "file", "") for test in study.tests}
    what = {"bench.toml": "apparatus and tests", "plan.toml": "what is planned", "outcomes.csv": "what came out"}
    beside = f", and the record of predictions and outcomes ({OUTCOMES})" if OUTCOMES in files else ""
    rows = tuple(
        (
            name,
            what.get(name, "readings" if name in used else "beside the readings"),
            Shown(len(raw), str(len(raw))),
            sha256(raw).hexdigest(),
        )
        for name, raw in sorted(files.items())
    )
    return Table(
        "files",
        f"{study.of}: {counted(len(files.keys() - {OUTCOMES}), 'file')} on which the numbers rest{beside}, each with its SHA-256.",
        ("file", "what is in it", "size [bytes]", "SHA-256"),
        rows,
        "One changed byte changes the SHA-256. The files are attached as they stand.",
    )


def _columns(test):
    """Return the columns of a test as its file has them, and names of those of the record that follow from them."""
    typed = getattr(test.origin, "typed", None)
    if typed is None:
        return None, {}, list(test.columns)
    columns = sorted(typed.columns.values(), key=lambda one: one.place)
    return typed, columns, [name for name in test.columns if name not in typed.columns]


def _about(test, name):
    """Return the quantity of a column of a file: one of the record, or what gives one."""
    from ...reading.forms import form_of

    try:
        return form_of(type(test)).quantity(name)
    except KeyError:
        return None


GIVES = {
    "plunger_speed": "A flow is Q = v_p A_0, A_0 = π D_0²/4 the section of the barrel",
    "caught_mass": "A flow is Q = m/(ρ t), of the mass m caught in the time t",
    "load_mass": "A force is F = m g, of the mass m that loads",
    "added_mass": "A force is F = (m + m_0) g, m_0 the mass of what carries the mass m",
}
"""What gives a column that the file does not hold, by the name of the header's quantity."""
LOADED = "A load of a plate that was typed as a mass m is F = m g."


def dictionary(study: Study) -> Table | None:
    """Return the table of what each header of the files of readings means; None where nothing was read."""
    rows: dict[tuple[str, str, str], tuple[Cell, ...]] = {}
    tests: list[Any] = study.tests
    for test in tests:
        typed, columns, _ = _columns(test)
        named = [(one, header) for one in columns for header in _headers(typed, one)]
        for one, header in named:
            about, scale = _about(test, one.name), one.scale
            meaning = (about.meaning or one.name.replace("_", " ")) if about else one.name.replace("_", " ")
            factor = exactly(float(scale.factor))
            zero = f"; 0 there is {exactly(float(scale.offset))} {about.unit}" if scale.offset and about else ""
            rows[test.origin.file, header, one.name] = (
                test.origin.file, header, meaning, about.symbol if about else "", scale.text, about.unit if about else "", factor, zero.strip("; "),
            )  # fmt: skip
    if not rows:
        return None
    return Table(
        "data-dictionary",
        f"{study.of}: what each header of the files of readings means. A number in the unit that was typed, times the factor, is in SI.",
        ("file", "header", "quantity", "symbol", "unit typed", "SI unit", "factor", "zero"),
        tuple(rows.values()),
        " ".join(
            [
                *(
                    [PASSED_OVER]
                    if any(getattr(test.origin, "typed", None) and test.origin.typed.table.own for test in tests)
                    else []
                ),
                *[f"{words}." for name, words in GIVES.items() if name in {key for *_, key in rows}],
                *([LOADED] if any(isinstance(getattr(test, "force", None), float) for test in tests) else []),
            ]
        ),
        row_names=False,
    )


def _headers(typed, column):
    """Return the headers of a column as they stand in its file; of one that an export's blocks give, what it is."""
    return [" ".join(header.split()) for header in typed.table.headers_in_file(column)] or [BLOCKS]


def _heading(typed, column):
    """Return the heading of a column of cells as typed, with its unit where that stands apart from the header."""
    header, unit = _headers(typed, column)[0], column.scale.text
    if header == BLOCKS:
        return f"{column.name}, by the blocks of the file"
    return f"{header}, as typed" if not typed.table.own or unit in header else f"{header} [{unit}], as typed"


def heads_of(study: Study) -> dict[str, list[str]]:
    """Return the headers of the columns that each test reads, as they stand in its file, by its name."""
    tests: list[Any] = study.tests
    return {
        test.name: [_headers(typed, one)[0] for one in columns]
        for test in tests
        for typed, columns, _ in [_columns(test)]
        if typed
    }


def _with_passed_over(rows, columns, one):
    """Return the rows of a table with those that were passed over among them, each marked, as far as there is room."""
    shown = one.rows[: MOST_ROWS - len(rows)]
    blank = ("-",) * columns
    rows = [(*row, "read") for row in rows]
    for number, cells in zip(shown, one.cells, strict=False):
        rows.append((Shown(number, str(number)), *cells, *blank[1 + len(cells) :], LEFT_OUT))
    return sorted(rows, key=lambda row: row[0].value)


def _table(study, place, test, over):
    typed, columns, others = _columns(test)
    count = len(test.readings)
    shown = range(min(count, MOST_ROWS))
    heads, cells = ["row"], [[Shown(int(number_), str(int(number_))) for number_ in test.row_numbers[: len(shown)]]]
    if typed is not None:
        for one in columns:
            heads.append(_heading(typed, one))
            cells.append([typed.table.cell_in_file(one, int(test.origin.rows[k])) for k in shown])
    read = [test.reads] if test.reads not in others and _differs(test, columns) else []
    for name in [*read, *others]:
        about, values = quantity_of(test, name), getattr(test, name)[: len(shown)]
        unit = (
            SI(about.unit, 1.0) if name in read else common_unit(about, *values)
        )  # what no file holds, as it is written elsewhere
        heads.append(f"{about.symbol} {name.replace('_', ' ')} [{unit.text}]")
        cells.append([kept((float(value) - unit.zero) / unit.factor, 4) for value in values])
    for head, column in columns_of(test).items():
        if head not in {one.name for one in columns}:
            heads.append(head)
            cells.append(column[: len(shown)])
    note = _bounds(test)
    if count > len(shown):
        note = f"The first {len(shown)} of {count} rows; all of them stand in the attached file. {note}".strip()
    file = f", from {test.origin.file}" if typed is not None else ""
    rows = list(zip(*cells, strict=True))
    if over is not None:
        rows = _with_passed_over(rows, len(heads), over)
        heads.append("use")
        file += f", and {counted(len(over.rows), 'row')} of the file that {'was' if len(over.rows) == 1 else 'were'} passed over ({over.choices}), marked as left out"
        if (more := len(over.rows) + count - len(rows)) > 0:
            note = f"{more} rows of the file do not stand here, for want of room; it is attached. {note}".strip()
    if name_of(test) in study.book.plan.listed(*LEAVE_OUT) and not test.gives:
        file += "; the whole test was left out of the fit by the plan"
    name = test.name if test.of_apparatus else test.name_and_batch
    return Table(
        f"readings-{place}",
        f"{study.of}, {name}: {counted(count, 'reading')}{file}; row is the number of the row in the file, headers counted.",
        tuple(heads),
        tuple(rows),
        note,
    )


def _bounds(test):
    """Return in a sentence which rows are bounds, with what each counts as and why; "" where none is."""
    if test.gives:  # which has no window
        found = [(place, SIDES[int(side)]) for place, side in enumerate(test.censored) if side]
    else:
        found = bounds_told(test)
    holds = "" if test.gives else window_told(test)
    if not found:
        return holds
    told = [f"row {test.row_numbers[place]}: {words}" for place, words in found[:MOST_BOUNDS]]
    more = f"; and {len(found) - MOST_BOUNDS} more" if len(found) > MOST_BOUNDS else ""
    apart = "" if test.gives else beyond_bounds(test)
    return f"{holds} Bounds, and no numbers: {'; '.join(told)}{more}.".strip() + (f" {apart}." if apart else "")


def _differs(test, columns):
    """Return whether what was read was typed in another unit than that of SI."""
    return any(one.name == test.reads and (one.scale.factor != 1 or one.scale.offset) for one in columns)
