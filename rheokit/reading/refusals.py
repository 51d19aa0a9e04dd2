"""A place to save into, and what a disk says that refuses: always a `DataError` with the place and what to do."""

import errno
import os
import stat
from pathlib import Path

from ..errors import DataError
from .faults import shown
from .patience import is_open_elsewhere

ELSEWHERE = "name a folder in another place"
REASONS = {
    errno.ENOSPC: ("the disk is full", f"free some space, or {ELSEWHERE}"),
    getattr(errno, "EDQUOT", errno.ENOSPC): (
        "the disk, or your share of it, is full", f"free some space, or {ELSEWHERE}"
    ),
    errno.EFBIG: ("a file would be larger than this system allows", ELSEWHERE),
    errno.EACCES: ("writing there is not permitted", f"change its permissions, or {ELSEWHERE}"),
    errno.EPERM: ("writing there is not permitted", f"change its permissions, or {ELSEWHERE}"),
    errno.EROFS: ("that disk can only be read", ELSEWHERE),
    errno.ENAMETOOLONG: ("the name is too long", "name a folder with a shorter name"),
    errno.ENOENT: ("there is no such place, or it was taken away meanwhile", ELSEWHERE),
    errno.ENOTDIR: ("a part of the path is a file", ELSEWHERE),
    errno.ELOOP: ("its links lead in a circle", ELSEWHERE),
}  # fmt: skip
"""Why a disk refuses, and what to do, by the number of the error."""


def place_of(folder):
    """Return the full path of a folder to save into, if there can be one; else raise a `DataError`."""
    text = os.fspath(folder)
    try:
        os.fsencode(text)
    except UnicodeEncodeError:
        raise DataError(f"{shown(text)} holds a broken character, which no name can hold; type the name anew") from None
    if "\0" in text:
        raise DataError(f"{shown(text)} holds a zero byte, which no name can hold; type the name anew")
    if not text.strip():
        raise DataError("no folder is named to save into; name a new or an empty one")
    folder = Path(text)
    try:
        folder = Path(os.path.abspath(text))
        about = os.stat(folder)
        if not stat.S_ISDIR(about.st_mode):
            raise DataError(f"{shown(folder, 200)} is a file; name a folder")
    except (FileNotFoundError, NotADirectoryError):
        if os.path.islink(folder):
            told = "is a link to a place that is not there; take the link away, or name another folder"
            raise DataError(f"{shown(folder, 200)} {told}") from None
        if not os.path.isdir(folder.parent):
            raise DataError(f"{shown(folder.parent, 200)} is no folder; make it first, or name another") from None
    except OSError as error:
        raise refusal(error, folder) from None
    return folder


def reason(error):
    """Return in words why the system refuses, and the remedy."""
    if is_open_elsewhere(error):
        return "another program has it open", "close it there and save again"
    return REASONS.get(error.errno, (error.strerror or type(error).__name__, f"look at the disk, or {ELSEWHERE}"))


def refusal(error, folder):
    """Return what the system refuses as a `DataError`."""
    why, remedy = reason(error)
    return DataError(f"{shown(folder, 200)}: nothing was saved: {why}; {remedy}")
