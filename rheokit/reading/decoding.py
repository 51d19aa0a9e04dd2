"""The bytes of an instrument's export to text: in which encoding they stand, found by its marks, or by the words that must stand in it."""

import codecs
from typing import NamedTuple

from ..errors import DataError
from .tables import refuse_control_characters

MOSTLY = 0.5  # share of zero bytes in every second place, from which on text has two bytes a character
WESTERN = ("cp1252", "latin-1")  # Windows-1252, and where it has no such byte, Latin-1
OTHERS = ("cp1250", "cp1251", "cp932", "gb18030", "cp949", "big5")
"""Tried where words are known that must stand in the text."""
CALLED = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16 without a byte order mark",
    "utf-16-be": "UTF-16 without a byte order mark",
    "cp1252": "Windows-1252",
    "latin-1": "Latin-1",
    "cp1250": "Windows-1250",
    "cp1251": "Windows-1251",
    "cp932": "Shift-JIS",
    "gb18030": "GB 18030",
    "cp949": "Korean (Windows-949)",
    "big5": "Big5",
}
"""Encodings in words."""


class Decoded(NamedTuple):
    """A text and the name of its encoding."""

    text: str
    encoding: str


def decoded(raw, words=()):
    """Return the `Decoded` text of a file: UTF-8, UTF-16 with or without its mark, else Windows-1252; `DataError` if none.

    A file in none of the first two may be in another encoding of 8 bits: the first one in which all of the `words` stand.
    """
    found = None
    for encoding in _candidates(raw):
        try:
            text = raw.decode("utf-8-sig" if encoding == "utf-8" else encoding)
        except UnicodeDecodeError:
            continue
        eight_bits = encoding in (*WESTERN, *OTHERS)
        if not eight_bits or all(word in text for word in words):
            found = Decoded(text, CALLED[encoding])
            break
        found = found or Decoded(text, CALLED[encoding])
    if found is None:
        raise DataError("is not text in UTF-8, UTF-16 or Windows-1252; export it again as UTF-8")
    refuse_control_characters(found.text)
    return found


def _candidates(raw):
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return ("utf-16",)
    first, second = (raw[k::2].count(0) / max(len(raw[k::2]), 1) for k in (0, 1))
    if max(first, second) >= MOSTLY and not min(first, second):
        return ("utf-16-le",) if second else ("utf-16-be",)
    if b"\0" in raw:
        raise DataError("is not text (it holds a zero byte); save the sheet as CSV UTF-8 or XLSX")
    return ("utf-8", *WESTERN, *OTHERS)
