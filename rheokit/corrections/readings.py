"""Records of capillary and syringe as rows a correction works on, and readings of several runs at one rate."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple, Protocol, TypeAlias

import numpy as np
import pandas as pd

from ..bench import Bench
from ..bench.base import BenchTest
from ..bench.force_run import ForceRun
from ..bench.gathered import counts_of, gathered, words
from ..bench.run import Run
from ..errors import DataError
from ..flow.nozzles import Cylinder
from ..frames import Frame
from ..inputs import in_si, warn_of
from ..nomenclature import QUANTITIES
from ..nomenclature.likely import unlikely_column
from ..things import called
from .base import Correction
from .errors import errors_of, size_of


class Fitted(Protocol):
    """A fit: its tests, and the friction of each apparatus as it found it."""

    @property
    def tests(self) -> Sequence[BenchTest]:
        """The records it was made of."""

    @property
    def frictions(self) -> Mapping[str, tuple[float, float]]:
        """A value and its standard uncertainty by `shared` name [N]."""


Runs: TypeAlias = Run | Iterable[Run] | Bench | Fitted
Curve: TypeAlias = Runs | Correction | pd.DataFrame

SAME_BORE = 0.01  # bores that differ by less are one bore
SAME_RATE = 0.005  # rates that differ by less are one rate
SAME_SET = 6  # decimals of its logarithm in which what was set is the same
FLATTEST = 0.02  # of ln pressure against ln rate: the flow index of a paste hardly above its yield stress
BETWEEN = "between rows"
NEEDED = ("apparent_shear_rate", "wall_shear_stress")
NO_LAND = "there is no capillary or syringe run with a straight land"


def runs_of(given, where, also=""):
    """Return the pressure and force runs in a run, a list, a bench or a fit, whose friction is then as fitted; refuse all else, saying `where` and `also`."""
    if hasattr(given, "frictions"):
        return list(with_friction([test for test in given.tests if isinstance(test, Run)], given.frictions))
    if isinstance(given, Bench):
        return [test for test in given.tests if isinstance(test, Run)]
    alone = isinstance(given, Run | str) or not isinstance(given, Iterable)
    runs = [given] if alone else list(given)
    for run in runs:
        if not isinstance(run, Run):
            raise TypeError(
                f"{where}: {called(run)} is no PressureRun or ForceRun; give one, a list of them, a bench or a fit{also}."
            )
    return runs


def with_friction(runs: Runs, known: Mapping[str, tuple[float, float]]) -> tuple[Run, ...]:
    """Return runs whose friction is the one that is known of their apparatus, a value and its standard uncertainty by `shared` name [N].

    So what a correction takes off a force is what a fit does. A friction that leaves no force on any row stays as stated, and so does the uncertainty
    of one at its bound, which a fit has none of.
    """
    found = []
    for test in runs_of(runs, "with_friction"):
        if isinstance(test, ForceRun) and (friction := known.get(test.shared("plunger_friction"))):
            value, size = friction
            if np.any(test.force > value):
                peak = test.extruder.break_loose_friction
                peak = None if peak is None else np.maximum(peak, value)
                rig = replace(test.extruder, plunger_friction=value, break_loose_friction=peak)
                size = size if np.isfinite(size) else test.plunger_friction_uncertainty
                test = replace(test, extruder=rig, plunger_friction_uncertainty=size)
        found.append(test)
    return tuple(found)


def rows_of(runs):
    """Return (DataFrame with one row a reading, notes) of pressure and force runs.

    `pressure` is what drives: for a force run force over section, plunger friction included (`friction_pressure`).
    Many readings are gathered into means (`bench.gathered`), and a note says so.
    Runs whose tip is no straight land and readings that are mere bounds are left out, and a note says so.
    """
    runs = gathered(runs)
    found, notes = [], [*filter(None, [words(runs)])]
    for run in runs:
        force, barrel = run.extruder is not None, run.inlet_diameter
        *before, land = run.nozzle.segments
        if not isinstance(land, Cylinder):
            notes.append(f"{run.name} is left out: its tip is a taper, and a wall stress needs a straight land.")
            continue
        section = run.extruder.area if force else 1.0
        read = run.readings
        share = run.reading_errors / read if run.error_is_known else np.full(read.shape, np.nan)
        if (counts := counts_of(run)) is not None:
            share = share / np.sqrt(counts)  # of a mean of so many
        of_flow = run.read == "flow_rate"
        sizes = [(part.inlet_diameter, part.outlet_diameter, part.length) for part in before]
        entry = tuple(tuple(round(float(size), 9) for size in part) for part in sizes)
        table = Frame({
            "run": run.name, "row": run.row_numbers, "batch": run.batch,
            "entry": str((force, barrel and round(float(barrel), 9), entry)),
            "enters": bool(barrel or entry),
            "diameter": float(land.diameter), "length": float(land.length),
            "length_over_diameter": float(land.length / land.diameter),
            "flow_rate": run.flow_rate,
            "apparent_shear_rate": 32 * run.flow_rate / (np.pi * float(land.diameter) ** 3),
            "flow_read": of_flow,
            "flow_share": share if of_flow else 0.0 * share,
            "pressure": (run.force if force else run.pressure) / section,
            "pressure_share": 0.0 * share if of_flow else share,
            "friction_pressure": float(run.extruder.plunger_friction) / section if force else 0.0,
            "friction_uncertainty": float(run.plunger_friction_uncertainty) / section if force else 0.0,
            "fill_length": run.fill_length if force else 0.0,
            "drags": bool(force and run.extruder.barrel_drag > 0),
            "bore_share": float(run.bore_uncertainty),
        })  # fmt: skip
        usable = (run.censored == 0) & (table.flow_rate.to_numpy() > 0) & (table.pressure.to_numpy() > 0)
        if not usable.all():
            notes.append(
                f"{run.name}: {run.rows_where(~usable)} left out: no flow, no pressure, or a mere bound; no logarithm can be taken."
            )
        found.append(table[usable])
    return (pd.concat(found, ignore_index=True) if found else Frame()), notes


def curve_of(given, where):
    """Return (rows with apparent rate and wall stress, `Errors`, notes, why not) of runs, or of the step before.

    From runs the stress is Δp D/4L with nothing but the stated plunger friction removed; a note says so where the flow
    enters from something wider.
    """
    if isinstance(given, Correction):
        if not given.analysable:
            return Frame(), None, [], f"the step before it, {given.name}, is {given.verdict}"
        return given.table.copy(), given.errors or errors_of(given.table), [], ""
    if isinstance(given, pd.DataFrame):
        table = _of_user(given, where)
        return table, errors_of(table), [], ""
    table, notes = rows_of(runs_of(given, where, ", or the table or the correction before"))
    if table.empty:
        return table, None, notes, f"{NO_LAND}; measure pressure or force against flow"
    net = table.pressure - table.friction_pressure
    lost = table[net <= 0]
    if len(lost):
        notes.append(f"{_named(lost)}: left out, the plunger friction is larger than the force.")
    table, net = table[net > 0].copy(), net[net > 0]
    table["wall_shear_stress"] = net / (4 * table.length_over_diameter)
    own = table.flow_share.to_numpy(), (table.pressure_share * table.pressure / net).to_numpy()
    table = table.reset_index(drop=True)
    errors = errors_of(table, own)._replace(flow_read=table.flow_read.to_numpy(bool))
    for name, matrix in (("wall_shear_stress", errors.stress), ("apparent_shear_rate", errors.rate)):
        table[f"{name}_uncertainty"] = size_of(matrix) * table[name] if errors.known else np.nan
    table["end_loss_left"] = table.enters | table.drags
    if table.end_loss_left.any():
        notes.append(
            "The end loss (and any barrel drag) is still in these stresses, so they are too high; with two or more lengths"
            " of one bore take it out first."
        )
    kept = ["run", "row", "batch", "diameter", "length", "flow_rate", "pressure", "apparent_shear_rate",
            "apparent_shear_rate_uncertainty", "wall_shear_stress", "wall_shear_stress_uncertainty", "bore_share",
            "end_loss_left"]  # fmt: skip
    return table[kept], errors, notes, ""


def _of_user(given, where):
    """Return the table that a user gives, with its rows counted; what cannot be is refused, and what is unlikely doubted."""
    missing = [name for name in NEEDED if name not in given]
    if missing:
        raise DataError(
            f"{where}: the table has no column {' and no column '.join(missing)}; it has {', '.join(given.columns)}."
        )
    table = given.reset_index(drop=True)
    if "row" not in table:
        counted = pd.api.types.is_integer_dtype(given.index)
        table.insert(0, "row", given.index.to_numpy() + 1 if counted else np.arange(1, len(given) + 1))
    doubts = []
    for name in NEEDED:
        values = in_si(where, name, table[name].to_numpy(), QUANTITIES[name])
        values = values[np.isfinite(values) & (values > 0)]  # the others are the correction's business
        if len(values) and (doubt := unlikely_column(values, QUANTITIES[name])):
            doubts.append(f"{name} = {doubt}")
    warn_of(where, doubts)
    return table


def _named(table):
    return "; ".join(
        f"{run}, row{'s' * (len(rows) > 1)} {', '.join(map(str, rows.row))}"
        for run, rows in table.groupby("run", sort=False)
    )


def run_of(table):
    """Return the name of the one record that rows are of, empty where there are several or it is not known."""
    return str(table.run.iloc[0]) if "run" in table and table.run.nunique() == 1 else ""


def records_of(tables):
    """Return the names of the records that the rows of some tables are of, together, or None where none is known."""
    names = (str(name) for table in tables for column in ("run", "runs") if column in table for name in table[column])
    return "; ".join(dict.fromkeys(names)) or None


def rows_in_words(table):
    """Return the row of each reading in words, with its record where the readings are of several."""
    if "run" not in table or table.run.nunique() == 1:
        return [str(row) for row in table.row]
    return [f"{row} of {run}" for row, run in zip(table.row, table.run, strict=True)]


def together(rows):
    """Return the rows of the readings that make one row of a table: their number where it is one, else all in words."""
    if len(set(rows)) > 1:
        return "; ".join(rows)
    return int(rows[0]) if rows[0].isdigit() else rows[0]


def named(row, values, run=""):
    """Return what a note calls a reading: its row as in the file and its values; an interpolated one by its values."""
    row = str(row)
    if BETWEEN in row:
        return f"{values} (interpolated)"
    many = "s" * any(mark in row for mark in ("; ", " and "))
    return f"{run}{', ' * bool(run)}row{many} {row} ({values})"


def bore_groups(table, *also):
    """Return the rows of each bore (within 1 %), batch, entry and value of `also`, where these are columns."""
    keys = [key for key in ("batch", "entry", *also) if key in table]
    groups = []
    for _, same in table.groupby(keys, sort=False) if keys else [((), table)]:
        groups += alike(same, "diameter", SAME_BORE) if "diameter" in same else [same]
    return groups


def alike(table, column, share):
    """Return the rows of a table in the order of a column, parted where it rises by more than a share [-]."""
    ranked = table.sort_values(column, kind="stable")
    steps = ranked[column].to_numpy()
    breaks = np.flatnonzero(steps[1:] > steps[:-1] * (1 + share)) + 1
    return [ranked.iloc[part] for part in np.split(np.arange(len(ranked)), breaks)]


class Ladder(NamedTuple):
    """Readings in the order of x: what was set, what belongs to it (both as logarithms), and its uncertainty there.

    `places` says of each point which of the readings it is the mean of, counted from 0 as they were given.
    """

    x: np.ndarray
    y: np.ndarray
    share: np.ndarray
    extra: np.ndarray
    rows: tuple
    places: tuple

    def at(self, x):
        """Return (y, its uncertainty, extra, whether it was interpolated, rows in words) at x, or None outside them."""
        near = int(np.argmin(np.abs(self.x - x)))
        if abs(self.x[near] - x) <= SAME_RATE:
            return self.y[near], self.share[near], self.extra[near], False, self.rows[near]
        if not self.x[0] < x < self.x[-1]:
            return None
        high = int(np.searchsorted(self.x, x))
        part = (x - self.x[high - 1]) / (self.x[high] - self.x[high - 1])
        pair = slice(high - 1, high + 1)
        weights = np.array([1 - part, part])
        share, rows = float(np.hypot(*(weights * self.share[pair]))), " and ".join(self.rows[pair])
        return weights @ self.y[pair], share, weights @ self.extra[pair], True, f"{BETWEEN} {rows}"


def ladder(table, x, y, x_share=0.0, y_share=0.0, extra=0.0):
    """Return the `Ladder` of two columns of positive readings.

    Those at one y (the flow or pressure that was set) are averaged in x: as points of a curve they would make a step of
    it, flat and therefore without an uncertainty. Those at one x (within 0.5 %) are averaged in y. An uncertainty of x
    counts as one of y along the slope between neighbours.
    """
    ln_x, ln_y = (np.log(table[name].to_numpy(float)) for name in (x, y))
    _, setting = np.unique(ln_y.round(SAME_SET), return_inverse=True)
    ln_x = (np.bincount(setting, ln_x) / np.bincount(setting))[setting]
    order, words = np.argsort(ln_x, kind="stable"), rows_in_words(table)
    ranked = [np.broadcast_to(column, len(order))[order] for column in (ln_x, ln_y, x_share, y_share, extra)]
    parts = np.split(np.arange(len(order)), np.flatnonzero(np.diff(ranked[0]) > SAME_RATE) + 1)
    means = (np.array([column[part].mean() for part in parts]) for column in ranked)
    at_x, at_y, u_x, u_y, more = means
    slope = np.maximum(np.gradient(at_y, at_x), FLATTEST) if len(at_x) > 1 else np.ones(1)
    share = np.hypot(u_y, slope * u_x) / np.sqrt([len(part) for part in parts])
    places = tuple(order[part] for part in parts)
    rows = tuple(" and ".join(words[place] for place in point) for point in places)
    return Ladder(at_x, at_y, share, more, rows, places)
