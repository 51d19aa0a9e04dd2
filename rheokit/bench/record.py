"""What a record of readings is: its columns and dimensions in order, and how well its readings are known."""

import html as escaping
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import ClassVar, Protocol, Self

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError
from ..framed import framed
from ..hints import Numbers, Table
from ..inputs import trusted
from ..laws.condition_words import CONDITIONS
from ..nomenclature import between, unit_for, written
from ..things import text_faults
from .declared import (
    column,
    column_faults,
    dimension_fault,
    frozen,
    quantity_of,
    settled_first,
    stated_faults,
    uncertainty_faults,
)

BESIDE_ROUNDING = "beside rounding"
ERRORS = ("relative", "absolute", BESIDE_ROUNDING)
SHOWN = 12  # rows of a record that are shown where it stands alone


class Origin(Protocol):
    """Where the rows of a record come from: a file, or the readings behind their means."""

    @property
    def row_numbers(self) -> tuple[int, ...]:
        """Number of the row of each reading."""

    def where(self, keep: np.ndarray) -> Self:
        """Return the same of the rows where `keep` is true."""


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Record:
    """Readings of one bench test on one apparatus.

    Parameters
    ----------
    uncertainty : array-like, optional
        Standard uncertainty of each reading, in the unit read; taken as absolute, never rescaled.
    relative_uncertainty : array-like, optional
        The same as a share of the reading; with `uncertainty` both count. Without either the size of the error is
        unknown and is estimated from the residuals. [-]
    error : {"relative", "absolute", "beside rounding"}
        The shape of an unknown error: an equal share of every reading, or an equal amount. "beside rounding": `uncertainty` is only of
        what the readings were rounded to, which says nothing of how they scatter; that is an equal share of every reading,
        estimated too.
    model_error : float
        Standard deviation of the ln of the stress for the test's own theory, one factor a kind of test. [-]
    apparatus : str
        What this record shares with others: records of one apparatus share its nuisance parameters.
    batch, label : str
        The batch that was read, and a name for messages.
    censored : array-like of int, optional
        Per reading: 0 a number, -1 "at most this", +1 "at least this". [-]
    time, stroke, temperature, water_content, age, run_order, run : array-like, optional
        Per reading: time since its speed or pressure was set [s], plunger travel [m], temperature [K], water over dry mass [-],
        time since mixing [s], order of reading, and the whole number of the run it belongs to (see `bench.runs`).
    of_specimen : mapping
        Temperature, water content and age that its specimen states, by name, as its `Bench` hands them over: they hold where the
        record has no column of its own.
    """

    kind: ClassVar[str] = ""
    reads: ClassVar[str] = ""

    uncertainty: float | None = None
    relative_uncertainty: float | None = None
    error: str = "relative"
    model_error: float = 0.0
    apparatus: str = ""
    batch: str = ""
    label: str = ""
    censored: np.ndarray | None = None
    time: np.ndarray | None = column(None)
    stroke: np.ndarray | None = column(None, positive=False)
    temperature: np.ndarray | None = column(None, positive=False)
    water_content: np.ndarray | None = column(None)
    age: np.ndarray | None = column(None)
    run_order: np.ndarray | None = column(None, positive=False)
    run: np.ndarray | None = column(None, positive=False)
    of_specimen: Mapping[str, float] = field(default_factory=dict)
    origin: Origin | None = None

    def __init_subclass__(cls, **options):
        """Let every kind of test put its numbers in order before its own checks, and doubt them after."""
        super().__init_subclass__(**options)
        if "__repr__" not in vars(cls):  # else each dataclass would make its own, of every number
            cls.__repr__ = Record.__repr__
        if "__post_init__" in vars(cls):
            cls.__post_init__ = settled_first(vars(cls)["__post_init__"])

    @settled_first
    def __post_init__(self):
        """Copy every column read-only and check it."""
        keep = object.__setattr__
        for f in fields(self):
            if "column" in f.metadata and getattr(self, f.name) is not None:
                keep(self, f.name, frozen(np.atleast_1d(np.array(getattr(self, f.name), float))))
        count = max(np.size(getattr(self, name)) for name in self.columns)
        faults = text_faults(self, ("apparatus", "batch", "label"))
        for name in self.columns:
            values = getattr(self, name)
            if values.ndim != 1 or len(values) not in (1, count):
                faults.append(f"{name} has shape {values.shape}; every column needs {count} values")
                continue
            keep(self, name, frozen(np.broadcast_to(values, (count,))))
            faults += column_faults(self, name, values)
        for f in fields(self):
            value = getattr(self, f.name)
            if "dimension" in f.metadata and value is not None:
                faults += dimension_fault(f, value, quantity_of(self, f.name).unit)
        for name in ("uncertainty", "relative_uncertainty"):
            if getattr(self, name) is not None:
                value = np.asarray(getattr(self, name), float)
                keep(self, name, value[()] if value.ndim == 0 else frozen(value))
                faults += uncertainty_faults(name, value, count)
        faults += stated_faults(self)
        if self.error not in ERRORS:
            faults.append(f"error = {self.error!r}; it must be {' or '.join(map(repr, ERRORS))}")
        elif self.error == BESIDE_ROUNDING and self.uncertainty is None:
            faults.append(f"error = {self.error!r} needs the uncertainty that rounding makes")
        keep(
            self,
            "censored",
            frozen(np.broadcast_to(0 if self.censored is None else self.censored, (count,)).astype(int)),
        )
        if faults:
            raise DataError(f"{self.name}: " + "; ".join(faults) + ".")

    def __setstate__(self, state):
        """Take back what was pickled or copied, its columns read-only as before."""
        vars(self).update(state)
        for name, value in state.items():
            if isinstance(value, np.ndarray):
                vars(self)[name] = frozen(value)

    @property
    def general(self) -> bool:
        """True where any sign is allowed: equal absolute errors on a plain curve."""
        return False

    @property
    def in_logarithms(self) -> bool:
        """True where readings are compared as ratios: their error is a share of them."""
        return self.uncertainty is None and (self.relative_uncertainty is not None or self.error == "relative")

    @property
    def columns(self) -> list[str]:
        """Names of the columns it holds."""
        return [f.name for f in fields(self) if "column" in f.metadata and getattr(self, f.name) is not None]

    @property
    def readings(self) -> np.ndarray:
        """What was read, shape (N,), in SI."""
        return getattr(self, self.reads)

    @property
    def row_numbers(self) -> np.ndarray:
        """Number of the row of each reading, shape (N,): as in the file that it was read from, headers counted; else from 1."""
        count = max(np.size(getattr(self, name)) for name in self.columns)
        given = () if self.origin is None else self.origin.row_numbers
        return np.array(given) if len(given) == count else np.arange(1, count + 1)

    def rows_where(self, which: ArrayLike, most: int = 5) -> str:
        """Return "row 4", "rows 4, 7" or "rows 4, 7 and 3 more" where a mask of readings is true, or for their places."""
        which = np.asarray(which)
        places = np.flatnonzero(which) if which.dtype == bool else np.atleast_1d(which)
        numbers = ", ".join(map(str, self.row_numbers[places[:most]]))
        more = f" and {len(places) - most} more" if len(places) > most else ""
        return f"row{'s' * (len(places) > 1)} {numbers}{more}"

    @cached_property
    def conditions(self) -> dict[str, Numbers]:
        """Temperature [K], water content [-, dry basis] and age [s] by name, as far as they are known: one number, or shape (N,)."""
        own = {name: getattr(self, name) for name in CONDITIONS}
        alike = {name: v if np.ptp(v) > 0 else float(v[0]) for name, v in own.items() if v is not None and len(v)}
        known = {**self.of_specimen, **alike}
        return {name: known[name] for name in CONDITIONS if name in known}

    @property
    def name(self) -> str:
        """Kind and label, for messages; where a bench has several alike, with the batch or file that tells them apart."""
        apart = self._apart
        return (f"{self.kind} '{self.label}'" if self.label else self.kind) + (f" ({apart})" if apart else "")

    @property
    def name_and_batch(self) -> str:
        """Its name, and its batch where it has one and the name does not say it."""
        return f"{self.name}, batch {self.batch}" if self.batch and self._apart != f"batch {self.batch}" else self.name

    @property
    def _apart(self):
        own = self.origin
        while hasattr(own, "origin"):  # of readings that were gathered
            own = own.origin
        return getattr(own, "apart", "")

    @property
    def table(self) -> Table:
        """The columns as a DataFrame, in SI."""
        return framed({name: getattr(self, name) for name in self.columns})

    def where(self, keep: ArrayLike) -> Self:
        """Return a new record with the rows where `keep`, shape (N,), is true."""
        keep = np.asarray(keep, bool)
        changed = {name: getattr(self, name)[keep] for name in self.columns}
        for name in ("censored", "uncertainty", "relative_uncertainty"):
            if np.ndim(getattr(self, name)):
                changed[name] = getattr(self, name)[keep]
        if self.origin is not None:
            changed["origin"] = self.origin.where(keep)
        with trusted():
            return replace(self, **changed)

    @property
    def error_is_known(self) -> bool:
        """True where the size of the error was stated."""
        return self.uncertainty is not None or self.relative_uncertainty is not None

    @property
    def rounding_alone(self) -> bool:
        """True where what was stated is only what readings were rounded to, and says nothing of how they scatter."""
        return self.error == BESIDE_ROUNDING

    @property
    def reading_errors(self) -> np.ndarray | None:
        """Standard uncertainty of each reading in the unit read, shape (N,); None where it is not known."""
        if not self.error_is_known:
            return None
        amount, share = (0.0 if size is None else size for size in (self.uncertainty, self.relative_uncertainty))
        return np.broadcast_to(np.hypot(amount, share * self.readings), self.readings.shape)

    # --- in words -----------------------------------------------------------------------------------------------

    @property
    def heading(self) -> str:
        """Name, batch, and what was read with its range, in one line."""
        about, count = quantity_of(self, self.reads), len(self.readings)
        low, high = np.min(self.readings), np.max(self.readings)
        ends = written(low, about) if low == high else between(low, high, about)
        return f"{self.name_and_batch}: {count} reading{'s' * (count > 1)} of {about.symbol}, {ends}"

    @property
    def _dimensions(self):
        """Its dimensions and what was chosen of it, in one line."""
        values = {f.name: getattr(self, f.name) for f in fields(self) if "dimension" in f.metadata}
        about = {name: quantity_of(self, name) for name, value in values.items() if value is not None}
        told = [f"{one.symbol} = {written(np.max(values[name]), one)}" for name, one in about.items()]
        chosen = [f"{f.name}: {getattr(self, f.name)}" for f in fields(self) if "options" in f.metadata]
        return ", ".join([*told, *chosen])

    @property
    def _shown(self):
        """The table in units of the bench, which its headers name."""
        shown, units = self.table, {}
        for name in self.columns:
            unit = unit_for(quantity_of(self, name), float(np.max(np.abs(shown[name]))))
            shown[name], units[name] = (shown[name] - unit.zero) / unit.factor, f"{name} [{unit.text}]"
        return shown.rename(columns=units)

    def __repr__(self):
        rows = self._shown.to_string(
            index=False, max_rows=SHOWN, line_width=None, max_cols=6, float_format="{:.4g}".format
        )
        return "\n".join(line[:100] for line in filter(None, [self.heading, self._dimensions, *rows.splitlines()]))

    def _repr_html_(self):
        said = "".join(f"<p>{escaping.escape(line)}</p>" for line in filter(None, [self.heading, self._dimensions]))
        rows = self._shown.to_html(index=False, border=0, max_rows=SHOWN, float_format="{:.4g}".format)
        return f"<div class='mathjax_ignore'>{said}{rows}</div>"
