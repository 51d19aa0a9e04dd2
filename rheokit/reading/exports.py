"""An instrument's export to the plain table of the columns that bench.toml names, each row under its number in the file.

The headers are found by the words that `columns` gives; what stands above is passed over. Further header rows begin blocks, each
read by its own header and units; a table that begins with other headers is passed over. Below a header a row is a reading where
every named cell is a number, whatever stands beside. Rows without a number in any of them part the readings and are passed over; one
with a number and a hole is refused, unless it leads up to the next header, apart from the readings. What was passed over is told in
notes, and every row with digits under a named header is read, refused, or told there.
"""

from itertools import chain
from typing import NamedTuple

from ..errors import DataError
from .choosing import Every, in_words, ranges
from .export_checks import check_rows, in_column, parted_otherwise
from .export_heads import Head, Units, heads_in, quantity_name, units_below
from .export_notes import notes_of
from .export_numbers import REAL, Cell, as_plain, looks_like_number, signs_of
from .export_rows import HOLE, LABELLED, MARKED, READING, named_cells, rows_below, sense_of
from .faults import shown
from .headers import title_of, unit_of
from .tables import MOST_ROWS, SEPARATORS, WITHIN, Rows, Table

CURVE = 3  # readings of a block from which on it can be a run


class Block(NamedTuple):
    """What stands below one header row: its number among the blocks with readings, its `Head`, its `Units`, and its rows.

    Of each row: its place, its cells, and what it is (see `export_rows`). The number is 0 where there are no readings.
    """

    number: int
    head: Head
    units: Units
    rows: list

    def readings(self):
        """Return place and cells of its readings."""
        return [(at, cells) for at, cells, kind in self.rows if kind is READING]


class Shape(NamedTuple):
    """What was understood of an export: the sign that parts its cells, its blocks with readings, and those without."""

    sign: str
    blocks: list
    rest: list

    @property
    def told(self):
        """True where blocks are runs: there are several, and more than single readings in them."""
        return len(self.blocks) > 1 and any(len(block.readings()) >= CURVE for block in self.blocks)


def shape_of(form, lines, names, reads):
    """Return the `Shape` of an export, for the names of its headers by quantity; `DataError` where it cannot be told."""
    sign, heads = heads_in(lines, names)
    si_units = _si_units(form, names, reads)
    stops = [*(head.at for head in heads[1:]), len(lines.texts)]
    blocks, rest = [], []
    for head, stop in zip(heads, stops, strict=True):
        rows = rows_below(lines, sign, head, stop)
        if any(kind is READING for *_, kind in rows):
            units = units_below(lines, sign, head, stop, names, si_units)
            blocks.append(Block(len(blocks) + 1, head, units, [row for row in rows if row[0] != units.at]))
        else:
            rest.append(Block(0, head, Units({}, None, {}, ()), rows))
    if not blocks:
        raise DataError(_no_readings(lines, sign, rest[0]))
    return Shape(sign, blocks, rest)


def _si_units(form, names, reads):
    """Return the unit of SI of each named column."""
    return {name: unit_of(form, quantity_name(name), reads) for name in names}


def _no_readings(lines, sign, block):
    """Return what to say where no row below a header has a number under each name, and what stands there instead."""
    row = lines.numbers[block.head.at]
    for at, *_ in block.rows:
        if other := parted_otherwise(lines, block.head, sign, at):
            own = next((word for word, mark in SEPARATORS.items() if mark == sign), "")
            told = f"row {row} holds headers parted by {own}s, but row {lines.numbers[at]} ({shown(lines.texts[at])}) numbers parted by"
            return f"{told} {other}s; use one sign in a file"
    told = f"row {row} holds the headers, but no row below has a number under each of them"
    for at, cells, kind in block.rows:
        if kind is HOLE and (marked := [cell for cell in named_cells(block.head, cells) if sense_of(cell) is MARKED]):
            return f"{told}: row {lines.numbers[at]} has {shown(marked[0])}, which is no plain number; mend it"
    return f"{told}; there are no readings to take, or columns names the wrong headers"


