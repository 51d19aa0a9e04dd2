"""An instrument's export to the plain table of the columns that bench.toml names, each row under its number in the file.

The headers are found by the words that `columns` gives; what stands above is passed over. Further header rows begin blocks, each
read by its own header and units; a table that begins with other headers is passed over. Below a header a row is a reading where
every named cell is a number. Rows without a number in any of them part the readings and are passed over; a row with a number and a
hole is refused, unless it stands apart from the readings, behind the last ones of its block (the lines above the next header).
What was passed over is told in notes.
"""

from typing import NamedTuple

from ..errors import DataError
from .choosing import in_words, ranges
from .export_heads import BELOW, Head, Units, heads_in, quantity_name, units_below
from .export_numbers import REAL, TROUBLE, Cell, as_plain, looks_like_number, signs_of
from .export_rows import APART, HOLE, LABELLED, OTHER, READING, kind_of, other_words, rows_below
from .faults import listed, shown
from .headers import title_of, unit_of
from .tables import MOST_ROWS, SEPARATORS, WITHIN, Rows, Table

CURVE = 3  # readings of a block from which on it can be a run
SHOWN = 8  # columns passed over that a note names


class Block(NamedTuple):
    """What stands below one header row: its number among the blocks with readings, its `Head`, its `Units`, and its rows.

    Of each row: its place, its cells, and whether it is a reading, stands apart, has a hole, or is of another table.
    """

    number: int
    head: Head
    units: Units
    rows: list

    def readings(self):
        """Return place and cells of its readings."""
        return [(at, cells) for at, cells, kind in self.rows if kind is READING]


class Shape(NamedTuple):
    """What was understood of an export: the sign that parts its cells, and its blocks with readings."""

    sign: str
    blocks: list

    @property
    def told(self):
        """True where blocks are runs: there are several, and more than single readings in them."""
        return len(self.blocks) > 1 and any(len(block.readings()) >= CURVE for block in self.blocks)


def shape_of(form, lines, names, reads):
    """Return the `Shape` of an export, for the names of its headers by quantity; `DataError` where it cannot be told."""
    sign, heads = heads_in(lines, names)
    si_units = {name: unit_of(form, quantity_name(name), reads) for name in names}
    stops = [*(head.at for head in heads[1:]), len(lines.texts)]
    blocks = []
    for head, stop in zip(heads, stops, strict=True):
        rows = rows_below(lines, sign, head, stop)
        if any(kind is READING for *_, kind in rows):
            units = units_below(lines, sign, head, stop, names, si_units)
            own = [row for row in rows if units.at is None or row[0] > units.at]
            blocks.append(Block(len(blocks) + 1, head, units, own))
    if not blocks:
        head = heads[0]
        told = f"row {lines.numbers[head.at]} holds the headers, but no row below has a number under each of them"
        raise DataError(f"{told}; there are no readings to take, or columns names the wrong headers")
    return Shape(sign, blocks)


def export_table(form, lines, names, entry, reads, wanted, file, faults):
    """Return the `Table` of an export, None where there is none; what is wrong with single rows goes to the faults.

    `lines` are its rows, `names` its headers by quantity, `reads` is the column that was read, and `wanted` holds the numbers of
    the rows that are asked for. `DataError` where nothing can be read.
    """
    shape, before = shape_of(form, lines, names, reads), len(faults)
    told, blocks = shape.told and "run" not in names, shape.blocks
    if told and isinstance(runs := entry.get("runs"), list):  # what is wrong with other runs does not count
        blocks = [block for block in blocks if block.number in runs] or blocks
    used = [block for block in blocks if any(lines.numbers[at] in wanted for at, _ in block.readings())]
    if not used:
        readings = [lines.numbers[at] for block in blocks for at, _ in block.readings()]
        raise DataError(f"rows names no row with readings; they stand in {in_words(readings)}")
    for block in used:
        _check_rows(lines, block, shape.sign, wanted, file, faults)
    _refuse_other_units(lines, used)
    if (count := sum(len(block.readings()) for block in used)) > MOST_ROWS:
        raise DataError(
            f"holds {count} rows of readings; {MOST_ROWS} at most: take the steady readings, not the raw log"
        )
    return _table(lines, shape, used, told, entry, wanted) if len(faults) == before else None


# --- rows -----------------------------------------------------------------------------------------------------------


