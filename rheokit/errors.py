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

Each warning has a failed row in the checks of the result it belongs to, so that it is still there tomorrow.
"""


class DataError(ValueError):
    """Readings or a description that cannot be used as they stand."""


class ReadingError(DataError):
    """Faults found in a bench folder.

    Attributes
    ----------
    faults : tuple of str
        One line a fault: file, row, column, value, unit and what to do.
    """

    def __init__(self, faults):
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
