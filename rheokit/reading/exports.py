"""An instrument's export to the plain table of the columns that bench.toml names, each row under its number in the file.

The headers are found by the words that `columns` gives; what stands above is passed over. Further header rows begin blocks, each
read by its own header and units. Below a header a row is a reading where every named cell is a number. Rows without a number in
any of them part the readings and are passed over; a row with a number and a hole is refused, unless it stands apart from
the readings, behind the last ones of its block (the lines above the next header).
"""

from typing import NamedTuple

from ..errors import DataError
from .choosing import ranges
from .export_heads import BELOW, MISSING, Head, Units, heads_in, quantity_name, units_below
from .export_numbers import REAL, TROUBLE, Cell, as_plain, looks_like_number, signs_of
from .export_units import measure_of
from .faults import listed, shown
from .headers import title_of, unit_of
from .tables import MOST_ROWS, WITHIN, Rows, Table

CURVE = 3  # readings of a block from which on it can be a run
SHOWN = 8  # columns passed over that a note names
READING, APART, HOLE = "reading", "apart", "hole"


class Block(NamedTuple):
    """What stands below one header row: its `Head`, its `Units`, and by row place, cells and whether they are a reading."""

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
    empty: list


def shape_of(form, lines, names, reads):
    """Return the `Shape` of an export, for the names of its headers by quantity; `DataError` where it cannot be told."""
    sign, heads = heads_in(lines, names)
    si_units = {name: unit_of(form, quantity_name(name), reads) for name in names}
    stops = [*(head.at for head in heads[1:]), len(lines.texts)]
    blocks, empty = [], []
    for head, stop in zip(heads, stops, strict=True):
        rows = _rows(lines, sign, head, head.at + 1, stop)
        if not any(kind is READING for *_, kind in rows):
            empty.append(head)
            continue
        units = units_below(lines, sign, head, stop, names, si_units)
        blocks.append(Block(head, units, [row for row in rows if units.at is None or row[0] > units.at]))
    if not blocks:
        head = heads[0]
        told = f"row {lines.numbers[head.at]} holds the headers, but no row below has a number under each of them"
        raise DataError(f"{told}; there are no readings to take, or columns names the wrong headers")
    return Shape(sign, blocks, empty)


def export_table(form, lines, names, entry, reads, wanted, file, faults):
    """Return the `Table` of an export, None where there is none; what is wrong with single rows goes to the faults.

    `lines` are its rows, `names` its headers by quantity, `reads` is the column that was read, and `wanted` holds the numbers of
    the rows that are asked for. `DataError` where nothing can be read.
    """
    shape = shape_of(form, lines, names, reads)
    before = len(faults)
    for block in shape.blocks:
        _check_rows(lines, block, shape, wanted, file, faults)
    used = [block for block in shape.blocks if any(lines.numbers[at] in wanted for at, _ in block.readings())]
    if not used:
        readings = [lines.numbers[at] for block in shape.blocks for at, _ in block.readings()]
        raise DataError(f"rows names no row with readings; they stand in rows {ranges(readings)}")
    _refuse_other_units(lines, used)
    if (count := sum(len(block.readings()) for block in used)) > MOST_ROWS:
        raise DataError(
            f"holds {count} rows of readings; {MOST_ROWS} at most: take the steady readings, not the raw log"
        )
    if len(faults) > before:
        return None
    return _table(lines, shape, used, names, entry, wanted)


# --- rows -----------------------------------------------------------------------------------------------------------


def _rows(lines, sign, head, start, stop):
    """Return place, cells and kind of each row of a block."""
    places = list(head.places.values())
    found, after_gap = [], True
    for at in range(start, stop):
        cells = lines.cells(at, sign)
        named = [cells[place] if place < len(cells) else "" for place in places]
        numbers = [looks_like_number(cell) or cell[:1] == TROUBLE for cell in named]
        kind = READING if all(numbers) else HOLE if any(numbers) else APART
        found.append((at, cells, kind))
    last = max((k for k, row in enumerate(found) if row[2] is READING), default=-1)
    for k in range(last + 1, len(found)):  # what stands apart below the last readings belongs to what follows
        at, cells, kind = found[k]
        after_gap = (kind is APART) if k == last + 1 else after_gap or kind is APART
        after_gap = after_gap or lines.numbers[at] > lines.numbers[at - 1] + 1
        if kind is HOLE and after_gap:
            found[k] = (at, cells, APART)
    return found


def _check_rows(lines, block, shape, wanted, file, faults):
    """Tell the faults of the rows that are asked for: holes, cells that cannot be read, other widths, other headers."""
    head, places = block.head, block.head.places
    width, other, begun = _width(block, shape.sign), None, False
    readings = [lines.numbers[at] for at, _ in block.readings()]
    for at, cells, kind in block.rows:
        number = lines.numbers[at]
        named = {name: cells[place] if place < len(cells) else "" for name, place in places.items()}
        begun = begun or kind is READING
        if kind is APART and (begun or at > head.at + BELOW) and _other_header(named, block):
            other = at
        if number not in wanted or kind is APART:
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
            told = f"{len(cells)} cells under {len(head.cells)} headers ({shown((' | ' if shape.sign == WITHIN else shape.sign).join(cells))})"
            comma = "; a decimal comma needs semicolons or tabs between the columns" if shape.sign == "," else ""
            faults.add(where, f"{told}{comma}; mend the row, or choose others with rows = in its [[test]]")


def _width(block, sign):
    """Return how many cells a row may have: as many as its header, or as every reading of its block where none is parted by a comma."""
    widths = {len(cells) for _, cells in block.readings()}
    own = len(block.head.cells)
    return max(own, *widths) if len(widths) == 1 and sign != "," else own


def _other_header(named, block):
    """Say whether the named cells of a row look like headers: several texts, each another, and not the units of the block."""
    texts = {cell for cell in named.values() if cell.lower() not in MISSING}
    if len(texts) < 2 or len(texts) < len(named):
        return False
    heads = {block.head.cells[place] for place in block.head.places.values()}
    return texts != heads and not all(measure_of(text) for text in texts)


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


def _table(lines, shape, used, names, entry, wanted):
    rows = [
        (number, tuple(cells[place] for place in block.head.places.values()), shape.blocks.index(block) + 1)
        for block in used
        for at, cells in block.readings()
        if (number := lines.numbers[at]) in wanted
    ]
    head = used[0].head
    cells = (
        Cell(f"row {number}, {_column(head, name)}", cell)
        for number, named, _ in rows
        for name, cell in zip(head.places, named, strict=True)
    )
    signs = signs_of(cells, shape.sign, entry.get("decimal"), entry.get("thousands"))
    told = "run" not in names and len(shape.blocks) > 1 and any(len(b.readings()) >= CURVE for b in shape.blocks)
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
    hidden = tuple(number for number in lines.hidden if number in set(numbers))
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
        rows = listed(str(lines.numbers[block.head.at]) for block in shape.blocks)
        how = "each block is a run" if told else "they are one table"
        yield f"{len(shape.blocks)} blocks of readings below the headers in rows {rows}; {how}"
    for block in used:
        yield from block.units.notes
