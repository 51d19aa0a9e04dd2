"""Which letters a page can show: what no font has, or what would hide or turn a line, is named in its place, ⟨U+1F9EA TEST TUBE⟩.

The fonts of the PDF are those in the folder `fonts`, on every machine.
"""

import re
import unicodedata
from functools import cache
from pathlib import Path

FONTS, FAMILY = Path(__file__).with_name("fonts"), "DejaVu Sans"
PIECE = 16  # letters of a word that is too long
UNUSUAL = re.compile(r"[^\n\t\x20-\x7e]")
TURNING = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")  # marks that turn the direction of what follows
FILLER = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u3164\ufe00-\ufe0f\uffa0\ufeff\U000e0000-\U000e0fff]"
)  # which show nothing


def named(character: str) -> str:
    """Return what stands for a character that cannot be shown: its number, and its name where it has one."""
    name = unicodedata.name(character, "")
    return f"⟨U+{ord(character):04X}{name and f' {name}'}⟩"


def visible(text: str) -> str:
    """Return a text in which control characters, halves of characters and marks of direction are named: any page can show it."""
    return UNUSUAL.sub(lambda found: _visible(found.group()), text.replace("\r\n", "\n"))


def _visible(character):
    hidden = unicodedata.category(character) in (
        "Cc",
        "Cs",
        "Cn",
        "Co",
        "Zl",
        "Zp",
    )  # it shows nothing and does something, or is none at all
    return named(character) if hidden or TURNING.match(character) else character


def in_font(text: str) -> str:
    """Return a text in which all is named that the font of the PDF has no letter for."""
    return UNUSUAL.sub(lambda found: _in_font(found.group()), visible(text))


def _in_font(character):
    return character if ord(character) in _letters() and not FILLER.match(character) else named(character)


@cache
def _font(name):
    from fontTools.ttLib import TTFont

    return TTFont(FONTS / name, lazy=True)


@cache
def _letters():
    """Return the characters that both fonts have."""
    return _font("DejaVuSans.ttf").getBestCmap().keys() & _font("DejaVuSans-Bold.ttf").getBestCmap().keys()


@cache
def _advances(bold):
    """Return the width of each character of a font, as a share of its size."""
    font = _font("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
    widths, per_em = font["hmtx"], font["head"].unitsPerEm
    return {code: widths[glyph][0] / per_em for code, glyph in font.getBestCmap().items()}


def width(text: str, size: float, bold: bool = False) -> float:
    """Return how wide a text is set on one line [pt], in letters of a size [pt]; 2 % wider, for what shaping adds."""
    advances = _advances(bold)
    return 1.02 * size * sum(advances.get(ord(one), 1.0) for one in text)


def pieces(text: str, longest: int) -> list[str]:
    """Return a text cut between which a line may end: words longer than some characters come apart after a hyphen, else in pieces of `PIECE`."""
    found = [""]
    for word in re.split(r"(\s+)", text):
        if len(word) <= longest or word.isspace():
            found[-1] += word
            continue
        for k, part in enumerate(_parted(word, longest)):
            if k == 0 or unicodedata.combining(part[0]):
                found[-1] += part
            else:
                found.append(part)
    return found


def _parted(word, longest):
    """Return the parts of a word between which it comes apart: after its hyphens, where no part is longer than a word may be."""
    parts = re.findall("[^-]*-+|[^-]+", word)
    if max(map(len, parts)) <= longest:
        return parts
    return [word[place : place + PIECE] for place in range(0, len(word), PIECE)]
