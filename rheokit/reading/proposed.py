"""What was understood of a file of which nothing was known, in words and as the [[test]] that would read it."""

from dataclasses import dataclass
from typing import NamedTuple

from ..brief import brief
from .faults import shown

MOST = 6  # runs that are told one by one


class ProposedColumn(NamedTuple):
    """A column of the file: its number, header, unit ("" where none is found), proposed quantity ("" to pass over), and why."""

    number: int
    header: str
    unit: str
    quantity: str
    why: str


class RunFound(NamedTuple):
    """A run in the proposed readings: its number, way ("up", "down", ""), rows of the file, and its settings in words."""

    number: int
    way: str
    rows: str
    settings: str


@dataclass(frozen=True, eq=False, repr=False)
class Proposal:
    """What `proposal` understood of a file.

    Attributes
    ----------
    file, kind : str
        Name of the file, and kind of the test it is proposed for.
    encoding, separator : str
        In words, such as "UTF-16" and "tab"; a sheet of a workbook has neither.
    header_row, unit_row : int or None
        Their numbers in the file; None where there is none.
    columns : tuple of ProposedColumn
        Every column of the header row.
    count : int
        Rows of readings that the proposed [[test]] reads.
    runs : tuple of RunFound
    problems : tuple of str
        What could not be understood, or is for a person to decide. The [[test]] can be read as it stands where `complete`.
    toml : str
        The [[test]] to paste into bench.toml; what is open stands in it as a comment.
    complete : bool
    begins : bool
        True where nothing but comments stands above the headers.
    """

    file: str
    kind: str
    encoding: str = ""
    separator: str = ""
    header_row: int | None = None
    unit_row: int | None = None
    columns: tuple[ProposedColumn, ...] = ()
    count: int = 0
    runs: tuple[RunFound, ...] = ()
    problems: tuple[str, ...] = ()
    toml: str = ""
    complete: bool = False
    begins: bool = False

    def lines(self) -> list[str]:
        """Return in words what was understood, one line each."""
        parted = {"tab": "tabs", "semicolon": "semicolons", "comma": "commas"}.get(self.separator, "")
        found = [
            f"{shown(self.file)}: " + ", ".join(filter(None, [self.encoding, parted and f"columns parted by {parted}"]))
        ]
        if self.header_row:
            below = f", units in row {self.unit_row}" if self.unit_row else ""
            found.append(f"headers in row {self.header_row}{below}; {self.count} rows of readings")
        for one in self.columns:
            taken = one.quantity.replace("_", " ") or "passed over"
            found.append(
                f"column {one.number} {shown(one.header, 40)} [{one.unit or '?'}]: {taken}{one.why and f' ({one.why})'}"
            )
        for run in self.runs[:MOST]:
            found.append(f"run {run.number}{run.way and f' {run.way}'}: rows {run.rows}, {run.settings}")
        if len(self.runs) > MOST:
            found.append(f"and {len(self.runs) - MOST} more runs")
        return [line.removesuffix(": ") for line in found] + list(self.problems)

    def __str__(self) -> str:
        return "\n".join([*self.lines(), "", self.toml])

    __repr__ = brief
