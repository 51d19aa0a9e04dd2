"""A save that was cut off, as a folder then holds it: what still waits, and files that do not belong together.

A save first puts every new file beside the old ones, under a name that no reader looks at (``.0.writing``, ``.1.writing``, ...), then a
list of them, `JOURNAL`, whose appearance is the one moment at which the save is decided. Only then is each file moved to its
place, and the list taken away. A program that is killed before that moment has changed nothing; killed after it, the list says
what still waits, so a reader takes that in place of the old file (`waiting`) and changes nothing, and the next save ends it.

The list holds the SHA-256 of every file before and after. A file that is neither was changed by somebody since, and one that is
still old while its new one is lost would be read together with new ones: both are refused.
"""

import hashlib
import json
from pathlib import PurePosixPath
from typing import NamedTuple

from ..errors import DataError

JOURNAL = "unfinished.save"  # name of the list; it is no hidden file, so that it is copied along with the others
LARGEST_JOURNAL = 500_000  # most bytes of it
CUT_OFF = "the last save of this folder was cut off"
REMEDY = f"compare the files by eye, then delete {JOURNAL} to keep those that have their proper names"


class Line(NamedTuple):
    """A file of the list: where its new content waits, and the digests of the old one (None if there was none) and the new."""

    file: str
    staged: str
    old: str | None
    new: str


def staged_name(number):
    """Return the name under which the new content of a file waits."""
    return f".{number}.writing"


def is_left_over(name):
    """Say whether a name is one that only a save gives, for content that waits."""
    return name.startswith(".") and name.endswith(".writing")


def digest(raw):
    """Return the SHA-256 of a file as text, None for no file."""
    return None if raw is None else hashlib.sha256(raw).hexdigest()


def as_bytes(lines):
    """Return the list of a save as its file holds it."""
    return json.dumps([[line.file, line.old, line.new] for line in lines], indent=1).encode()


def lines_of(raw):
    """Return the lines of a list; `DataError` if it is no such list."""
    try:
        rows = json.loads(raw.decode())
        names = [row[0] for row in rows]
        if isinstance(rows, list) and len(set(names)) == len(names) and all(_is_line(*row) for row in rows):
            return [Line(name, staged_name(k), old, new) for k, (name, old, new) in enumerate(rows)]
    except (ValueError, TypeError, RecursionError):
        pass
    raise DataError(f"{JOURNAL}, the list of a save that was cut off, cannot be read; {REMEDY}")


def _is_line(name, old, new):
    return is_inside(name) and isinstance(old, str | None) and isinstance(new, str)


def is_inside(name):
    """Say whether a name is the plain one of a file inside a folder, without .., drive or leading /."""
    path = PurePosixPath(name)
    leads_out = path.is_absolute() or ".." in path.parts or set(name) & set("\\:\0")
    return not leads_out and name == str(path) != "."


def waiting(raw, read):
    """Return for each file of a list whose new content still waits the name that it waits under.

    `read` takes the name of a file of the folder, and returns its bytes, or None where there is none. `DataError` if the files
    do not belong together.
    """
    found = {}
    for line in lines_of(raw):
        here = digest(read(line.file))
        if here == line.new:
            continue
        if digest(read(line.staged)) != line.new:
            told = f"the new {line.file} is lost: new and old files would be read together"
            raise DataError(f"{CUT_OFF}, and {told}; {REMEDY}, and save again what is missing")
        if here is not None and here != line.old:
            told = f"{line.file} was changed by hand since"
            other = f"or move {line.file} elsewhere to take the one that was being saved"
            raise DataError(f"{CUT_OFF}, and {told}; {REMEDY}, {other}")
        found[line.file] = line.staged
    return found
