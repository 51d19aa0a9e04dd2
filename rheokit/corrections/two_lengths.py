"""Wall stress from two lengths of one bore: what both have in common falls out."""

import numpy as np

from ..nomenclature import number, written
from .base import Correction, Method, refused, settled
from .errors import Errors, by_source, size_of
from .lengths import side_by_side, widening
from .readings import NO_LAND, Runs, bore_groups, named, rows_of, runs_of
from .regression import common, fitted, growth

METHOD = Method(
    "two lengths",
    "τ_w = (p_long − p_short) / 4(L_long/D − L_short/D) at equal flow",
    "force balance on the land; the principle is that of ISO 11443 (standard not read for this project)",
    "entry loss, plunger friction and barrel drag are the same for both lengths: equal flow, equal plunger position",
)
CURE = "Measure two lengths of one bore, e.g. L/D 10 and 20, at the same flows and plunger position"


def two_lengths(runs: Runs) -> Correction:
    """Return wall stresses from the difference of two lengths of one bore.

    Entry loss and, for force runs, plunger friction and barrel drag cancel. Of more than two lengths the shortest and
    longest are used. Where the flows differ, ln pressure is interpolated in ln flow, and a note says so.

    Parameters
    ----------
    runs : PressureRun, ForceRun, sequence of them, Bench, or FitResult
        Of a fit the friction taken off a force is the one that it found, else the one as stated.

    Returns
    -------
    correction : Correction
        One row a flow: pressures of both lengths, `wall_shear_stress`, `rest_pressure`, what is left beside the wall
        of the land and the friction, and that rest as `end_correction` in diameters. Not analysable where no
        bore has two lengths, or the longer land does not need more pressure, or the rest is surely negative.
    """
    table, notes = rows_of(runs_of(runs, "two_lengths"))
    if table.empty:
        return refused(METHOD, f"{NO_LAND}. {CURE}.", notes)
    rows, faults, single, sources = [], [], [], []
    for group in bore_groups(table):
        bore = side_by_side(group, most=2)
        if len(bore.ratios) < 2:
            single.append(f"{bore.words} has one length, L/D {number(bore.ratios[0])}")
            continue
        notes += bore.notes
        if not bore.levels:
            faults.append(f"{bore.words}: the two lengths share no range of flow. {CURE}.")
            continue
        (short, long), own = bore.ratios, []
        of_slope, of_start = np.array([[-1.0, 1.0], [long, -short]]) / (long - short)
        more = _more(bore, of_slope, of_start)
        notes += widening(bore.words, "end corrections about a straight line in ln rate", more)
        for place, level in enumerate(bore.levels):
            columns, of_stress, _ = bore.line(place, of_slope, of_start, more * level.own * level.pressures)
            own.append({**bore.columns(level), **columns, "interpolated": level.interpolated})
            sources.append(of_stress)
        rows += own
        faults += _falling(bore, own) or negative_rest(bore, own)
    if single:
        notes.append("; ".join(single) + ".")
    if not faults and not rows:
        return refused(METHOD, f"{'; '.join(single)}. {CURE}.", notes)
    if not faults:
        notes.append("Two lengths cannot show whether pressure grows straight with length; a third one can.")
        notes.append("A line through two points leaves no residual: which reading is bad cannot be seen here.")
    stress = np.nan_to_num(by_source(sources))  # an error that is not stated is none of a bore
    errors = np.array([row["wall_shear_stress_uncertainty"] for row in rows])
    known = bool(np.all(np.isfinite(errors) & (errors > 0)))
    return settled(METHOD, rows, faults, notes, errors=Errors(np.zeros_like(stress), stress, known))


def _more(bore, of_slope, of_start):
    """Return by how much readings err more than was stated, as end corrections scatter about a straight line in ln rate; 1.96 of it hold 95 %.

    Two points leave no residual, but what is beside the wall changes smoothly with the rate: where it does not, readings are off.
    """
    pressures = np.array([level.pressures for level in bore.levels])
    own, slopes = pressures * [level.own for level in bore.levels], pressures @ of_slope
    if len(slopes) < 3 or np.any(slopes <= 0):
        return 1.0
    ends = (pressures @ of_start - bore.friction) / slopes
    errors = size_of((of_start - ends[:, None] * of_slope) / slopes[:, None] * own)
    if not np.all(np.isfinite(errors) & (errors > 0)):
        return 1.0
    return growth([fitted(np.log([level.rate for level in bore.levels]), ends, errors, 1, known=True)])


def _falling(bore, rows):
    """Return the faults of the rates at which the longer land needs no more pressure."""
    faults = []
    for row, level in zip(rows, bore.levels, strict=True):
        if row["wall_shear_stress"] <= 0:
            low, high = (written(pressure, "Pa", 4) for pressure in level.pressures)
            faults.append(
                f"{bore.words}, {named(row['row'], written(level.rate, '1/s', 4))}: the longer land needs no more pressure"
                f" ({high} against {low}); repeat that reading on both, from one batch, and check the bores."
            )
    return faults


def negative_rest(bore, rows, own=None):
    """Return the fault of a rest that is surely below nothing, as a list of at most one.

    Of one row a level with `rest_pressure` and its standard uncertainty (NaN where not known) [Pa]; `own` is what the
    pressures scatter by, where their error is not stated [-].
    """
    shares, errors = (
        [row[name] / level.pressures[0] for row, level in zip(rows, bore.levels, strict=True)]
        for name in ("rest_pressure", "rest_pressure_uncertainty")
    )
    mean, rarity, sure = common(shares, errors, bore.shared_part(own))
    unknown = not np.all(np.isfinite(errors))
    if not (mean < 0 and (rarity < -sure or (unknown and len(shares) < 3 and mean < -0.05))):
        return []
    return [
        f"{bore.words}: the rest left for {bore.rest} is negative, {100 * mean:.0f} % of the pressure of the shortest land"
        " on average, which no entry can give. One bore is wider or narrower than stated, the friction taken off is"
        " too large, the paste changed between the runs, or it slips; gauge the bores and measure a third length."
    ]
