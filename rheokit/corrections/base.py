"""What a correction of capillary readings gives back: a table one can follow, or the reason why there is none."""

import html as escaping
import re
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pandas as pd

from ..frames import Frame
from ..hints import Table
from ..nomenclature import QUANTITIES, number, with_limits
from ..sampling import SURE
from .errors import Errors


class Method(NamedTuple):
    """A correction by name, formula and source, with what it takes for granted."""

    name: str
    formula: str
    source: str
    assumes: str


class Estimate(NamedTuple):
    """One number that a correction finds beside its table, with its 95 % interval (NaN where there is none)."""

    name: str
    symbol: str
    value: float
    low: float
    high: float
    unit: str
    of: str = ""

    def __str__(self):
        said = f"{self.of}{self.name.replace('_', ' ')} {self.symbol} = "
        return said + with_limits(self.value, self.low, self.high, self.unit, before="")


def estimate(name, value, uncertainty=np.nan, quantile=SURE, positive=False):
    """Return an `Estimate` under a name of the nomenclature, with value ± quantile × uncertainty as its interval.

    For a `positive` one the interval is that of its logarithm.
    """
    about = QUANTITIES[name]
    spread = quantile * uncertainty
    low, high = (value * np.exp((-spread / value, spread / value))) if positive else (value - spread, value + spread)
    return Estimate(name, about.symbol, float(value), float(low), float(high), about.unit)


@dataclass(frozen=True, kw_only=True, eq=False)
class Correction:
    """A classical correction of capillary readings, for reading beside the direct fit.

    Parameters
    ----------
    method : Method
    table : DataFrame
        One row a reading, with every intermediate column in SI; its units stand in ``table.attrs["units"]``. `row`
        counts as in the file, else from 1; where one row is of several readings all are given, in the order of length
        or bore, and `runs` are their records. A column ``x_uncertainty`` is the standard uncertainty of the column x,
        1.96 of which hold 95 %; where ``x_low`` and ``x_high`` stand beside it they are the 95 % limits, and where they
        are lopsided x ± 1.96 of the symmetric uncertainty is wider than it says. ``x_residual`` is x as read minus as
        fitted. Where x has no upper limit ``x_high`` and its uncertainty are infinite.
    analysable : bool
        Whether the readings allow this correction. Where not, the table holds what could be computed, as evidence.
    reason : str
        Why it is not analysable and what to measure; empty where it is.
    notes : tuple of str
        What was done beside the formula, and which reading looks bad.
    estimates : tuple of Estimate
        Numbers found beside the table.
    errors : Errors, optional
        Where the errors of rate and stress of the rows come from, for the next step.
    """

    method: Method
    table: Table
    analysable: bool
    reason: str = ""
    notes: tuple = ()
    estimates: tuple = ()
    errors: Errors | None = None

    @property
    def name(self) -> str:
        """The correction by name."""
        return self.method.name

    @property
    def formula(self) -> str:
        """The equation used."""
        return self.method.formula

    @property
    def source(self) -> str:
        """Where the equation is from."""
        return self.method.source

    @property
    def units(self) -> dict[str, str]:
        """The unit of every column of the table."""
        return dict(self.table.attrs["units"])

    @property
    def verdict(self) -> str:
        """One line: analysable, or why not."""
        return "analysable" if self.analysable else f"not analysable: {self.reason}"

    def column(self, name: str) -> np.ndarray:
        """Return a column of numbers of the table, NaN in every row where it has none: one that no row knows is left out of the table."""
        return self.table[name].to_numpy(float) if name in self.table else np.full(len(self.table), np.nan)

    def value(self, name: str) -> float:
        """Return the value of the one estimate of a name, in its unit."""
        found = [one.value for one in self.estimates if one.name == name]
        if len(found) == 1:
            return found[0]
        names = ", ".join(dict.fromkeys(one.name for one in self.estimates)) or "none"
        how = f"{len(found)} estimates" if found else "no estimate"
        raise KeyError(f"{self.name}: {how} {name!r}; it found {names}. See .estimates.")

    def headed(self, symbols: bool = False) -> pd.DataFrame:
        """Return the table with the unit of each column in its header, under full names or under symbols."""
        names = {c: symbol_of(c) if symbols else c for c in self.table}
        return self.table.rename(columns={c: f"{names[c]} [{u}]" if u else names[c] for c, u in self.units.items()})

    def _lines(self, most=None):
        """Return what is said of it in words, of its notes so many."""
        shown = self.notes[:most]
        more = len(self.notes) - len(shown)
        return [
            f"formula: {self.formula}",
            f"assumes: {self.method.assumes}",
            f"source: {self.source}",
            *(f"found: {one}" for one in self.estimates),
            *(f"note: {note}" for note in shown),
            *([f"{more} more in .notes"] if more else []),
        ]

    def __str__(self):
        rows = [] if self.table.empty else [self.headed(symbols=True).to_string(**AS_READ)]
        return "\n".join([f"{self.name}: {self.verdict}", *rows, *self._lines()])

    def __repr__(self):
        """Return one screen: the columns that differ from row to row, of many those at both ends, and the first notes."""
        table = self.headed(symbols=True)
        table = table.loc[:, [len(table) < 2 or table[c].astype(str).nunique() > 1 for c in table]]
        rows = [] if table.empty else [table.to_string(**AS_READ, **ONE_SCREEN)]
        return "\n".join([f"{self.name}: {self.verdict}", *rows, *self._lines(NOTES)])

    def _repr_html_(self):
        rows = "" if self.table.empty else self.headed().to_html(border=0, **AS_READ)
        said = "".join(f"<li>{escaping.escape(line)}</li>" for line in self._lines())
        said = f"<p><b>{escaping.escape(self.name)}</b>: {escaping.escape(self.verdict)}</p>{rows}<ul>{said}</ul>"
        return f"<div class='mathjax_ignore'>{said}</div>"  # no formula is set of what stands between two dollar signs


