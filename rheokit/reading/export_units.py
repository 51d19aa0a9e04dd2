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
_SPELT = {"Pas": "Pa s", "mPas": "mPa s", "Nm": "N m", "mNm": "mN m", "µNm": "µN m", "μNm": "μN m"}
"""Products that instruments write without a sign between."""


def plain_unit(text):
    """Return a unit as `units.unit_scale` reads it: without brackets, raised digits, and signs of typesetting."""
    plain = unicodedata.normalize("NFKC", text).strip()
    plain = re.sub(r"^[\[(](.*)[\])]$", r"\1", plain, flags=re.DOTALL)
    plain = re.sub(r"[\\${}]", "", plain).replace("−", "-").replace("–", "-").replace("\u2011", "-")
    plain = re.sub(r"\^?\((-?[0-9])\)", r"^\1", plain).replace("**", "^").strip()
    plain = re.sub(r"^/ ?(?=[A-Za-z])", "1/", plain)
    return _SPELT.get(plain, plain)


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
    ):
        if found := [place for place, cell in enumerate(cells) if cell and says(cell)]:
            return found
    return []


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
