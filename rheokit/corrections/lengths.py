"""Readings of several lengths of one bore at one apparent rate: what both end corrections work on."""

from typing import NamedTuple

import numpy as np

from ..nomenclature import number, written
from .errors import size_of
from .readings import alike, ladder, named, records_of, run_of, together

SAME_LENGTH = 0.01
WIDER = "times as large as stated"
SAME_FILL = 0.05  # of the fill, by which plunger positions may differ before barrel drag stops cancelling


def widening(words, about, more):
    """Return the note that a scatter makes the errors of readings larger than they were stated, as a list of at most one."""
    if more < 1.005:
        return []
    return [
        f"{words}: the errors of the readings count {number(more)} {WIDER}, by how {about} scatter and how few tell that (Student's t)."
    ]


class Level(NamedTuple):
    """One apparent rate [1/s] with the pressure [Pa] of each length there, and u(p)/p [-] of all, of the reading and of the bore.

    `rows` says which readings they are.
    """

    rate: float
    pressures: np.ndarray
    shares: np.ndarray
    own: np.ndarray
    die: float
    fills: np.ndarray
    interpolated: bool
    rows: tuple


class Bore(NamedTuple):
    """The lengths of one bore side by side: `runs` names the record of each where it is one, `records` those of all."""

    words: str
    diameter: float
    friction: float
    friction_uncertainty: float
    drags: bool
    batch: str
    ratios: np.ndarray
    levels: tuple
    notes: tuple
    runs: tuple
    records: str | None

    def named(self, level):
        """Return what a note calls the reading of each length at one level."""
        return [
            named(row, f"L/D {number(ratio)}, {written(level.rate, '1/s', 4)}, {written(pressure, 'Pa', 4)}", run)
            for row, ratio, pressure, run in zip(level.rows, self.ratios, level.pressures, self.runs, strict=True)
        ]

    @property
    def die_share(self):
        """Share of error of a pressure [-] that comes from the bores, on average."""
        return float(np.mean([level.die for level in self.levels])) if self.levels else 0.0

    @property
    def rest(self):
        """What the pressure beside the wall of the land holds, in words."""
        return "entry loss and barrel drag" if self.drags else "entry loss"

    def columns(self, level):
        """Return what begins the row of a level in a table: which readings it is of, and how they flowed."""
        return {
            "runs": self.records, "row": together(level.rows), "batch": self.batch, "diameter": self.diameter,
            "flow_rate": np.pi * self.diameter**3 / 32 * level.rate, "apparent_shear_rate": level.rate,
            **self.at_lengths("pressure", level.pressures),
        }  # fmt: skip

    def at_lengths(self, name, values):
        """Return the columns of what has a value for each length."""
        return {f"{name} at L/D {ratio:.3g}": value for ratio, value in zip(self.ratios, values, strict=True)}

    def line(self, place, of_slope, of_start, own):
        """Return columns of a line of pressure against L/D, and errors of ln wall stress and end correction by source.

        Its slope and its value at no length are `of_slope` and `of_start` times the pressures of a level; `own` is the
        standard error of each pressure as read, NaN where it is not known [Pa].
        """
        pressures = self.levels[place].pressures
        stress, rest = of_slope @ pressures / 4, of_start @ pressures - self.friction
        per = 1 / (4 * stress) if stress else np.nan
        end, columns = rest * per, {}
        of_stress = self.sources(place, of_slope / 4, 0.0, own)
        of_rest = self.sources(place, of_start, -1.0, own)
        of_end = self.sources(place, (of_start - end * of_slope) * per, -per, own)
        for name, value, of_value in (
            ("wall_shear_stress", stress, of_stress), ("rest_pressure", rest, of_rest), ("end_correction", end, of_end),
        ):  # fmt: skip
            columns |= {name: value, f"{name}_uncertainty": float(size_of(list(of_value.values())))}
        return columns, {source: error / (stress or np.inf) for source, error in of_stress.items()}, of_end

    def shared_part(self, own):
        """Return the share of the uncertainty of its pressures [-] that is the same at every rate: that of the bores.

        `own` is what the pressures scatter by [-], where their error is not stated.
        """
        if own is None:
            total = float(np.mean([level.shares.mean() for level in self.levels]))
        else:
            total = np.hypot(own, self.die_share)
        return min(self.die_share / total, 1.0) if total > 0 else 0.0

    def sources(self, place, of_pressure, of_friction, own):
        """Return the errors of a number at a level by their sources: what was read, the bore of each die, the friction.

        It changes by `of_pressure` and `of_friction` with the pressure of each length and with that of friction [its
        unit/Pa]; `own` is the standard error of each pressure as read [Pa].
        """
        level = self.levels[place]
        die = of_pressure * level.die * level.pressures
        return {
            **{f"{self.words} {place} {i}": float(e) for i, e in enumerate(of_pressure * own)},
            **{f"{self.words} die {i}": float(e) for i, e in enumerate(die)},
            f"{self.words} friction": float(of_friction * self.friction_uncertainty),
        }


