"""The files of a bench folder, on disk or not: held inside the folder, and within limits."""

import os
import stat
import time
from functools import cached_property
from pathlib import Path

from ..errors import DataError
from ..things import nearest
from .faults import shown
from .journal import JOURNAL, LARGEST_JOURNAL, waiting
from .tables import LARGEST_FILE

READABLE = (".csv", ".txt", ".tsv", ".dat", ".asc", ".xlsx")  # how the names of files of readings end

JUST_NOW = 50_000_000  # nanoseconds since a file was saved in which more of it may still come


class Disk:
    """The files of a folder on disk, read and never changed."""

    def __init__(self, folder):
        self.folder, self._seen = Path(folder), {}

    def __str__(self):
        return str(self.folder)

    def known(self, files):
        """Return the files that were read as what this folder is known to hold."""
        return {os.path.realpath(self.folder): files}

    def fault(self):
        """Return what is wrong with the folder itself, or nothing."""
        if os.path.isdir(self.folder):  # unlike Path.is_dir it takes any text
            return self._unfinished[1]
        remedy = "name the folder that holds bench.toml"
        try:
            os.stat(self.folder)
        except PermissionError as error:
            return f"it cannot be looked into ({error.strerror}); change the permissions of the folder that it lies in"
        except (OSError, ValueError):  # ValueError: a zero byte in the name
            pass
        if os.path.exists(self.folder):
            return f"it is a file, so there is no such folder; {remedy}"
        missing = Path(os.path.abspath(self.folder))
        while not os.path.isdir(missing.parent):
            missing = missing.parent
        near = nearest(missing.name, folders_in(missing.parent))
        told = f"there is no such folder: {shown(missing.parent, 200)} holds no {shown(missing.name)}"
        return f"{told}; {remedy}, or make one to fill in with new_bench{near}"

    @cached_property
    def _unfinished(self):
        """Where the new content of a file waits, by its name, if a save was cut off; and what is wrong with that save."""
        if self._seen.setdefault(JOURNAL, _stamp(self.folder / JOURNAL)) is None:
            return {}, ""
        try:
            return waiting(self.plain(JOURNAL, LARGEST_JOURNAL), self._there), ""
        except DataError as error:
            return {}, str(error)

    def _there(self, name):
        return self.plain(name, LARGEST_FILE) if os.path.lexists(self.folder / name) else None

    def read(self, name, largest):
        """Return the bytes of a file in the folder; of one that a save had still to put in its place, the new ones.

        `DataError` if it is missing, leaves the folder, is no plain file or is too large.
        """
        return self.plain(self._unfinished[0].get(name, name), largest)

    def is_steady(self):
        """Say whether all that was read is still there as it was: if not, old and new files may have been read together."""
        return all(_stamp(self.folder / name) == stamp for name, stamp in self._seen.items())

    def is_fresh(self):
        """Say whether a file that was read had been saved in this moment."""
        now = time.time_ns()
        return any(0 <= now - stamp[2] < JUST_NOW for stamp in self._seen.values() if stamp)

    def plain(self, name, largest):
        """Return the bytes that stand under a name on the disk, as `read` without a look at an unfinished save."""
        path = self.folder / name
        self._seen.setdefault(name, _stamp(path))
        try:
            inside = path.resolve().is_relative_to(self.folder.resolve())
            about = os.stat(path)
        except PermissionError as error:
            told = f"it cannot be looked into ({error.strerror}); change the permissions of the folder"
            raise DataError(told) from None
        except (OSError, RuntimeError, ValueError):  # ValueError: a zero byte in the name
            if os.path.lexists(path):
                told = "it is a link to something that is not there; put the file itself into the folder"
                raise DataError(told) from None
            near = nearest(name, [one for one in _listed(self.folder) if Path(one).suffix.lower() in READABLE])
            raise DataError(f"there is no such file in {shown(self.folder)}{near}") from None
        if not inside:
            raise DataError("it is a link that leads out of the folder; copy the file into it")
        if not stat.S_ISREG(about.st_mode):
            raise DataError("it is a folder or a device, not a file")
        if about.st_size > largest:
            sizes = f"it has {about.st_size / 1e6:.1f} MB; {largest / 1e6:g} MB at most"
            raise DataError(f"{sizes}: take the steady readings, not the raw log")
        try:
            with open(path, "rb") as opened:
                return opened.read(largest + 1)
        except OSError as error:
            told = f"it cannot be opened ({error.strerror}); close it elsewhere or change its permissions"
            raise DataError(told) from None


def standing(places):
    """Return a function of the name of a file that returns what stands under it in the first of some folders, None for nothing there."""

    def stands(name):
        there = next((path for place in places if os.path.lexists(path := Path(place) / name)), None)
        try:
            return there and there.read_bytes()
        except OSError:  # something that is no file
            return b""

    return stands


def _stamp(path):
    """Return what tells a file from the one that takes its place, None where there is none."""
    try:
        about = os.stat(path)
    except (OSError, ValueError):
        return None
    return about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns


def folders_in(place: Path) -> list[str]:
    """Return the names of the folders in a place, none where it may not be listed."""
    return [name for name in _listed(place) if (place / name).is_dir()]


def _listed(folder):
    """Return the names in a folder, none where it may not be listed."""
    try:
        return sorted(os.listdir(folder))
    except OSError:
        return []


class Memory:
    """Files that are not on disk, or not read from there.

    `name` says what they are, `on_disk` what folders are known to hold (see `BenchOrigin`).
    """

    def __init__(self, files, name="what is to be written", on_disk=None):
        self.files, self.name, self.on_disk = files, name, on_disk or {}

    def __str__(self):
        return self.name

    def known(self, files):
        """Return what folders are known to hold."""
        return self.on_disk

    def fault(self):
        """Return nothing: there is no folder that could be missing."""
        return ""

    def read(self, name, largest):
        """Return the bytes of a file."""
        if name not in self.files:
            raise DataError("there is no such file")
        return self.files[name]
