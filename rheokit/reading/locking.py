"""One saver of a folder at a time: among threads, programs and machines.

The lock is the operating system's own on an empty file in the folder, so that a killed program leaves none held; the file it may
leave means nothing, and goes with the next save. Where the file system grants no locks (some network folders) the save goes on
without: then threads of one program still take turns, and two programs are told apart only by what they find in the folder
when they begin.
"""

import errno
import os
import threading
import time
from contextlib import contextmanager

from ..errors import DataError
from .faults import shown
from .patience import is_open_elsewhere

LOCK = ".saving"
PATIENCE = 10.0  # how long a save waits for another one to end [s]
_GRANTS_NONE = {errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOTSUP, errno.ENOSYS, errno.EINVAL}
_threads = threading.Lock()

try:
    import fcntl

    def _take(handle):
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

except ImportError:  # Windows
    import msvcrt

    def _take(handle):
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)


@contextmanager
def alone(folder):
    """Keep every other saver out of a folder; `DataError` where one is at work for longer than `PATIENCE`."""
    until = time.monotonic() + PATIENCE
    if not _threads.acquire(timeout=PATIENCE):
        raise _busy(folder)
    try:
        path = folder / LOCK
        while (handle := _held(path)) is None:
            if time.monotonic() > until:
                raise _busy(folder)
            time.sleep(0.01)
        try:
            yield
        finally:
            _let_go(path, handle)
    finally:
        _threads.release()


def _held(path):
    """Return a handle of the lock if it is free, and still the file that others would open."""
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
    except PermissionError as error:
        if is_open_elsewhere(error, perhaps=True):  # it is about to be taken away
            return None
        raise
    held = False
    try:
        _take(handle)
        held = os.path.samestat(os.fstat(handle), os.lstat(path))
    except FileNotFoundError:  # the one before took it away
        pass
    except OSError as error:
        held = error.errno in _GRANTS_NONE
    finally:
        if not held:
            os.close(handle)
    return handle if held else None


def _let_go(path, handle):
    """Take the file away while it is held; where an open file cannot be (Windows), right after, unless somebody has it."""
    try:
        gone = _unlinked(path)
    finally:
        os.close(handle)
    if not gone:
        _unlinked(path)


def _unlinked(path):
    try:
        os.unlink(path)
    except OSError:  # left there it means nothing
        return False
    return True


def _busy(folder):
    told = f"{shown(folder, 200)} is being saved into by another window or program for more than {PATIENCE:g} s"
    return DataError(f"{told}; nothing was saved. Wait until that is done and save again")
