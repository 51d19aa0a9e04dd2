"""The header of an instrument's export to words and unit, in whichever of the usual ways the unit is written."""

import re
import unicodedata
from functools import lru_cache

from ..errors import DataError
from ..nomenclature import MEASURES
from ..units import LONGEST_UNIT, unit_scale

_INSIDE = "[^\\[\\]()\u3010\u3011\u3014\u3015]*"
_BRACKETED = re.compile(
    f"(.*?)[\\s_]*[\\[(\u3010\u3014]\\s*({_INSIDE}(?:\\([^()]*\\))?{_INSIDE}?)\\s*[\\])\u3011\u3015]", re.DOTALL
)
"""Words and unit of a header with brackets, those of Chinese and Japanese among them."""
_BEHIND = (
    re.compile(r"(.*?)[\s_]+(?:in|en|em|w)\s+(\S.*)", re.DOTALL | re.IGNORECASE),  # English, German, Romance, Polish
    re.compile(r"(.*?)\s*[,;:]\s*(\S[^,;:]*)", re.DOTALL),
    re.compile(r"(.*?)\s*/\s*(\S.*)", re.DOTALL),
    re.compile(r"(.*?)[\s_]+(\S+)", re.DOTALL),
)
"""Words and unit of a header without brackets, the surest way first."""


def plain_unit(text):
    """Return a unit as `units.unit_scale` reads it: without brackets, raised digits, and signs of typesetting."""
    plain = unicodedata.normalize("NFKC", text).strip()
    plain = re.sub(r"^[\[(](.*)[\])]$", r"\1", plain, flags=re.DOTALL)
    plain = re.sub(r"[\\${}]", "", plain).replace("−", "-").replace("–", "-").replace("\u2011", "-")
    plain = re.sub(r"\^?\((-?[0-9])\)", r"^\1", plain).replace("**", "^").strip()
    return re.sub(r"^/ ?(?=[A-Za-z])", "1/", plain)


@lru_cache(maxsize=4096)
def measure_of(unit):
    """Return the unit of SI that a unit measures the same as, "" for what is no unit of a bench."""
    plain = plain_unit(unit)
    if not plain or len(plain) > LONGEST_UNIT or plain in ("1", "none"):
        return ""
    for si_unit in MEASURES:
        try:
            unit_scale(plain, si_unit)
        except DataError:
            continue
        return si_unit
    return ""


def fits(unit, si_unit):
    """Say whether a unit is one of a quantity."""
    try:
        unit_scale(plain_unit(unit), si_unit)
    except DataError:
        return False
    return True


def same_unit(one, other, si_unit):
    """Say whether two units of a quantity are one, however they are written; of texts that are none, whether they are equal."""
    one, other = plain_unit(one), plain_unit(other)
    if one == other or not (fits(one, si_unit) and fits(other, si_unit)):
        return one == other
    return unit_scale(one, si_unit)[1:] == unit_scale(other, si_unit)[1:]


@lru_cache(maxsize=4096)
def splits(header):
    """Return all (words, unit) that a header can be read as, the surest first, as a tuple; empty where it has no unit."""
    text = unicodedata.normalize("NFKC", header).strip()
    found = []
    if bracketed := _BRACKETED.fullmatch(text):
        found.append(bracketed.groups())
    else:
        found += [parted.groups() for way in _BEHIND if (parted := way.fullmatch(text))]
    return tuple((words.strip(), unit) for words, unit in found if words.strip() and measure_of(unit))


def sure_unit(header):
    """Return the unit that a header holds in brackets or behind "in"; "" where there is none."""
    plain = unicodedata.normalize("NFKC", header).strip()
    marked = _BRACKETED.fullmatch(plain) or _BEHIND[0].fullmatch(plain)
    return marked[2] if marked and measure_of(marked[2]) else ""


def strange_unit(header, si_unit):
    """Return what stands in brackets where a unit should and is none of the quantity; "" where nothing does that looks like one."""
    found = _BRACKETED.fullmatch(unicodedata.normalize("NFKC", header).strip())
    if not found or not found[1].strip() or fits(found[2], si_unit):
        return ""
    return found[2] if header.rstrip().endswith(("]", "\u3011")) or re.search(r"[0-9/°%]", found[2]) else ""


def unit_in(header, si_unit):
    """Return the unit that a header holds, "" where it holds none.

    One in brackets or behind "in" is it, whether it fits the quantity or not; what stands otherwise is one only if it fits.
    """
    return sure_unit(header) or next((unit for _, unit in splits(header) if fits(unit, si_unit)), "")


@lru_cache(maxsize=4096)
def folded(text):
    """Return a text without what does not count when headers are compared: capitals, blanks, quotes, colons, widths of letters."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"[\s\"'#:]+", "", plain)


def places_of(name, cells):
    """Return the places of the cells of a header row that a name in bench.toml means, the surest sense of it alone."""
    wanted, own = name.strip(), folded(name)
    for says in (
        lambda cell: cell == wanted,
        lambda cell: folded(cell) == own,
        lambda cell: any(folded(words) == own for words, _ in splits(cell)),
        lambda cell: _with_own_unit(name, cell),
        lambda cell: bool(found := _BRACKETED.fullmatch(cell)) and not splits(cell) and folded(found[1]) == own,
    ):
        if found := [place for place, cell in enumerate(cells) if cell and says(cell)]:
            exact = [place for place in found if _words(cells[place]) & _words(name)]
            return exact if len(found) > 1 and exact else found
    return []


def _words(header):
    """Return the words that a header can have, with their capitals."""
    return {"".join(words.split()) for words in (header, *(words for words, _ in splits(header)))}


def _with_own_unit(name, cell):
    """Say whether a name that brings its unit means a cell: one without a unit, or with the same."""
    theirs = splits(cell)
    for words, unit in splits(name):
        if folded(words) == folded(cell):
            return True
        if any(folded(w) == folded(words) and plain_unit(u) == plain_unit(unit) for w, u in theirs):
            return True
    return False


def senses_of(name):
    """Return the texts, folded, of which a line must hold one if it holds a name."""
    return {folded(name), *(folded(words) for words, _ in splits(name))}
