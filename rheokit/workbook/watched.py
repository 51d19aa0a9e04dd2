"""The files of the readings of a folder, and whether they stand there as they were read."""

import os
from pathlib import Path

from ..bench import Bench
from ..errors import DataError
from ..reading.files import Disk
from ..reading.journal import JOURNAL
from ..reading.saving import BESIDE_A_BENCH
from ..reading.tables import LARGEST_FILE


class Watched:
    """The files that a bench was read from; of a folder that could not be read, all files in it but the plan.

    Parameters
    ----------
    folder : path
    bench : Bench or None
        As it was read from there.
    """

    def __init__(self, folder: Path, bench: Bench | None = None) -> None:
        self._folder, self._files = folder, None if bench is None else bench.origin.files
        self._stamps = self._now() if bench is None else None

    @property
    def overtaken(self) -> bool:
        """Whether the folder holds something else now."""
        now = self._now()
        if now == self._stamps:
            return False
        if self._files is None or not self._holds():
            return True
        self._stamps = now
        return False

    def _now(self):
        """Return size and time of each file; looked at before its content is, so that no change between is missed."""
        names = self._files if self._files is not None else _names_in(self._folder)
        return {name: _stamp(self._folder / name) for name in (*names, JOURNAL)}

    def _holds(self):
        disk = Disk(self._folder)
        try:
            return all(disk.read(name, LARGEST_FILE) == raw for name, raw in self._files.items())
        except DataError:
            return False


def _names_in(folder):
    try:
        return sorted(
            one.name for one in folder.iterdir() if one.name not in BESIDE_A_BENCH and one.suffix and one.name[0] != "."
        )
    except OSError:
        return []


def _stamp(path):
    try:
        about = os.stat(path)
    except (OSError, ValueError):
        return None
    return about.st_size, about.st_mtime_ns
