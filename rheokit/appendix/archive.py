"""The files of a workbook that travel in its appendix, each as it was read, and what of the folder stays behind."""

import json
import os
import unicodedata
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote, unquote

from ..errors import DataError
from ..reading.faults import shown
from ..reading.files import Disk
from ..reading.tables import LARGEST_FILE
from ..workbook.plan import NAME
from ..workbook.shelf import BENCH

LARGEST_BESIDE, LARGEST_OF_ALL, MOST_BESIDE = 500_000, 1_500_000, 100
"""Bytes of a file that stands beside those that are read, of all such files, and how many of them travel."""
LONGEST_NAME, DEEPEST = 200, 8  # characters of a name, and folders in it
READ = (BENCH, NAME, "outcomes.csv")
APPENDIX, WORKBOOK = "appendix", "workbook/"
MANIFEST, WHAT = "manifest.json", "appendix by rheokit"  # and what a manifest says of itself
LARGEST = 20_000_000  # bytes of a manifest
ASCII = "".join(chr(code) for code in range(0x20, 0x7F) if chr(code) != "%")
MEDIA_TYPES = {
    ".csv": "text/csv", ".tsv": "text/tab-separated-values", ".txt": "text/plain", ".toml": "application/toml", ".json": "application/json",
    ".svg": "image/svg+xml", ".png": "image/png", ".html": "text/html", ".py": "text/x-python", ".md": "text/markdown",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip


class Archive(NamedTuple):
    """Files by their name in the folder, and in a sentence each what stays behind."""

    files: dict[str, bytes]
    left_out: tuple[str, ...]


def archive_of(book: Any) -> Archive:
    """Return the files of a workbook: those of its readings, as they were read, its plan, and small ones beside them.

    Hidden files and the folder of appendices stay behind unnamed; what is too large, or a link that leads out of the folder, by name.
    """
    read_names = _of_readings(book)
    disk, files = Disk(book.folder), {name: raw for name, raw in read_names.items() if is_safe(name)}
    left_out = [_unsafe(name) for name in read_names if name not in files]
    plan = book.plan.place
    if plan.is_file():
        files[NAME] = plan.read_bytes()
    room, count = LARGEST_OF_ALL, 0
    for name in _names(book.folder):
        if name in files or name in read_names:
            continue
        if not is_safe(name):
            left_out.append(_unsafe(name))
            continue
        read = name in READ
        try:
            raw = disk.plain(name, LARGEST_FILE if read else min(LARGEST_BESIDE, room))
        except DataError as fault:
            left_out.append(f"{shown(name, 200)}: {_why(book.folder / name, str(fault))}")
            continue
        if not read:
            count, room = count + 1, room - len(raw)
            if count > MOST_BESIDE:
                left_out.append(
                    f"{shown(name, 200)}: there are more than {MOST_BESIDE} files beside those that are read"
                )
                continue
        files[name] = raw
    return Archive(dict(sorted(files.items())), tuple(left_out))


def is_safe(name: str) -> bool:
    """Say whether the name of a file stays in the folder that it is put into, on this system."""
    parts = name.split("/")
    unprintable = any(unicodedata.category(one) in ("Cc", "Cs") for one in name)  # and what is no text at all
    leads_out = any(one in ("", ".", "..") for one in parts) or "\\" in name or unprintable
    of_windows = os.name == "nt" and (
        any(one in name for one in ':*?"<>|') or any(one.endswith((" ", ".")) for one in parts)
    )
    return not leads_out and not of_windows and len(name) <= LONGEST_NAME and len(parts) <= DEEPEST


def attached_name(name: str) -> str:
    """Return the name under which a file of the workbook is attached: other letters than those of ASCII as in an address, which every reader of PDF takes."""
    return WORKBOOK + quote(name, safe=ASCII)


def name_of_attached(attached: str) -> str:
    """Return the name in the workbook of a file that is attached."""
    return unquote(attached.removeprefix(WORKBOOK), errors="strict")


def digest(raw: bytes) -> str:
    """Return the SHA-256 of the content of a file."""
    return sha256(raw).hexdigest()


def listed(files: dict[str, bytes]) -> dict[str, dict[str, Any]]:
    """Return size [bytes] and SHA-256 of each file, by its name."""
    return {name: {"bytes": len(raw), "sha256": digest(raw)} for name, raw in files.items()}


def media_type(name: str) -> str:
    """Return what a file is, by the end of its name."""
    return MEDIA_TYPES.get(Path(name).suffix.lower(), "application/octet-stream")


def _of_readings(book):
    try:
        return getattr(book.bench.origin, "files", {})
    except DataError:  # none can be read, which the appendix says
        return {}


def _names(folder):
    """Return the names of all files of a folder, hidden ones and those of an appendix left out; no link to a folder is followed."""
    for place, folders, names in os.walk(folder):
        within = Path(place).relative_to(folder)
        folders[:] = sorted(
            one
            for one in folders
            if not one.startswith(".")
            and not (within == Path() and one == APPENDIX)
            and not is_appendix(Path(place, one))
        )
        links = [one for one in folders if Path(place, one).is_symlink()]  # which are not followed
        yield from ((within / name).as_posix() for name in sorted([*names, *links]) if not name.startswith("."))


def is_appendix(folder: Path) -> bool:
    """Say whether a folder holds an appendix, by what its manifest says of itself."""
    place = folder / MANIFEST
    try:
        if not place.is_file():
            return False
        with open(place, "rb") as opened:
            found = json.loads(opened.read(LARGEST))
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(found, dict) and found.get("what") == WHAT


def _unsafe(name):
    return f"{shown(name, 200)}: not every system takes its name, or it lies too deep"


def _why(path, fault):
    try:
        size = path.stat().st_size
    except OSError:
        return fault
    if size > LARGEST_BESIDE and "link" not in fault:
        return f"it has {size} bytes; a file that is not read travels up to {LARGEST_BESIDE} bytes"
    return (
        f"it has no room: {LARGEST_OF_ALL} bytes of files that are not read travel at most"
        if "MB at most" in fault
        else fault
    )
