"""Collecting what is wrong with a folder, one line a fault, before anything is raised."""

import unicodedata
from collections import Counter

from ..errors import DataError, ReadingError

MOST_LINES = 12  # most faults shown for one file of readings; the others are counted
MOST_OF_BENCH = 60  # most faults shown for bench.toml
NO_TEXT = (
    "Cc",
    "Cs",
    "Zl",
    "Zp",
)  # categories of Unicode: control characters, halves of characters, breaks of lines and of paragraphs
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"  # which turn the direction of what follows, and so what a reader sees
JOINING = "\u200c\u200d"  # which make one sign of several, such as an emoji, or part letters


class Faults:
    """Faults found so far."""

    def __init__(self):
        self.found, self.stopped = [], set()  # files of which not all faults were looked for

    def add(self, place, words):
        """Note one fault: where, and what with its remedy."""
        self.found.append((place, words))

    def __len__(self):
        return len(self.found)

    def raise_any(self):
        """Raise one `ReadingError` with a line for each fault, if any; those beyond the most of a file are counted."""
        lines, counts = [], Counter()
        for place, words in self.found:
            file = place.split(",")[0]
            counts[file] += 1
            if counts[file] <= _most(file):
                lines.append(f"{place}: {words}")
        for file, count in counts.items():
            if (more := count - _most(file)) > 0:
                than = "more than " if file in self.stopped else ""
                lines.append(f"{file}: {than}{more} more faults; mend the first ones and read again")
        if lines:
            raise ReadingError(lines)


def unusual_in(table, place, such, faults):
    """Return the names that a table declares to be unusual, none where it does not list names, which is a fault."""
    given = table.get("unusual", [])
    if isinstance(given, list) and all(isinstance(name, str) for name in given):
        return given
    faults.add(place, f'unusual = {shown(given)} must be a list of names, such as unusual = ["{such}"]')
    return []


def _most(file):
    return MOST_OF_BENCH if file == "bench.toml" else MOST_LINES


def shown(text, longest=60):
    """Return a text from a file as it may stand in a message: quoted, short, without control characters."""
    text = str(text)
    cut = text if len(text) <= longest else text[:longest] + "…"
    return (
        "'" + "".join(c if c.isprintable() or c in JOINING else c.encode("unicode_escape").decode() for c in cut) + "'"
    )


def encoded(text):
    """Return a text as the bytes of a file; `DataError` with the line where it holds half of a character."""
    try:
        return text.encode()
    except UnicodeEncodeError as error:
        line = text[text.rfind("\n", 0, error.start) + 1 :].partition("\n")[0]
        told = "holds a broken character, which no file can hold; take it out, or type it anew"
        raise DataError(f"{shown(line)} {told}") from None


def listed(names):
    """Return names as a list in words."""
    return ", ".join(names)


def name_fault(text):
    """Return what is wrong with a name that a file gives, or nothing: all that is text may stand in it, and is shown as text."""
    if not isinstance(text, str):
        return f"must be a text in quotes, not {shown(text)}"
    if any(unicodedata.category(one) in NO_TEXT or one in TURNING for one in text):
        return f"{shown(text)} holds a line break or a control character; take it out"
    if len(text) > 200:
        return f"{shown(text)} is {len(text)} characters long; 200 at most, put the rest into note"
    return ""
