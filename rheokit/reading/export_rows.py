"""The rows below a header row of an instrument's export: which are readings, which stand apart, which are of another table."""

from .export_heads import BELOW, MISSING
from .export_numbers import TROUBLE, looks_like_number
from .export_units import measure_of

READING, APART, HOLE, OTHER, LABELLED = "reading", "apart", "hole", "other", "labelled"
EDGE = 5  # rows at the end of a block among which those with words for numbers are no readings, such as "Mean" or "Interval 2"


def rows_below(lines, sign, head, stop):
    """Return place, cells and kind of each row of a block."""
    found, kind = [], APART
    for at in range(head.at + 1, stop):
        cells = lines.cells(at, sign)
        kind = OTHER if kind is OTHER else kind_of(head, cells)
        if kind is APART and found and _begins_another(lines, sign, head, at, cells, stop):
            kind = OTHER
        found.append((at, cells, kind))
    _tell_labelled(found, head)
    last = max((k for k, row in enumerate(found) if row[2] is READING), default=-1)
    after_gap = last < 0
    for k in range(last + 1, len(found)):  # what stands apart below the last readings belongs to what follows
        at, cells, kind = found[k]
        after_gap = after_gap or kind in (APART, LABELLED) or lines.numbers[at] > lines.numbers[at - 1] + 1
        if kind is HOLE and after_gap:
            found[k] = (at, cells, APART)
    return found


def _tell_labelled(found, head):
    """Take rows at the end of a block for no readings where words stand in a column in which the first reading has a number."""
    first = next((cells for _, cells, kind in found if kind is READING), ())
    numeric = {k for k, cell in enumerate(first) if looks_like_number(cell)} - {*head.places.values()}
    for k in range(max(len(found) - EDGE, 0), len(found)):
        at, cells, kind = found[k]
        words = [cells[place] for place in numeric if place < len(cells)]
        if kind is READING and any(not looks_like_number(cell) and cell.lower() not in MISSING for cell in words):
            found[k] = (at, cells, LABELLED)


def kind_of(head, cells):
    """Return whether the cells of a row are a reading, have a hole among the named ones, or hold no number there."""
    places = head.places.values()
    named = [cells[place] if place < len(cells) else "" for place in places]
    count = sum(looks_like_number(cell) or cell[:1] == TROUBLE for cell in named)
    return READING if count == len(named) else HOLE if count else APART


def _begins_another(lines, sign, head, at, cells, stop):
    """Say whether a row is the header of another table: other words under the names, and apart from what is above or with units below."""
    if at <= head.at + BELOW or not other_words(head, cells):
        return False
    apart = lines.numbers[at] > lines.numbers[at - 1] + 1 or kind_of(head, lines.cells(at - 1, sign)) is APART
    below = lines.cells(at + 1, sign) if at + 1 < stop else ()
    return apart or sum(bool(measure_of(cell)) for cell in below) >= len(head.places)


def other_words(head, cells):
    """Say whether the named cells of a row are words, each another, that are neither its headers nor units."""
    texts = {cells[place] for place in head.places.values() if place < len(cells)}
    if len(texts) < max(2, len(head.places)) or any(text.lower() in MISSING for text in texts):
        return False
    return texts != {head.cells[place] for place in head.places.values()} and not all(map(measure_of, texts))