def export_table(form, lines, names, entry, reads, wanted, file, faults):
    """Return the `Table` of an export, None where there is none; what is wrong with single rows goes to the faults.

    `lines` are its rows, `names` its headers by quantity, `reads` is the column that was read, and `wanted` holds the numbers of
    the rows that are asked for. `DataError` where nothing can be read.
    """
    shape, before = shape_of(form, lines, names, reads), len(faults)
    told, blocks, rest = shape.told and "run" not in names, shape.blocks, shape.rest
    if told and isinstance(runs := entry.get("runs"), list):  # what is wrong with other runs does not count
        chosen = [block for block in blocks if block.number in runs]
        blocks, rest = (chosen, []) if chosen else (blocks, rest)
    if not isinstance(wanted, Every):  # who names a row says that it is a reading
        blocks = [_with_labelled(lines, block, wanted) for block in blocks]
    used = [block for block in blocks if any(lines.numbers[at] in wanted for at, _ in block.readings())]
    readings = {block.head.at: [lines.numbers[at] for at, _ in block.readings()] for block in blocks}
    if not used:
        raise DataError(f"rows names no row with readings; they stand in {in_words(sorted(chain(*readings.values())))}")
    si_units = _si_units(form, names, reads)
    for block in sorted([*blocks, *rest], key=lambda block: block.head.at):
        others = chain.from_iterable(numbers for at, numbers in readings.items() if at != block.head.at)
        check_rows(lines, block, shape.sign, si_units, wanted, others, file, faults)
    _refuse_other_units(lines, used)
    if (count := sum(len(block.readings()) for block in used)) > MOST_ROWS:
        raise DataError(
            f"holds {count} rows of readings; {MOST_ROWS} at most: take the steady readings, not the raw log"
        )
    return _table(lines, shape, used, told, entry, wanted) if len(faults) == before else None


def _with_labelled(lines, block, wanted):
    """Return a block of which rows with a label are readings where they are asked for."""
    rows = [
        (at, cells, READING if kind is LABELLED and lines.numbers[at] in wanted else kind)
        for at, cells, kind in block.rows
    ]
    return block._replace(rows=rows)


# --- the table ------------------------------------------------------------------------------------------------------


def _refuse_other_units(lines, blocks):
    first, *others = blocks
    for block in others:
        for name, unit in block.units.texts.items():
            if unit != first.units.texts[name]:
                one, other = (f"row {lines.numbers[b.head.at]} in [{b.units.texts[name]}]" for b in (first, block))
                header = shown(block.head.cells[block.head.places[name]])
                own = ranges(lines.numbers[at] for at, _ in first.readings())
                told = f"{header} is below {one} and below {other}"
                raise DataError(
                    f'{told}; read one unit at a time: rows = "{own}" in its [[test]], the others in another'
                )


def _table(lines, shape, used, told, entry, wanted):
    rows = [
        (number, tuple(cells[place] for place in block.head.places.values()), block.number)
        for block in used
        for at, cells in block.readings()
        if (number := lines.numbers[at]) in wanted
    ]
    head = used[0].head
    columns = [in_column(head, name) for name in head.places]
    cells = (
        Cell(number, column, cell)
        for number, named, _ in rows
        for column, cell in zip(columns, named, strict=True)
        if not cell.isdigit() or len(cell) > 3
    )
    signs = signs_of(cells, shape.sign, entry.get("decimal"), entry.get("thousands"), _beside(lines, used))
    texts, numbers = [], []
    for number, named, run in rows:
        try:
            plain = [as_plain(cell, signs) for cell in named]
        except DataError as error:
            raise DataError(f"row {number}: {error}") from None
        numbers.append(number)
        texts.append(WITHIN.join([*plain, str(run)] if told else plain))
    header = [_title(name, used[0].units.texts[name]) for name in head.places]
    own = tuple(
        (lines.numbers[block.head.at], tuple((place, block.head.cells[place]) for place in block.head.places.values()))
        for block in used
    )
    hidden = tuple(sorted(set(lines.hidden) & set(numbers)))
    return Table(
        lines.numbers[head.at],
        (*header, "run [-]") if told else tuple(header),
        Rows(numbers, texts, WITHIN),
        separator=WITHIN,
        hidden=hidden,
        own=own,
        notes=tuple(notes_of(lines, shape, used, signs, told)),
        typed=Rows(numbers, [WITHIN.join(cell.lstrip(REAL) for cell in named) for _, named, _ in rows], WITHIN),
    )


def _beside(lines, used):
    """Return the numbers of readings in columns that are not read, a `Cell` each."""
    for block in used:
        read = set(block.head.places.values())
        for at, cells in block.readings():
            for place, cell in enumerate(cells):
                if place not in read and looks_like_number(cell):
                    yield Cell(lines.numbers[at], f"column {place + 1}", cell)


def _title(name, unit):
    quantity = quantity_name(name)
    zero = "absolute" if name.startswith("absolute_") else "gauge"
    return title_of(quantity, unit, zero)
