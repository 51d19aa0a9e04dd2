"""Tables of a plan parted by empty lines, as one writes them by hand."""

from ..reading.document import places_of


def parted(text: str, before: str) -> str:
    """Return a TOML text with an empty line above each table that stands right below the one before; those that did `before` stay so."""
    left = {header for _, header in _tight(before)}
    end = "\r\n" if "\r\n" in text else "\n"
    for start, header in reversed(_tight(text)):
        if header not in left:
            text = text[:start] + end + text[start:]
    return text


def _tight(text):
    """Return where a header stands right below a statement, and the header."""
    places = places_of(text)
    starts = [start for (_, end), (start, _) in zip([(0, 0), *places], places, strict=False) if 0 < start == end]
    return [(start, text[start:].partition("\n")[0].rstrip()) for start in starts]
