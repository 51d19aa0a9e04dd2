"""Where a bench and its tests were read from, kept so that they can be written back as they were typed."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ..bench.base import BenchTest
from ..bench.specimen import Specimen
from .columns import Typed


@dataclass(frozen=True, eq=False)
class BenchOrigin:
    """A folder as it was read: its path, the bytes of every file by name, its specimen and the number of its tests.

    `notes` say what the reader filled in, one sentence each. `on_disk` holds for each folder that is known to hold an
    earlier state of this bench, by its real path, the files it then held.
    """

    folder: str
    files: dict[str, bytes]
    specimen: Specimen
    count: int
    notes: tuple
    on_disk: dict


NOWHERE = BenchOrigin("", {}, Specimen(), 0, (), {})  # the origin of a bench that was not read


class FileRows(NamedTuple):
    """Where the readings of a record stand in its file: the number of each row, headers counted."""

    row_numbers: tuple


@dataclass(frozen=True, eq=False)
class TestOrigin:
    """The [[test]] and the file of a test as they were read from the folder `bench`: the `record` that they gave.

    `entry` is the number of its [[test]], counted from 0, `typed` are the columns of its file, `rows` for each row of the record
    its row in the table of the file, and `given` SI values of its dimensions by name as the folder gave them, those among them
    that only its columns needed. `apart` says which it is where others of the bench have its kind and label, `pooled` are the
    dimensions whose ± counts in the factor of its theory, `unheld` those whose ± counts nowhere, since its model error was stated.
    """

    __test__ = False  # no test case, whatever its name begins with

    bench: BenchOrigin
    entry: int
    file: str
    typed: Typed
    rows: np.ndarray
    record: BenchTest
    model_error_stated: bool
    given: dict
    apart: str = ""
    pooled: frozenset = frozenset()
    unheld: frozenset = frozenset()

    @property
    def toml(self):
        """The bench.toml it stands in, bytes."""
        return self.bench.files["bench.toml"]

    @property
    def row_numbers(self):
        """For each row of the record its number in the file, headers counted, shape (N,)."""
        return self.typed.table.rows.numbers[self.rows]

    def where(self, keep):
        """Return the origin of the rows where `keep`, shape (N,), is true."""
        return replace(self, rows=self.rows[np.asarray(keep, bool)])
