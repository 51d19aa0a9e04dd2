"""Readings of several lengths of one bore at one apparent rate: what both end corrections work on."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..hints import Numbers
from ..nomenclature import number, written
from .readings import ladder, named, records_of, rows_in_words, run_of, together

if TYPE_CHECKING:
    import pandas as pd

SAME_LENGTH = 0.01
SAME_FILL = 0.05  # of the fill, by which plunger positions may differ before barrel drag stops cancelling


class Level(NamedTuple):
    """One apparent rate [1/s] with the pressure [Pa] of each length there, and u(p)/p [-] of all, of the reading and of the bore.

    `rows` says which readings they are, `runs` of which record each is where it is one, `records` of which all are.
    """

    rate: float
    ratios: np.ndarray
    pressures: np.ndarray
    shares: np.ndarray
    own: np.ndarray
    die: float
    fills: np.ndarray
    interpolated: bool
    runs: tuple
    rows: tuple
    records: str

    @property
    def origin(self) -> dict[str, int | str]:
        """Columns of a table that say which readings this rate is of."""
        return {"runs": self.records, "row": together(self.rows)}

    def named(self, place: int) -> str:
        """Return what a note calls the reading of one length."""
        values = f"L/D {number(self.ratios[place])}, {written(self.rate, '1/s', 4)}, {written(self.pressures[place], 'Pa', 4)}"
        return named(self.rows[place], values, self.runs[place])


class Bore(NamedTuple):
    """The lengths of one bore, side by side."""

    words: str
    diameter: float
    die_share: float
    friction: float
    friction_uncertainty: float
    drags: bool
    batch: str
    ratios: np.ndarray
    levels: tuple
    notes: tuple


def side_by_side(group: pd.DataFrame, most: int | None = None) -> Bore:
    """Return the `Bore` of a group of rows of one bore; `most` keeps only that many lengths: the shortest and longest.

    Where the rates of the runs differ, ln pressure is interpolated on a straight line in ln rate; never beyond them.
    """
    diameter = float(group.diameter.mean())
    words, notes = (
        f"bore {written(diameter, 'm')}" + (f", batch {group.batch.iloc[0]}" if group.batch.iloc[0] else ""),
        [],
    )
    ranked = group.sort_values("length_over_diameter", kind="stable")
    ratio = ranked.length_over_diameter.to_numpy()
    parts = np.split(np.arange(len(ranked)), np.flatnonzero(ratio[1:] > ratio[:-1] * (1 + SAME_LENGTH)) + 1)
    if most and len(parts) > most:
        notes.append(
            f"{words}: {len(parts)} lengths; the shortest and the longest are used. Bagley's plot takes them all."
        )
        parts = [parts[0], parts[-1]]
    spread = group.diameter.max() / group.diameter.min() - 1
    if spread > 1e-4:
        notes.append(
            f"{words}: the bores differ by {written(spread, '%', 2)} and are compared at equal 32Q/πD³, not equal flow."
        )
    lengths = [ranked.iloc[part] for part in parts]
    ratios = np.array([part.length_over_diameter.mean() for part in lengths])
    ladders = [
        ladder(part.apparent_shear_rate, part.pressure, part.flow_share, part.pressure_share, part.fill_length,
               rows_in_words(part))
        for part in lengths
    ]  # fmt: skip
    runs = tuple(run_of(part) for part in lengths)
    # each die has its own error of bore, and at a stated flow the pressure goes with D^-(3n′ + 1), n′ that of the rate
    bends = [np.polyfit(one.x, one.y, min(len(one.x) // 2, 3)) for one in ladders]
    levels, outside = [], []
    if len(ladders) > 1:
        fewest = min(range(len(ladders)), key=lambda i: len(ladders[i].x))
        for x, y, row in zip(ladders[fewest].x, ladders[fewest].y, ladders[fewest].rows, strict=True):
            found = [one.at(x) for one in ladders]
            if None in found:
                outside.append(
                    named(
                        row, f"{written(np.exp(x), '1/s', 4)}, {written(np.exp(y), 'Pa', 4)}", run_of(lengths[fewest])
                    )
                )
                continue
            *numbers, rows = zip(*found, strict=True)
            y, share, fill, between = (np.array(v) for v in numbers)
            slopes = [np.polyval(np.polyder(bend), x) if len(bend) > 1 else 1.0 for bend in bends]
            die = (3 * float(np.mean(np.clip(slopes, 0, 1))) + 1) * float(group.bore_share.max())
            levels.append(
                Level(float(np.exp(x)), ratios, np.exp(y), np.hypot(share, die), share, die, fill, bool(between.any()),
                      runs, rows, records_of(lengths))
            )  # fmt: skip
    if outside:
        notes.append(f"{words}: {'; '.join(outside)} left out: not inside the rates of every length.")
    if any(level.interpolated for level in levels):
        notes.append(
            f"{words}: the flows of the lengths differ; ln pressure was interpolated in ln flow (see interpolated)."
        )
    first = group.iloc[0]
    drags = bool(group.drags.any())
    apart = [np.ptp(level.fills) / np.max(level.fills) for level in levels if np.max(level.fills) > 0]
    if drags and apart and max(apart) > SAME_FILL:
        notes.append(
            f"{words}: plunger positions differ by up to {100 * max(apart):.0f} % of the fill, so barrel drag does"
            " not cancel; read every length at the same plunger position."
        )
    die = float(np.mean([level.die for level in levels])) if levels else 0.0
    return Bore(words, diameter, die, float(first.friction_pressure),
                float(first.friction_uncertainty), drags, first.batch, ratios, tuple(levels), tuple(notes))  # fmt: skip


def shared_part(bore: Bore, own: float | None = None) -> float:
    """Return the share of the uncertainty of its pressures [-] that is the same at every rate: that of the bores.

    `own` is what the pressures scatter by [-], where their error is not stated.
    """
    total = (
        float(np.mean([level.shares.mean() for level in bore.levels])) if own is None else np.hypot(own, bore.die_share)
    )
    return min(bore.die_share / total, 1.0) if total > 0 else 0.0


def sources_of(
    bore: Bore, level: Level, place: int, parts: tuple[np.ndarray, float], own: ArrayLike
) -> dict[str, float]:
    """Return the errors of a number at one rate by their sources: what was read, the bore of each die, the friction.

    Parameters
    ----------
    bore : Bore
    level : Level
    place : int
        Of the level among those of the bore, counted from 0. [-]
    parts : tuple of ndarray
        How much the number changes with the pressure of each length, and last with the pressure of friction, in its own
        unit. [1/Pa]
    own : array-like
        Standard error of each pressure as read. [Pa]
    """
    of_pressure, of_friction = parts
    die = of_pressure * level.die * level.pressures
    return {
        **{f"{bore.words} {place} {i}": float(e) for i, e in enumerate(of_pressure * own)},
        **{f"{bore.words} die {i}": float(e) for i, e in enumerate(die)},
        f"{bore.words} friction": float(of_friction * bore.friction_uncertainty),
    }


def flow_of(rate: Numbers, diameter: Numbers) -> Numbers:
    """Return the volume flow [m3/s] of an apparent rate [1/s] in a bore [m]."""
    return np.pi * diameter**3 / 32 * rate


def rest_in_words(bore: Bore) -> str:
    """Return what the pressure beside the wall of the land holds."""
    return "entry loss and barrel drag" if bore.drags else "entry loss"
