"""Files of an appendix and of its workbook held against what a manifest lists of them."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..errors import DataError
from ..reading.faults import shown
from .archive import MANIFEST, digest
from .placing import LARGEST as LARGEST_OWN

MOST_HIDDEN = 5  # names of hidden files that are told; the others are counted


def bytes_of(path: Path, largest: int) -> bytes:
    """Return what a file holds, of `largest` bytes at most; refuse what is none."""
    if path.exists() and not path.is_file():
        raise DataError(f"{shown(str(path), 200)} is a folder, a device or a pipe, no file; take it away")
    with open(path, "rb") as opened:
        raw = opened.read(largest + 1)
    if len(raw) > largest:
        raise DataError(f"{shown(str(path), 200)} has more than {largest} bytes: no appendix has such a file")
    return raw


def own_files(place: Path, manifest: Mapping[str, Any]) -> tuple[list[str], tuple[str, ...]]:
    """Return what differs among the files of an appendix itself, with what somebody put beside them, and a note on what is hidden."""
    found, hidden, told = {}, [], []
    listed = manifest["appendix"]
    for path in sorted(place.rglob("*")):
        name = path.relative_to(place).as_posix()
        if any(one.startswith(".") for one in name.split("/")):
            hidden.append(name)
        elif path.is_dir() and not path.is_symlink():
            if name in listed or not any(path.iterdir()):
                told.append(
                    f"{shown(name, 200)} is {'a' if any(path.iterdir()) else 'an empty'} folder, and was not when it was made."
                )
        elif name in listed and not may_be_own(path):
            told.append(
                f"{shown(name, 200)} is a link, a device, a pipe or longer than any file that was written, and was not when it was made."
            )
        elif name != MANIFEST:
            found[name] = bytes_of(path, LARGEST_OWN) if may_be_own(path) else b""
    gone = {
        name: one
        for name, one in listed.items()
        if not (place / name).is_dir() and (name in found or not os.path.lexists(place / name))
    }
    own = [name for name in found if name not in listed]
    written = {name: raw for name, raw in found.items() if name in listed}
    told += same_files(gone, written, "in the folder of the appendix", "the file of the appendix")
    kinds = (("Hidden in the folder of the appendix", hidden), ("Put into the folder of the appendix by somebody", own))
    return told, tuple(_of_others(words, names) for words, names in kinds if names)


def _of_others(words, names):
    told = ", ".join(shown(one) for one in names[:MOST_HIDDEN]) + (
        f" and {len(names) - MOST_HIDDEN} more" if len(names) > MOST_HIDDEN else ""
    )
    return f"{words}, and no part of it: {told}."


def may_be_own(path: Path) -> bool:
    """Say whether a file can be one that was written: no link, device or pipe, and of no more than such a file has."""
    return not path.is_symlink() and path.is_file() and path.stat().st_size <= LARGEST_OWN


def same_files(listed: Mapping[str, Any], found: Mapping[str, bytes], where: str, what: str) -> list[str]:
    """Return in words which files differ from those that are listed; `where` they are, and `what` one of them is called."""
    told = []
    for name in sorted({*listed, *found}):
        if name not in found:
            told.append(f"{what} {shown(name, 200)} is missing.")
        elif name not in listed:
            told.append(f"{shown(name, 200)} is {where}, and was not when it was made.")
        elif digest(found[name]) != listed[name]["sha256"]:
            told.append(
                f"{what} {shown(name, 200)} is not as it was written: SHA-256 {digest(found[name])[:16]}…, and was {shown(listed[name]['sha256'][:16])[1:-1]}…."
            )
        elif listed[name].get("bytes") != len(found[name]):
            told.append(f"{what} {shown(name, 200)} has {len(found[name])} bytes, and other ones in the manifest.")
    return [f"{one[0].upper()}{one[1:]}" for one in told]
