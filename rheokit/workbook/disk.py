"""A small file of a workbook, read within limits and written in one step."""

import os
import stat
from contextlib import suppress
from pathlib import Path

from ..errors import DataError
from ..reading.faults import shown
from ..reading.patience import patiently

LARGEST = 500_000  # bytes


def bytes_of(path: Path, largest: int = LARGEST, what: str = "plan") -> bytes | None:
    """Return what a file holds, None where there is none; `DataError` where it cannot be read, or is longer than any of its kind [bytes]."""
    try:
        if not stat.S_ISREG(kind := os.stat(path).st_mode) and not stat.S_ISDIR(kind):
            raise DataError(f"{shown(str(path), 200)} is a device or a pipe, no file; take it away")
        with patiently(open, path, "rb") as file:
            raw = file.read(largest + 1)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise DataError(
            f"{shown(str(path), 200)}: it cannot be read ({error.strerror}); see to its permissions"
        ) from None
    if len(raw) > largest:
        raise DataError(
            f"{shown(str(path), 200)} has more than {largest} bytes: no {what} is so long; take out what is none"
        )
    return raw


def still_there(folder: Path) -> None:
    """Refuse to write into the folder of a paste that is not there any more: it is not made again.

    Raises
    ------
    DataError
        If there is none.
    """
    if not folder.is_dir():
        told = "is not there any more: it was renamed or taken away; nothing was written"
        raise DataError(f"{shown(str(folder), 200)} {told}")


def own_place(path: Path) -> Path:
    """Return where a file is written: a link is followed within its folder, and never replaced by a file.

    Raises
    ------
    DataError
        If it is a link that leads out of its folder, or to nothing.
    """
    if not path.is_symlink():
        return path
    try:
        end = path.resolve(strict=True)
    except (OSError, RuntimeError):
        end = None
    if end is None or not end.is_relative_to(path.parent.resolve()):
        told = "is a link that leads to nothing" if end is None else "is a link that leads out of its folder"
        raise DataError(
            f"{shown(str(path), 200)} {told}; nothing was written. Put the file itself into the folder, in place of the link"
        )
    return end


def write_file(path: Path, raw: bytes) -> None:
    """Write a file in one step: the new content beside it, and one renaming."""
    staged = path.with_name(f".{path.name}.new")
    try:
        with open(staged, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        patiently(os.replace, staged, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(staged)
        raise
