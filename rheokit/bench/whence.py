"""Where a number of the apparatus of a record comes from, by what the reader of its folder noted: stated, measured by a test, or assumed."""

import re

STATED = "stated"


def read_from(test):
    """Return where a record was read from: behind its means, if it was gathered."""
    found = test.origin
    while hasattr(found, "origin"):
        found = found.origin
    return found


def measured_by(test, name):
    """Return the kind of the test that measured a number of the apparatus of a record; "" where none lent it."""
    where = f"[apparatus.{test.apparatus_name}]" if test.apparatus else "its [[test]]"
    for note in _notes(test):
        lent = re.search(rf"\b{name} of .* is not stated; .* measured by the ([^(]+?) \(", note)
        if lent and f"{name} of {where} is not stated" in note:
            return lent[1]
    return ""


def word_of(test, name):
    """Return the word for where a number of the apparatus of a record comes from: stated, measured or assumed."""
    if measured_by(test, name):
        return "measured"
    own = f"[[test]] {getattr(read_from(test), 'entry', -2) + 1}"
    for note in _notes(test):
        head, _, rest = note.partition(": ")
        if head.endswith(own) and rest.startswith(f"{name} is not stated"):
            return "assumed"
    return STATED


def _notes(test):
    return getattr(getattr(read_from(test), "bench", None), "notes", ())
