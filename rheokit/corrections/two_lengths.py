"""Wall stress from two lengths of one bore: what both have in common falls out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..nomenclature import number, written
from .base import Method, analysed, refused
from .errors import Errors, by_source, size_of
from .lengths import flow_of, rest_in_words, shared_part, side_by_side, sources_of
from .readings import bore_groups, named, rows_of, runs_of
from .regression import common

if TYPE_CHECKING:
    from ..bench.base import BenchTest
    from .base import Correction
    from .lengths import Bore

METHOD = Method(
    "two lengths",
    "τ_w = (p_long − p_short) / 4(L_long/D − L_short/D) at equal flow",
    "force balance on the land; the principle is that of ISO 11443 (standard not read for this project)",
    "entry loss, plunger friction and barrel drag are the same for both lengths: equal flow, equal plunger position",
)
CURE = "Measure two lengths of one bore, e.g. L/D 10 and 20, at the same flows and plunger position"


def two_lengths(runs: int | list[float | BenchTest] | BenchTest) -> Correction:
    """Return wall stresses from the difference of two lengths of one bore.

    Entry loss and, for force runs, plunger friction and barrel drag cancel. Of more than two lengths the shortest and
    longest are used. Where the flows differ, ln pressure is interpolated in ln flow, and a note says so.

    Parameters
    ----------
    runs : PressureRun, ForceRun, sequence of them, or Bench

    Returns
    -------
    correction : Correction
        One row a flow: pressures of both lengths, `wall_shear_stress`, `rest_pressure`, what is left beside the wall
        of the land and the stated friction, and that rest as `end_correction` in diameters. Not analysable where no bore has two lengths, or the longer land
        does not need more pressure, or the rest is surely negative.
    """
    table, notes = rows_of(runs_of(runs, "two_lengths"))
    if table.empty:
        return refused(METHOD, f"there is no capillary or syringe run with a straight land. {CURE}.", notes=notes)
    rows, faults, single, sources = [], [], [], []
    for group in bore_groups(table):
        bore = side_by_side(group, most=2)
        if len(bore.ratios) < 2:
            single.append(f"{bore.words} has one length, L/D {number(bore.ratios[0])}")
            continue
        notes += bore.notes
        own, fault, source = _differences(bore)
        rows += own
        sources += source
        faults += fault
    if single:
        notes.append("; ".join(single) + ".")
    if faults:
        return refused(METHOD, " ".join(faults), rows, notes)
    if not rows:
        why = "; ".join(single) or "the two lengths share no range of flow"
        return refused(METHOD, f"{why}. {CURE}.", notes=notes)
    notes.append("Two lengths cannot show whether pressure grows straight with length; a third one can.")
    notes.append("A line through two points leaves no residual: which reading is bad cannot be seen here.")
    stress = by_source(sources)
    known = all(
        np.isfinite(row["wall_shear_stress_uncertainty"]) and row["wall_shear_stress_uncertainty"] > 0 for row in rows
    )
    return analysed(METHOD, rows, notes, errors=Errors(np.zeros_like(stress), stress, known))


def _differences(bore):
    """Return (rows of the table, faults in words, errors of ln stress by source) of one bore."""
    if not bore.levels:
        return [], [f"{bore.words}: the two lengths share no range of flow. {CURE}."], []
    rows, shares, errors, sources = [], [], [], []
    for place, level in enumerate(bore.levels):
        (short, long), (low, high) = level.ratios, level.pressures
        stress = (high - low) / (4 * (long - short))
        rest = low - 4 * short * stress - bore.friction
        u_low, u_high = level.shares * level.pressures
        u_rest = np.hypot(np.hypot(long * u_low, short * u_high) / (long - short), bore.friction_uncertainty)
        known = np.isfinite(u_low + u_high)
        of_stress = np.array([-1.0, 1.0]) / ((high - low) or np.inf)  # of ln τ_w
        # rest / 4τ_w by the pressures and the friction: the longer land moves it through τ_w alone
        end, per = (rest / (4 * stress), 1 / (4 * stress)) if stress else (np.nan, np.nan)
        of_end = np.array([per, 0.0]) - (short + end) * of_stress, -per
        own = np.nan_to_num(level.own * level.pressures)
        sources.append(sources_of(bore, level, place, (of_stress, 0.0), own))
        u_end = float(size_of(list(sources_of(bore, level, place, of_end, own).values())))
        rows.append({
            **level.origin, "batch": bore.batch, "diameter": bore.diameter, "flow_rate": flow_of(level.rate, bore.diameter),
            "apparent_shear_rate": level.rate, f"pressure at L/D {short:.3g}": low, f"pressure at L/D {long:.3g}": high,
            "wall_shear_stress": stress,
            "wall_shear_stress_uncertainty": np.hypot(u_low, u_high) / (4 * (long - short)),
            "rest_pressure": rest, "rest_pressure_uncertainty": u_rest if known else np.nan,
            "end_correction": end, "end_correction_uncertainty": u_end if known else np.nan,
            "interpolated": level.interpolated,
        })  # fmt: skip
        shares.append(rest / low)
        errors.append(u_rest / low if known else np.nan)
    faults, falling = [], [row for row in rows if row["wall_shear_stress"] <= 0]
    for row in falling:
        at = named(row["row"], written(row["apparent_shear_rate"], "1/s", 4))
        faults.append(
            f"{bore.words}, {at}: the longer land needs no more pressure ({written(row[f'pressure at L/D {long:.3g}'], 'Pa', 4)}"
            f" against {written(row[f'pressure at L/D {short:.3g}'], 'Pa', 4)}); repeat that reading on both, from one batch,"
            " and check the bores."
        )
    faults += negative_rest(bore, shares, errors) if not falling else []
    return rows, faults, sources


def negative_rest(bore: Bore, shares: Sequence[float], errors: Sequence[float], own: float | None = None) -> list[str]:
    """Return the fault of a rest that is surely below nothing, as a list of at most one.

    Parameters
    ----------
    bore : Bore
    shares, errors : array-like
        The rest over the pressure of the shortest land and its standard uncertainty (NaN where not known). [-]
    own : float, optional
        What the pressures scatter by, where their error is not stated. [-]
    """
    mean, rarity, sure = common(shares, errors, shared_part(bore, own))
    unknown = not np.all(np.isfinite(errors))
    if not (mean < 0 and (rarity < -sure or (unknown and len(shares) < 3 and mean < -0.05))):
        return []
    return [
        f"{bore.words}: the rest left for {rest_in_words(bore)} is negative, {100 * mean:.0f} % of the pressure of the"
        " shortest land on average, which no entry can give. One bore is wider or narrower than stated, the"
        " stated friction"
        " is too large, the paste changed between the runs, or it slips; gauge the bores and measure a third length."
    ]
