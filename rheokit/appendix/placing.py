"""The files of an appendix put into its folder: all of them or none.

They are written into a folder beside the old appendix and take its place by renaming, so that a run that fails leaves the old one whole. What in the
old folder is not as rheokit wrote it stays, under another name where a new file has its own.
"""

import os
import shutil
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from ..errors import DataError
from ..reading.faults import shown
from ..reading.locking import alone
from ..reading.patience import patiently
from ..reading.refusals import refusal
from ..workbook.disk import write_file
from . import manifest as manifests
from .archive import digest, is_appendix
from .unpacking import unpacked

MANIFEST, LARGEST = manifests.NAME, 100_000_000  # bytes of a file of an appendix


class NotWritten(DataError):
    """The disk refuses an appendix; what stood there stands there still."""


def refuse_foreign(target: Path, own: Iterable[Path]) -> None:
    """Refuse the own folders of a workbook, those above them, and one that holds something and no appendix."""
    if any(target in (one, *one.parents) for one in (folder.resolve() for folder in own)):
        raise DataError(
            f"{shown(str(target), 200)} is the folder of the workbook, or one above it; nothing was written. Name a folder of its own with --out"
        )
    if target.is_dir() and any(target.iterdir()) and not is_appendix(target):
        why = "is none that rheokit wrote" if os.path.lexists(target / MANIFEST) else "is missing"
        raise DataError(
            f"{shown(str(target), 200)} holds files and no appendix ({MANIFEST} {why}); nothing was written. Name another folder with --out, or "
            "move them elsewhere"
        )


def beside(target: Path, ending: str) -> Path:
    """Return the folder beside that of an appendix in which the new one is made, or the old one waits until the new one stands."""
    return target.with_name(f".{target.name}.rheokit-{ending}")


def put(files: Mapping[str, bytes], target: Path) -> tuple[str, ...]:
    """Put files in the place of an old appendix; return what is to be told of what was in it.

    Raises
    ------
    NotWritten
        If the disk refuses them, or a pipe or device stands in the old folder; nothing has changed then.
    """
    new, old = beside(target, "new"), beside(target, "old")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with alone(target.parent):
            if old.is_dir() and not target.exists():  # a run that ended in between
                patiently(os.rename, old, target)
            for one in (new, old):
                _clear(one)
            new.mkdir()
            try:
                for name, raw in files.items():
                    (new / name).parent.mkdir(exist_ok=True)
                    write_file(new / name, raw)
                told = _carried(target, new)
                if target.is_dir():
                    patiently(os.rename, target, old)
                try:
                    patiently(os.rename, new, target)
                except BaseException:
                    if old.is_dir():
                        os.rename(old, target)
                    raise
            finally:
                _clear(new)
            with suppress(OSError):  # what is left of it goes with the next appendix
                _clear(old)
    except OSError as error:
        raise NotWritten(str(refusal(error, target))) from None
    return told


def _clear(folder):
    """Take away a folder of a run before, if there is one."""
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


def _carried(target, new):
    """Carry over what in the old folder is not as rheokit wrote it; return in words what that was."""
    if not target.is_dir():
        return ()
    told: list[str] = []
    _carry(target, new, _known(target), "", told)
    return tuple(told)


def _carry(old, new, known, above, told):
    """Carry over what a folder of the old appendix holds beside what is known by its name and SHA-256."""
    for path in sorted(old.iterdir()):
        name = f"{above}{path.name}"
        folder, plain = (not path.is_symlink() and one for one in (path.is_dir(), path.is_file()))
        if not folder and not plain and not path.is_symlink():
            raise NotWritten(
                f"{shown(str(path), 200)} is a pipe or a device, which cannot be carried over; nothing was written. Take it away, and write again"
            )
        if plain and name in known and path.stat().st_size <= LARGEST and digest(path.read_bytes()) == known[name]:
            continue
        own = new / path.name
        while os.path.lexists(own) and not (folder and own.is_dir()):
            own = own.with_name(f"{own.name.removesuffix(path.suffix)} as changed{path.suffix}")
        if own.name != path.name:
            told.append(
                f"{shown(name, 200)} was changed since it was written; what it held is kept as {shown(above + own.name, 200)}."
            )
        if folder:
            if not any(path.iterdir()):
                own.mkdir(parents=True, exist_ok=True)
            _carry(path, own, known, f"{name}/", told)
            continue
        own.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(path, own, follow_symlinks=False)


def _known(target):
    """Return the SHA-256 of each file of an old appendix as rheokit wrote it, by its name."""
    try:
        raw = (target / MANIFEST).read_bytes()
        found = manifests.read(raw, MANIFEST)
    except (DataError, OSError):
        return {}
    known = {name: one["sha256"] for name, one in found["appendix"].items()}
    return known | {MANIFEST: digest(_as_written(target, found, known.get(manifests.PDF, "")))}


def _as_written(target, found, of_pdf):
    """Return a manifest as rheokit wrote it: as its copy in the PDF says, or without one as far as its entries tell."""
    with suppress(OSError, DataError):
        if (target / manifests.PDF).stat().st_size <= LARGEST and digest(
            pdf := (target / manifests.PDF).read_bytes()
        ) == of_pdf:
            copy = manifests.read(unpacked(pdf, manifests.PDF).manifest or b"", MANIFEST)
            return manifests.as_bytes(manifests.with_pdf(copy, pdf))
    return manifests.as_bytes({name: one for name, one in found.items() if name in manifests.ENTRIES})
