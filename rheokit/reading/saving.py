"""Files onto the disk, all of them in one step: a save is done, or it never was.

`save` holds the lock of the folder (`locking`), ends what an earlier save that was cut off left (`journal`), compares the folder
with the files as they were read, and puts the new files beside the old ones. One renaming then decides the save, and others move
each file to its place. Before each of these steps all that was written is told to the disk (fsync), so this holds for a
power cut too, as far as the disk keeps what it was told.

Every way in which a disk refuses is told as a `DataError` with the place and what to do. Before the step that decides, a refusal
leaves the folder as it was; after it, which takes a file locked by another program in that moment, the message says that the
save is decided and what it still waits for.

Not covered: a network folder that grants no locks and is saved into from two machines at once, a disk that says that it has
written what it has not, and somebody who copies a folder in the middle of a save without the files it waits for.
"""

import errno
import os
import stat
from contextlib import suppress

from ..errors import DataError
from .faults import shown
from .files import Disk
from .journal import JOURNAL, Line, as_bytes, digest, is_left_over, lines_of, staged_name, waiting
from .locking import LOCK, alone
from .patience import patiently
from .refusals import place_of, reason, refusal
from .tables import LARGEST_FILE

BESIDE_A_BENCH = ("plan.toml", "kept", "outcomes.csv", "appendix")
"""What a folder may hold before it holds a bench; no save touches it."""
OF_THE_SYSTEM = (".DS_Store", "desktop.ini", "Thumbs.db")
"""What macOS and Windows write into a folder that somebody looks at."""


def save(files, folder, had=None):
    """Write files into a folder, which is made where it is missing, in one step.

    `had` are the files as they were read; where the disk holds others now, nothing is written. Left out, the folder must hold
    nothing. `DataError` with the place, why it cannot be, and what to do.
    """
    folder = place_of(folder)
    try:
        if had is not None and not _different(files, Disk(folder)) and not any(map(_is_of_a_save, os.listdir(folder))):
            return
        made = _made(folder)
        try:
            with alone(folder):
                ended, disk = _finish(folder), Disk(folder)
                _sweep(folder)
                if ended and not _different(files, disk):
                    return  # it was this save that had been cut off
                _compare(files, disk, had)
                if different := _different(files, disk):
                    _put(files, different, disk)
        except BaseException:
            if made:
                _take_away(os.rmdir, folder)
            raise
    except OSError as error:
        raise refusal(error, folder) from None


# --- the folder -----------------------------------------------------------------------------------------------------


def _made(folder):
    """Make a folder where there is none, and say whether."""
    try:
        os.mkdir(folder)
    except FileExistsError:
        return False
    _settle(folder.parent)
    return True


def _compare(files, disk, had):
    """Refuse a folder that holds something else than was read, or than is to be written."""
    present = [name for name in os.listdir(disk.folder) if not _means_nothing(disk.folder / name, had is not None)]
    place = shown(disk.folder, 200)
    if present and had is None:
        raise DataError(f"{place} is not empty; name an empty or a new folder")
    if present and "bench.toml" not in present:
        told = f"is not empty and holds no bench ({len(present)} files)"
        raise DataError(f"{place} {told}; name an empty or a new folder")
    for name in {**(had or {}), **files} if present else ():
        here = _content(disk, name)
        if here is not None and here not in (files.get(name), (had or {}).get(name)):
            words = "holds another bench, or it" if name == "bench.toml" else f"holds another {shown(name)}, or it"
            told = f"{place} {words} was changed since this bench was read; nothing was written"
            raise DataError(f"{told}. Write into a new folder, or read the folder again before you change it")


def _means_nothing(path, hidden):
    """Say whether a save may pass over a file: not of a bench, left by another save, a folder without any file, or, if allowed, hidden."""
    passed = _is_of_a_save(path.name) or path.name in BESIDE_A_BENCH + OF_THE_SYSTEM
    if passed or (hidden and path.name.startswith(".")):
        return True
    return path.is_dir() and not path.is_symlink() and not any(p for _, _, inside in os.walk(path) for p in inside)


def _is_of_a_save(name):
    return is_left_over(name) or name in (JOURNAL, LOCK)


