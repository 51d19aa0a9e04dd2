"""How the columns of a table are set on paper, so that none is cut off: widths, size of the letters, upright or on its side, or in parts.

All is reckoned from the advance widths of the font, before anything is set.
"""

import math
from dataclasses import dataclass

from .letters import pieces, width

UPRIGHT, ON_ITS_SIDE = 483.0, 725.0  # between the margins of A4 [pt]
SIZES = ((UPRIGHT, 8.5), (UPRIGHT, 7.5), (ON_ITS_SIDE, 8.5), (ON_ITS_SIDE, 7.5))
IN_PARTS = UPRIGHT, 7.5
PADDING = 9.0  # of a column, both sides [pt]
PROSE = 80.0  # which a column of sentences has at least; one of shorter texts half of its longest line [pt]
LONGEST = 20  # letters of a word in a cell that stay together
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
    everything = tuple(range(len(columns)))
    for room, size in SIZES:
        least = [_sized(one, size)[0] for one in needed]
        if sum(least) <= room:
            return Setting(size, room == ON_ITS_SIDE, (Part(everything, _shared(needed, everything, room, size)),))
    room, size = IN_PARTS
    parts = _parts([_sized(one, size)[0] for one in needed], room, row_names)
    return Setting(size, False, tuple(Part(part, _shared(needed, part, room, size)) for part in parts))


def is_tall(row: list[str], part: Part, size: float) -> bool:
    """Say whether a row is so high that it must be allowed to go over the end of a page."""
    lines = (
        sum(math.ceil(width(line, size) / max(space - PADDING, size)) or 1 for line in row[k].split("\n"))
        for k, space in zip(part.columns, part.widths, strict=True)
    )
    return max(lines) * size * 1.4 > TALL


def _needed(texts):
    """Return what a column needs in letters of 1 pt: (widest piece, widest line)."""
    widest = max((width(piece, 1.0, bold) for bold, piece in _pieces(texts)), default=0.0)
    line = max((width(one, 1.0, k == 0) for k, text in enumerate(texts) for one in text.split("\n")), default=0.0)
    return widest, line


def _pieces(texts):
    for k, text in enumerate(texts):
        yield from ((k == 0, part) for piece in pieces(text, LONGEST) for part in piece.split())


def _sized(needed, size):
    """Return the least width of a column, and the one at which nothing in it turns over [pt]."""
    piece, line = size * needed[0] + PADDING, size * needed[1]
    return max(piece, min(line / 2, PROSE) + PADDING), line + PADDING


def _shared(needed, part, room, size):
    """Return widths that fill the room at most: what each column needs, the rest by what it still lacks."""
    least, most = zip(*(_sized(needed[k], size) for k in part), strict=True)
    if sum(most) <= room:
        return most
    share = (room - sum(least)) / (sum(most) - sum(least))
    return tuple(low + share * (high - low) for low, high in zip(least, most, strict=True))


def _parts(least, room, row_names):
    """Return the columns of each part; the column that names the rows stands in all of them."""
    first, parts = ((0,), [[]]) if row_names else ((), [[]])
    for k in range(len(first), len(least)):
        if parts[-1] and sum(least[j] for j in (*first, *parts[-1], k)) > room:
            parts.append([])
        parts[-1].append(k)
    return [(*first, *part) for part in parts]
