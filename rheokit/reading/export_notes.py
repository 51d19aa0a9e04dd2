"""What is told of an instrument's export that was read: how it was taken, and every row and column that was passed over."""

from .choosing import in_words, ranges
from .export_rows import APART, DOUBT, LEADS, OTHER, READING, label_of, named_cells
from .faults import listed, shown

SHOWN = 8  # columns passed over that a note names


def notes_of(lines, shape, used, signs, told):
    """Yield in words what was taken how, and what was passed over."""
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
    for block in [*used, *shape.rest]:
        yield from _passed_over(lines, block)
    if len(shape.blocks) > 1:
        rows = in_words([lines.numbers[block.head.at] for block in shape.blocks])
        how = "each block is a run" if told else "they are one table, since none has three readings"
        yield f"{len(shape.blocks)} blocks of readings below the headers in {rows}; {how}"
    for block in used:
        yield from block.units.notes


def _passed_over(lines, block):
    """Yield which rows of a block were passed over, and why."""
    readings = block.readings()
    last, first = (readings[-1][0], readings[0][1]) if readings else (-1, ())
    numbers = {kind: [lines.numbers[at] for at, _, one in block.rows if one is kind] for kind in (OTHER, LEADS)}
    between = [
        lines.numbers[at]
        for at, cells, kind in block.rows
        if kind in (APART, DOUBT) and any(cells) and (at < last or _holds_digits(block.head, cells))
    ]
    if between:
        yield f"passed over, since nothing was read there: {in_words(between)}"
    if leads := numbers[LEADS]:
        told = "passed over, since they lead up to the next headers, apart from the readings"
        yield f"{told}: row{'s' * (len(leads) > 1)} {ranges(leads)}"
    if other := numbers[OTHER]:
        told = f"another table begins in row {other[0]}, with other headers, and was passed over"
        yield f"{told}: row{'s' * (len(other) > 1)} {ranges(other)}"
    labelled = [
        lines.numbers[at] for at, cells, kind in block.rows if kind is READING and label_of(block.head, cells, first)
    ]
    if labelled:
        yield f"read as the others are, though words stand before the numbers: {in_words(labelled)}"


def _holds_digits(head, cells):
    return any(any(map(str.isdigit, cell)) for cell in named_cells(head, cells))
