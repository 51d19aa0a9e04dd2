"""The notebooks that came in the package, copied to where they are used; never over what was changed there."""

import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from ..errors import DataError
from ..reading.patience import patiently
from ..workbook import places

NOTED = ".as-copied.json"  # among the copies: what each of them held when it was written


@dataclass(frozen=True)
class Brought:
    """The names of the notebooks that were copied, and of those that were changed there and differ from what came."""

    copied: tuple[str, ...]
    kept: tuple[str, ...]


def bring(source: Path, target: Path) -> Brought:
    """Copy notebooks into a folder: those that are missing there, or still as they were copied before.

    Raises
    ------
    DataError
        If the folder cannot be written.
    """
    try:
        target.mkdir(parents=True, exist_ok=True)
        noted = _noted(target)
        copied, kept = [], []
        for path in sorted(source.glob("*.ipynb")):
            name, there = path.name, target / path.name
            comes, stands = told_by(path.read_bytes()), told_by(there.read_bytes()) if there.exists() else None
            if stands not in (None, comes, noted.get(name)):
                if comes != noted.get(name):
                    kept.append(name)
                continue
            if stands != comes:
                _write(there, path.read_bytes())
                copied.append(name)
            noted[name] = comes
        if noted != _noted(target):
            _write(target / NOTED, json.dumps(noted, indent=1).encode())
    except OSError as error:
        place = error.filename or target
        raise DataError(
            f"{str(place)!r}: the notebooks cannot be copied there: {error.strerror or error}; see to its permissions"
            f"{'' if places.is_clone() else ', or name another folder: rheokit open FOLDER'}."
        ) from None
    return Brought(tuple(copied), tuple(kept))


def told_by(raw: bytes) -> str:
    """Return a digest of what a notebook says: its text, code and results; not what JupyterLab notes as it opens one."""
    with suppress(ValueError, KeyError, TypeError, AttributeError):
        cells = json.loads(raw)["cells"]
        raw = json.dumps([list(_said(cell)) for cell in cells]).encode()
    return hashlib.sha256(raw).hexdigest()


def _said(cell) -> Iterator[str]:
    yield cell["cell_type"]
    yield "".join(cell["source"])
    yield json.dumps(cell.get("outputs", []), sort_keys=True)


def _noted(target):
    """Return the digests of the copies by name; none where nothing readable is noted, so that every notebook counts as changed."""
    with suppress(OSError, ValueError):
        noted = json.loads((target / NOTED).read_bytes())
        if isinstance(noted, dict):
            return noted
    return {}


def _write(path, raw):
    beside = path.with_name(f"{path.name}.new")
    beside.write_bytes(raw)
    patiently(os.replace, beside, path)
