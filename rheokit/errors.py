"""What can go wrong, as a tree.

::

    ValueError
      DataError            a reading, a file or a description that cannot be used; says where and what to do
        ReadingError       the same, found in a bench folder: collects every fault of every file
    UserWarning
      RheokitWarning
        AtBoundWarning         a parameter stopped at its bound: its standard error means nothing
        NotIdentifiedWarning   the readings do not fix a parameter
        ExtrapolationWarning   a prediction outside the rates the readings cover
        ModelRangeWarning      a formula used outside the range it was fitted or derived for
        UnlikelyWarning        a number that can be, but that no bench or print has: most often its unit is wrong

Each warning of a result has a failed row in its checks, so that it is still there tomorrow. In a notebook a `DataError`
is shown by what it says: who typed a value can mend nothing in the code between it and the message.
"""

import sys
import sysconfig
import traceback
import warnings
from collections.abc import Iterable
from contextlib import contextmanager
from pathlib import Path

PACKAGE = str(Path(__file__).parent)
GENERATED = ("<string>", contextmanager.__code__.co_filename)  # a dataclass's __init__, and what leaves a with


HERE = str(Path(__file__).parent)
LIBRARIES = tuple(sysconfig.get_path(kind) for kind in ("stdlib", "purelib"))


class DataError(ValueError):
    """Readings or a description that cannot be used as they stand."""

    def _render_traceback_(self):
        """Return the lines that IPython shows: the line of the cell that asked for it, and the message."""
        asked = ""
        for frame in traceback.extract_tb(self.__traceback__):
            if frame.filename.startswith(HERE):
                break
            if not frame.filename.startswith(LIBRARIES):
                asked = frame.line
        return [*([f"Refused: {asked}"] if asked else []), *str(self).splitlines()]


class ReadingError(DataError):
    """Faults found in a bench folder.

    Attributes
    ----------
    faults : tuple of str
        One line a fault: file, row, column, value, unit and what to do.
    """

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class RheokitWarning(UserWarning):
    """Possible, but doubtful."""


class AtBoundWarning(RheokitWarning):
    """A parameter stopped at its bound."""


class NotIdentifiedWarning(RheokitWarning):
    """The readings do not fix a parameter."""


class ExtrapolationWarning(RheokitWarning):
    """A prediction outside the rates the readings cover."""


class ModelRangeWarning(RheokitWarning):
    """A formula used outside the range it was fitted or derived for."""


class UnlikelyWarning(RheokitWarning):
    """A number that can be, but that no bench or print of pastes has."""


def warn_outside(words: str, kind: type[Warning]) -> None:
    """Warn at the line outside rheokit that asked."""
    level, frame = 2, sys._getframe(1)
    while frame.f_back and (frame.f_code.co_filename.startswith(PACKAGE) or frame.f_code.co_filename in GENERATED):
        level, frame = level + 1, frame.f_back
    warnings.warn(words, kind, stacklevel=level)
