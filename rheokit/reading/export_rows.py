"""The rows below a header row of an instrument's export: which are readings, which are none, and which cannot be told.

Only the cells under the named headers say whether a row is a reading. A row that holds digits there and is none is a fault, unless it is
of another table, which its own headers tell, or leads up to the next header of this one.
"""

import re

from .export_heads import BELOW, MISSING
from .export_numbers import TROUBLE, looks_like_number
from .export_units import measure_of, splits, sure_unit

READING, APART, HOLE, OTHER, LABELLED = "reading", "apart", "hole", "other", "labelled"
UNITS, DOUBT, LEADS = "units", "doubt", "leads"
NUMBER, NOTHING, MARKED, UNIT, WORD, WORD_WITH_DIGIT = range(6)
SUMMARIES = {
    *("mean", "average", "avg", "median", "sd", "std", "stdev", "std dev", "standard deviation", "min", "max"),
    *("minimum", "maximum", "sum", "total", "mittelwert", "mittel", "durchschnitt", "standardabweichung", "summe"),
    *("moyenne", "écart-type", "médiane", "media", "promedio", "desviación estándar", "média", "gemiddelde"),
    *("średnia", "среднее", "平均", "平均値", "平均值", "標準偏差", "标准差", "평균", "표준편차"),
}
"""Words before numbers that sum up the rows above; common words, from memory."""


def rows_below(lines, sign, head, stop):
    """Return place, cells and kind of each row of a block."""
    found, kind, begun = [], APART, False
    for at in range(head.at + 1, stop):
        cells = lines.cells(at, sign)
        if kind is not OTHER:
            kind = kind_of(head, cells)
            begun = begun or kind is READING
            if kind is WORD:
                gap = bool(found) and (found[-1][2] is APART or lines.numbers[at] > lines.numbers[at - 1] + 1)
                kind = _of_words(lines, sign, head, at, cells, stop, begun, gap)
        found.append((at, cells, kind))
    _tell_labelled(lines, head, found, stop < len(lines.texts))
    return found


def kind_of(head, cells):
    """Return whether the cells of a row are a reading, have a hole among the named ones, or hold units, words or nothing there."""
    named = named_cells(head, cells)
    if all(looks_like_number(cell) or cell[:1] == TROUBLE for cell in named):
        return READING
    senses = {sense_of(cell) for cell in named}
    if senses & {NUMBER, MARKED}:
        return HOLE
    if senses & {WORD, WORD_WITH_DIGIT}:
        return WORD
    return UNITS if UNIT in senses else APART


def named_cells(head, cells):
    """Return the cells of a row that stand under the named headers, "" where it is too short."""
    return [cells[place] if place < len(cells) else "" for place in head.places.values()]


def sense_of(cell):
    """Return what a cell holds: a number, nothing, a number that something marks, a unit, or words."""
    if looks_like_number(cell) or cell[:1] == TROUBLE:
        return NUMBER
    first = next(filter(str.isalnum, cell), "")
    if cell.lower() in MISSING or not first:
        return NOTHING
    if re.fullmatch(r"\[[^\[\]]*\]", cell) or measure_of(cell):
        return UNIT
    if first.isdigit():
        return MARKED
    return WORD_WITH_DIGIT if any(map(str.isdigit, cell)) else WORD


# --- rows of words --------------------------------------------------------------------------------------------------


def _of_words(lines, sign, head, at, cells, stop, begun, gap):
    """Return what a row is that holds words and no number under the names: a remark, another header, or perhaps one."""
    named = named_cells(head, cells)
    own_units = _has_own_units(named)
    if not begun and at <= head.at + BELOW and not own_units:  # a further line of the header
        return APART
    below = next((row for row in _following(lines, sign, at, stop) if kind_of(head, row) not in (UNITS, APART)), ())
    headed = all(k < len(cells) and cells[k] for k, cell in enumerate(below) if looks_like_number(cell))
    filled = all(sense_of(cell) not in (NOTHING, NUMBER) for cell in named)
    units = next(_following(lines, sign, at, stop), ())
    if headed and (own_units or (filled and sum(map(bool, map(measure_of, units))) >= len(head.places))):
        return OTHER
    width = _width(cells)
    if headed and gap and filled and width > 1 and width != _width(head.cells) and width == _width(below):
        return OTHER
    if all(sense_of(cell) == WORD_WITH_DIGIT for cell in named):
        return HOLE
    same = len(named) > 1 and len({cell.lower() for cell in named}) == 1  # such as "overload" under each name
    return DOUBT if filled and not same else APART


def _has_own_units(named):
    """Say whether cells are headers with units: words with one in brackets, or all of them with one in another way."""
    words = [cell for cell in named if sense_of(cell) in (WORD, WORD_WITH_DIGIT)]
    if any(re.fullmatch(r".*\w.*\[[^\[\]]+\]", cell, re.DOTALL) or sure_unit(cell) for cell in words):
        return True
    return all(any(not re.search(r"\d", said) for said, _ in splits(cell)) for cell in words)


def _following(lines, sign, at, stop):
    """Yield the cells of the next rows of a block."""
    for later in range(at + 1, min(stop, at + 1 + 2 * BELOW)):
        yield lines.cells(later, sign)


def _width(cells):
    """Return how many cells a row has up to the last one that is filled."""
    return max((k for k, cell in enumerate(cells, 1) if cell), default=0)


# --- rows with a label ----------------------------------------------------------------------------------------------


def label_of(head, cells, first):
    """Return the words with which a row begins where the first reading begins with a number, or that sum up; "" where none do."""
    place = next((k for k, cell in enumerate(cells) if cell), 0)
    label = cells[place] if cells and place not in head.places.values() else ""
    if sense_of(label) is not WORD:
        return ""
    other = place < len(first) and (looks_like_number(first[place]) or not first[place])
    return label if other or sums_up(label) else ""


def is_title(label):
    """Say whether a label names what stands behind it, as in ``Points: 30``: no reading begins so."""
    return label.rstrip().endswith(":")


def sums_up(label):
    """Say whether a label is a word for a summary of the rows above."""
    return label.casefold().strip(" .:") in SUMMARIES


def _tell_labelled(lines, head, found, leads):
    """Mark rows that words at their begin tell from readings, and those that lead up to the next header where one `leads`."""
    first = next((cells for _, cells, kind in found if kind is READING), ())
    labels = {k: label_of(head, cells, first) for k, (_, cells, kind) in enumerate(found) if kind in (READING, HOLE)}
    last = max((k for k, label in labels.items() if not label and found[k][2] is READING), default=-1)
    apart = last < 0
    for k, (at, cells, kind) in enumerate(found):
        if k > last:
            apart = apart or kind in (APART, DOUBT) or lines.numbers[at] > lines.numbers[at - 1] + 1
        before, label = leads and k > last, labels.get(k, "")
        if before and is_title(label):
            found[k] = (at, cells, LEADS)
        elif label and kind is READING and (sums_up(label) or before):
            found[k] = (at, cells, LEADS if before and apart else LABELLED)
        elif kind is HOLE and before and apart and _may_lead(head, cells):
            found[k] = (at, cells, LEADS)


def _may_lead(head, cells):
    """Say whether a row that holds digits under a name may belong to what stands above a header: it has words, or a hole."""
    senses = {sense_of(cell) for cell in named_cells(head, cells)}
    begins = next(filter(None, cells), "")
    return bool(senses - {NUMBER, MARKED}) or sense_of(begins) in (WORD, WORD_WITH_DIGIT)