def _content(disk, name):
    """Return the bytes of a file on the disk, None where there is none."""
    if not os.path.lexists(disk.folder / name):
        return None
    if not os.path.exists(disk.folder / name):
        told = f"{shown(name)} is a link to a place that is not there; nothing was saved. Take the link away"
        raise DataError(f"{shown(disk.folder, 200)}: {told}")
    try:
        return disk.plain(name, LARGEST_FILE)
    except DataError as error:
        raise DataError(f"{shown(disk.folder, 200)}, {shown(name)}: {error}; nothing was saved") from None


def _different(files, disk):
    """Return the names of the files that the disk holds otherwise or not at all, bench.toml last."""
    names = [name for name, raw in files.items() if _content(disk, name) != raw]
    return sorted(names, key=lambda name: name == "bench.toml")


# --- one step -------------------------------------------------------------------------------------------------------


def _put(files, names, disk):
    """Write the named files beside the old ones, decide the save, and move them to their places."""
    folder, made, lines = disk.folder, [], []
    try:
        for k, name in enumerate(names):
            target = folder / name
            _make_parents(target.parent, folder, made)
            if not target.parent.resolve().is_relative_to(folder.resolve()):
                raise DataError(f"{shown(name)} would leave the folder {shown(folder, 200)}; nothing was written")
            _open_to_change(target, name)
            lines.append(Line(name, staged_name(k), digest(_content(disk, name)), digest(files[name])))
            mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else None
            _write(folder / staged_name(k), files[name], mode)
        listed = folder / staged_name(len(names))
        _write(listed, as_bytes(lines))
        _settle(folder)
        patiently(os.replace, listed, folder / JOURNAL)
    except BaseException:
        if os.path.lexists(folder / JOURNAL):
            raise  # decided, and interrupted after it
        for k in range(len(names) + 1):
            _take_away(os.unlink, folder / staged_name(k))
        for path in reversed(made):
            _take_away(os.rmdir, path)
        raise
    _finish(folder)


def _make_parents(path, folder, made):
    missing = [p for p in (path, *path.parents) if p.is_relative_to(folder) and not os.path.lexists(p)]
    for one in reversed(missing):
        os.mkdir(one)
        made.append(one)


def _open_to_change(target, name):
    """Refuse a file that is protected, or held open by another program (where the system tells)."""
    try:
        if target.exists():
            os.close(os.open(target, os.O_RDWR))
        if not os.access(target.parent, os.W_OK | os.X_OK):
            raise PermissionError
    except PermissionError:
        told = f"{shown(target.parent, 200)}: {shown(name)} may not be changed; nothing was saved"
        remedy = "Close it in other programs, lift its write protection, or save into a new folder"
        raise DataError(f"{told}. {remedy}") from None


def _write(path, raw, mode=None):
    """Write a new file and tell it to the disk."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        left = memoryview(raw)
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)
    if mode is not None:
        os.chmod(path, mode)


def _settle(folder):
    """Tell the names in a folder to the disk; a system that has no such thing (Windows) keeps them itself."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.EBADF):
            raise
    finally:
        os.close(handle)


def _finish(folder):
    """Move what waits to its place, if a save of this folder is decided and not ended; say whether there was one."""
    if not os.path.lexists(folder / JOURNAL):
        return False
    disk = Disk(folder)
    raw = disk.plain(JOURNAL, LARGEST_FILE)
    try:
        pending = waiting(raw, lambda name: _content(disk, name))
    except DataError as error:
        raise DataError(f"{shown(folder, 200)}: nothing was saved: {error}") from None
    at = ""
    try:
        _settle(folder)
        for at, staged in pending.items():
            patiently(os.replace, folder / staged, folder / at)
        for parent in {(folder / line.file).parent for line in lines_of(raw)}:
            _settle(parent)
        at = ""
        os.unlink(folder / JOURNAL)
        _settle(folder)
        return True
    except OSError as error:
        failed = (
            f"{shown(at or JOURNAL)} could not be {'put in its place' if at else 'taken away'} ({reason(error)[0]})"
        )
        told = f"{shown(folder, 200)}: the save is decided and is what will be read, but {failed}"
        raise DataError(f"{told}; close it in other programs and save again") from None


def _sweep(folder):
    """Take away what a save that was cut off before it was decided has left."""
    for name in os.listdir(folder):
        if is_left_over(name) and not os.path.isdir(folder / name):
            os.unlink(folder / name)


def _take_away(how, path):
    with suppress(OSError):
        how(path)