def side_by_side(group, most=None):
    """Return the `Bore` of a group of rows of one bore; `most` keeps only that many lengths: the shortest and longest.

    Where the rates of the runs differ, ln pressure is interpolated on a straight line in ln rate; never beyond them.
    """
    first, diameter, notes = group.iloc[0], float(group.diameter.mean()), []
    lengths = alike(group, "length_over_diameter", SAME_LENGTH)
    if most and len(lengths) > most:
        notes.append(f"{len(lengths)} lengths; the shortest and the longest are used. Bagley's plot takes them all.")
        lengths = [lengths[0], lengths[-1]]
    spread = group.diameter.max() / group.diameter.min() - 1
    if spread > 1e-4:
        notes.append(
            f"the bores differ by {written(spread, '%', 2)} and are compared at equal 32Q/πD³, not equal flow."
        )
    ratios = np.array([part.length_over_diameter.mean() for part in lengths])
    runs = tuple(map(run_of, lengths))
    levels, outside = _levels(lengths, runs, float(group.bore_share.max()))
    if outside:
        notes.append(f"{'; '.join(outside)} left out: not inside the rates of every length.")
    if any(level.interpolated for level in levels):
        notes.append("the flows of the lengths differ; ln pressure was interpolated in ln flow (see interpolated).")
    drags = bool(group.drags.any())
    apart = [np.ptp(level.fills) / np.max(level.fills) for level in levels if np.max(level.fills) > 0]
    if drags and apart and max(apart) > SAME_FILL:
        notes.append(
            f"plunger positions differ by up to {100 * max(apart):.0f} % of the fill, so barrel drag does not cancel;"
            " read every length at the same plunger position."
        )
    words = f"bore {written(diameter, 'm')}" + (f", batch {first.batch}" if first.batch else "")
    notes = tuple(f"{words}: {note}" for note in notes)
    return Bore(words, diameter, float(first.friction_pressure), float(first.friction_uncertainty), drags, first.batch,
                ratios, tuple(levels), notes, runs, records_of(lengths))  # fmt: skip


def _levels(lengths, runs, bore_share):
    """Return (levels, readings in words that lie outside the rates of some length)."""
    if len(lengths) < 2:
        return [], []
    ladders = [
        ladder(part, "apparent_shear_rate", "pressure", part.flow_share, part.pressure_share, part.fill_length)
        for part in lengths
    ]
    # each die has its own error of bore, and at a stated flow the pressure goes with D^-(3n′ + 1), n′ that of the rate
    bends = [np.polyfit(one.x, one.y, min(len(one.x) // 2, 3)) for one in ladders]
    fewest = min(range(len(ladders)), key=lambda i: len(ladders[i].x))
    levels, outside = [], []
    for x, y, row in zip(ladders[fewest].x, ladders[fewest].y, ladders[fewest].rows, strict=True):
        found = [one.at(x) for one in ladders]
        if None in found:
            values = f"{written(np.exp(x), '1/s', 4)}, {written(np.exp(y), 'Pa', 4)}"
            outside.append(named(row, values, runs[fewest]))
            continue
        *numbers, rows = zip(*found, strict=True)
        y, share, fill, between = (np.array(v) for v in numbers)
        slopes = [np.polyval(np.polyder(bend), x) if len(bend) > 1 else 1.0 for bend in bends]
        die = (3 * float(np.mean(np.clip(slopes, 0, 1))) + 1) * bore_share
        shares, interpolated = np.hypot(share, die), bool(between.any())
        levels.append(Level(float(np.exp(x)), np.exp(y), shares, share, die, fill, interpolated, rows))
    return levels, outside
