"""A small file of a workbook, read within limits and written in one step."""

import os
from contextlib import suppress
from pathlib import Path

from ..errors import DataError
from ..reading.faults import shown
from ..reading.patience import patiently

LARGEST = 500_000  # bytes


def bytes_of(path: Path, largest: int = LARGEST, what: str = "plan") -> bytes | None:
    """Return what a file holds, None where there is none; `DataError` where it cannot be read, or is longer than any of its kind [bytes]."""
    try:
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