def _check_rows(lines, block, sign, wanted, file, faults):
    """Tell the faults of the rows that are asked for: holes, cells that cannot be read, other widths, other signs between cells."""
    head, places = block.head, block.head.places
    width, other = _width(block, sign), None
    readings = [lines.numbers[at] for at, _ in block.readings()]
    for at, cells, kind in block.rows:
        number = lines.numbers[at]
        named = {name: cells[place] if place < len(cells) else "" for name, place in places.items()}
        if kind is APART and at > head.at + BELOW and other_words(head, cells):
            other = at
        if kind is APART and number in wanted and (name := _parted_otherwise(lines, head, sign, at)):
            told = f"{shown(lines.texts[at])} holds numbers parted by {name}s, but the headers in row {lines.numbers[head.at]} are not"
            faults.add(
                f"{file}, row {number}",
                f"{told}; use one sign in a file, or choose other rows with rows = in its [[test]]",
            )
        if number not in wanted or kind in (APART, OTHER, LABELLED):
            continue
        where = f"{file}, row {number}"
        if other is not None and kind is READING:
            told = f"row {lines.numbers[other]} looks like another header than that of row {lines.numbers[head.at]}"
            remedy = f'choose the rows of one of them, such as rows = "{ranges(n for n in readings if n < lines.numbers[other])}"'
            faults.add(where, f"{told}, so this row cannot be read by it; {remedy} in its [[test]]")
            return
        if kind is HOLE:
            hole = next(name for name, cell in named.items() if not looks_like_number(cell) and cell[:1] != TROUBLE)
            held = next(name for name, cell in named.items() if looks_like_number(cell) or cell[:1] == TROUBLE)
            told = f"{shown(named[hole])} is no number, but {shown(named[held].lstrip(REAL))} stands under {shown(head.cells[places[held]])}"
            remedy = f'mend it, or choose rows without it: rows = "{ranges(readings)}" in its [[test]]'
            faults.add(f"{where}, {_column(head, hole)}", f"{told}; {remedy}")
            continue
        for name, cell in named.items():
            if cell[:1] == TROUBLE:
                faults.add(f"{where}, {_column(head, name)}", cell[1:])
        if len(cells) > width and any(cells[width:]):
            told = f"{len(cells)} cells under {len(head.cells)} headers ({shown((' | ' if sign == WITHIN else sign).join(cells))})"
            comma = "; a decimal comma needs semicolons or tabs between the columns" if sign == "," else ""
            faults.add(where, f"{told}{comma}; mend the row, or choose others with rows = in its [[test]]")


def _width(block, sign):
    """Return how many cells a row may have: as many as its header, or as every reading of its block where none is parted by a comma."""
    widths = {len(cells) for _, cells in block.readings()}
    own = len(block.head.cells)
    return max(own, *widths) if len(widths) == 1 and sign != "," else own


def _parted_otherwise(lines, head, sign, at):
    """Return in words the sign that would make a row a reading, where it is not the one of its header; "" where none does."""
    for name, mark in SEPARATORS.items():
        if mark != sign and sign != WITHIN and mark in lines.texts[at]:
            cells = lines.cells(at, mark)
            if len(cells) >= len(head.cells) - 1 and kind_of(head, cells) is READING:
                return name
    return ""


def _column(head, name):
    place = head.places[name]
    return f"column {place + 1} ({head.cells[place]})"


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
    columns = [_column(head, name) for name in head.places]
    cells = (
        Cell(number, column, cell)
        for number, named, _ in rows
        for column, cell in zip(columns, named, strict=True)
        if not cell.isdigit() or len(cell) > 3
    )
    signs = signs_of(cells, shape.sign, entry.get("decimal"), entry.get("thousands"))
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
        notes=tuple(_notes(lines, shape, used, signs, told)),
    )


def _title(name, unit):
    quantity = quantity_name(name)
    zero = "absolute" if name.startswith("absolute_") else "gauge"
    return title_of(quantity, unit, zero)


def _notes(lines, shape, used, signs, told):
    """Return in words what was taken how, and what was passed over."""
    if lines.encoding not in ("", "UTF-8"):
        yield f"it was read as {lines.encoding} text"
    head = used[0].head
    others = [cell for k, cell in enumerate(head.cells) if cell and k not in head.places.values()]
    if others:
        more = f" and {len(others) - SHOWN} more" if len(others) > SHOWN else ""
        yield f"columns passed over: {listed(shown(cell, 40) for cell in others[:SHOWN])}{more}"
    if signs.thousands:
        name = {".": "points", ",": "commas", " ": "spaces", "'": "apostrophes"}[signs.thousands]
        yield f"{name} were taken as signs between thousands"
    if len(shape.blocks) > 1:
        rows = in_words([lines.numbers[block.head.at] for block in shape.blocks])
        how = "each block is a run" if told else "they are one table"
        yield f"{len(shape.blocks)} blocks of readings below the headers in {rows}; {how}"
    for block in used:
        last = block.readings()[-1][0]
        between = [lines.numbers[at] for at, _, kind in block.rows if kind is APART and at < last]
        if between:
            yield f"passed over, since nothing was read there: {in_words(between)}"
        if labelled := [lines.numbers[at] for at, _, kind in block.rows if kind is LABELLED]:
            yield f"passed over, since words stand there where readings have numbers: {in_words(labelled)}"
        other = [at for at, _, kind in block.rows if kind is OTHER]
        if other:
            yield f"another table begins in row {lines.numbers[other[0]]}, with other headers, and was passed over"
    for block in used:
        yield from block.units.notes
