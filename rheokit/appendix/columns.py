"""How the columns of a table are set on paper, so that none is cut off: widths, size of the letters, upright or on its side, or in parts.

All is reckoned from the advance widths of the font, before anything is set.
"""

import math
from collections import Counter
from dataclasses import dataclass

from .letters import pieces, width

UPRIGHT, ON_ITS_SIDE = 483.0, 725.0  # between the margins of A4 [pt]
PADDING = 9.0  # of a column, both sides [pt]
PROSE, NARROW = (
    80.0,
    62.0,
)  # which a column of sentences has at least; one of shorter texts half of its longest line [pt]
UPRIGHT_SIZES = tuple((UPRIGHT, *one) for one in ((8.5, PROSE), (7.5, PROSE), (7.0, NARROW), (6.5, NARROW)))
SIZES = (*UPRIGHT_SIZES, (ON_ITS_SIDE, 8.5, PROSE), (ON_ITS_SIDE, 7.5, PROSE))
"""Room, size of the letters and width of a column of sentences that are tried in this order: a page that is turned leaves the one before it half empty."""
IN_PARTS = UPRIGHT, 7.5, PROSE
LONGEST = 20  # letters of a word in a cell that stay together
STEPS = 48  # in which columns are given the room that is left
TALL = 200.0  # from which height on a row may go over the end of a page [pt]


@dataclass(frozen=True)
class Part:
    """Some columns of a table side by side: which, and how wide each is [pt]."""

    columns: tuple[int, ...]
    widths: tuple[float, ...]


@dataclass(frozen=True)
class Setting:
    """Size of the letters [pt], whether the page lies on its side, and the parts, one below the other."""

    size: float
    on_its_side: bool
    parts: tuple[Part, ...]


def setting(columns: tuple[str, ...], rows: list[list[str]], row_names: bool) -> Setting:
    """Return how a table is set, headings and rows as the texts that will be shown."""
    needed = [_needed([heading, *(row[k] for row in rows)]) for k, heading in enumerate(columns)]
    lengths = _lengths(rows)
    everything = tuple(range(len(columns)))
    for room, size, prose in SIZES:
        sized = [_sized(one, size, prose) for one in needed]
        if sum(least for least, *_ in sized) <= room:
            return Setting(
                size, room == ON_ITS_SIDE, (Part(everything, _shared(sized, everything, room, lengths, size)),)
            )
    room, size, prose = IN_PARTS
    sized = [_sized(one, size, prose) for one in needed]
    parts = _parts([least for least, *_ in sized], room, row_names)
    return Setting(size, False, tuple(Part(part, _shared(sized, part, room, lengths, size)) for part in parts))


def is_tall(row: list[str], part: Part, size: float) -> bool:
    """Say whether a row is so high that it must be allowed to go over the end of a page."""
    lines = (
        sum(math.ceil(width(line, size) / max(space - PADDING, size)) or 1 for line in row[k].split("\n"))
        for k, space in zip(part.columns, part.widths, strict=True)
    )
    return max(lines) * size * 1.4 > TALL


def _needed(texts):
    """Return what a column needs in letters of 1 pt, its heading first of the texts: (widest piece, widest line of a cell, widest line)."""
    widest = max((width(piece, 1.0, bold) for bold, piece in _pieces(texts)), default=0.0)
    head, *cells = (
        max((width(one, 1.0, k == 0) for one in text.split("\n")), default=0.0) for k, text in enumerate(texts)
    )
    line = max(cells, default=0.0)
    return widest, line, max(head, line)


def _pieces(texts):
    for k, text in enumerate(texts):
        yield from ((k == 0, part) for piece in pieces(text, LONGEST) for part in piece.split())


def _sized(needed, size, prose):
    """Return the least width of a column, those at which no cell and nothing at all in it turns over [pt]."""
    piece, cell, line = (size * one + PADDING for one in needed)
    least = max(piece, min((line - PADDING) / 2, prose) + PADDING)
    return least, max(least, cell), line


def _lengths(rows):
    """Return how long the text of each cell is in one line, in letters of 1 pt, with how many rows are so."""
    return Counter(tuple(width(text.replace("\n", " "), 1.0) for text in row) for row in rows)


def _shared(sized, part, room, lengths, size):
    """Return widths that fill the room at most: what each column needs, the rest where it saves most lines, and only then to headings."""
    least, cells, lines = zip(*(sized[k] for k in part), strict=True)
    if sum(cells) > room:
        return _with_fewest_lines(
            least, cells, room, [([size * row[k] for k in part], many) for row, many in lengths.items()]
        )
    if sum(lines) > room:
        share = (room - sum(cells)) / (sum(lines) - sum(cells))
        return tuple(one + share * (other - one) for one, other in zip(cells, lines, strict=True))
    return lines


def _with_fewest_lines(least, most, room, rows):
    """Return widths between the least and the most that fill the room, given step by step to the column whose cells make rows tall."""
    widths, step = list(least), max((room - sum(least)) / STEPS, 0.0)
    for _ in range(STEPS):
        saved = [0.0] * len(widths)
        for row, many in rows:
            tall = [length / (space - PADDING) for length, space in zip(row, widths, strict=True)]
            k = max(range(len(tall)), key=tall.__getitem__)
            if tall[k] > 1:
                saved[k] += many * tall[k] / (widths[k] - PADDING)
        where = max(range(len(widths)), key=lambda k: (widths[k] < most[k], saved[k], most[k] - widths[k]))
        widths[where] += step
    return tuple(widths)


def _parts(least, room, row_names):
    """Return the columns of each part; the column that names the rows stands in all of them."""
    first, parts = ((0,), [[]]) if row_names else ((), [[]])
    for k in range(len(first), len(least)):
        if parts[-1] and sum(least[j] for j in (*first, *parts[-1], k)) > room:
            parts.append([])
        parts[-1].append(k)
    return [(*first, *part) for part in parts]