ENDINGS = {"_uncertainty": "u({})", "_residual": "{}, read − fitted", "_low": "{}, low", "_high": "{}, high"}
ONE_SCREEN, NOTES = {"max_rows": 8, "max_cols": 6}, 1
AS_READ = {"index": False, "na_rep": "not known", "float_format": lambda value: number(value, 4)}


def unit_of(column):
    """Return the unit of a column of a correction's table: that of the quantity in its name, empty for a label."""
    base = _parts(column)[0]
    return QUANTITIES[base].unit if base in QUANTITIES else ""


def symbol_of(column):
    """Return the symbol of a column of a correction's table, u(τ_w) for an uncertainty; the name itself for a label."""
    base, ending, rest = _parts(column)
    return ENDINGS.get(ending, "{}").format(QUANTITIES[base].symbol) + rest if base in QUANTITIES else column


def _parts(column):
    """Return (name of the quantity, ending, what follows) of a column such as ``pressure at L/D 10``."""
    base, *rest = re.split(r"(?= at | without )", column, maxsplit=1)
    ending = next((one for one in ENDINGS if base.endswith(one)), "")
    return base.removesuffix(ending), ending, "".join(rest)


def settled(method, rows, faults, notes, estimates=(), errors=None):
    """Return the `Correction` of readings that allow it where there is no fault, else that which says why they do not."""
    reason = " ".join(faults)
    frame = Frame(rows).dropna(axis=1, how="all").reset_index(drop=True)
    frame.attrs = {"units": {column: unit_of(column) for column in frame.columns}}
    found = {} if reason else {"estimates": tuple(estimates), "errors": errors}
    return Correction(method=method, table=frame, analysable=not reason, reason=reason, notes=tuple(notes), **found)


def refused(method, reason, notes):
    """Return the `Correction` of readings that do not allow it from the start, for a reason in words."""
    return settled(method, [], [reason], notes)
