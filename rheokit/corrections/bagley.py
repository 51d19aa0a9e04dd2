"""Bagley's plot: pressure against L/D at one apparent rate, a straight line whose intercept is the end loss."""

import numpy as np

from ..nomenclature import number, with_decimals, written
from .base import Correction, Method, estimate, refused, settled
from .errors import TIED, Errors, by_source, farthest, own_scatter, size_of
from .lengths import side_by_side, widening
from .readings import NO_LAND, Runs, bore_groups, named, rows_of, runs_of
from .regression import common, fitted, growth, off_lines
from .two_lengths import negative_rest, two_lengths

METHOD = Method(
    "Bagley",
    "p = 4 τ_w (L/D + e) at equal apparent rate: slope 4 τ_w, end correction e in diameters where the line meets p = 0",
    "Bagley, J. Appl. Phys. 28 (1957) 624 (from memory)",
    "pressure grows straight with length, and the end loss does not depend on it",
)
CURE = "Measure three lengths of one bore or more, e.g. L/D 5, 10 and 20, at the same flows"
CURVED = 0.03  # of the pressure, below which a curve in the plot is not worth a word
ORIFICE = 2.0  # L/D below which a land is nearly an orifice; common practice, no source


def bagley(runs: Runs) -> Correction:
    """Return wall stresses and end corrections from three or more lengths of one bore.

    Parameters
    ----------
    runs : PressureRun, ForceRun, sequence of them, Bench, or FitResult
        Of a fit the friction taken off a force is the one that it found, else the one as stated.

    Returns
    -------
    correction : Correction
        One row a rate: the pressures, `wall_shear_stress`, `end_correction` in diameters, and `curvature`: how far the
        middle of the plot lies above its chord, over the pressure there. An error of the bore of one length is the
        same at every rate, so that the mean end correction is not known better for it. With two lengths it is the
        two-length method, and says so. Not analysable where the plot is surely curved or the end loss surely negative.
    """
    table, notes = rows_of(runs_of(runs, "bagley"))
    if table.empty:
        return refused(METHOD, f"{NO_LAND}. {CURE}.", notes)
    bores = [side_by_side(group) for group in bore_groups(table)]
    most = max(len(bore.ratios) for bore in bores)
    if most < 2:
        return refused(METHOD, f"every bore has one length. {CURE}.", notes)
    if most == 2:
        plain = two_lengths(runs)
        said = "With two lengths this is the two-length method: a line through two points; curvature cannot be tested."
        if not plain.analysable:
            return refused(METHOD, f"two lengths only, and {plain.reason}", [*plain.notes, said])
        return settled(METHOD, plain.table, [], [*plain.notes, said], errors=plain.errors)
    rows, faults, ends, sources = [], [], [], []
    for bore in bores:
        if len(bore.ratios) < 3:
            notes.append(f"{bore.words} is left out: it has {len(bore.ratios)} length{'s' * (len(bore.ratios) > 1)}.")
            continue
        notes += bore.notes
        if bore.ratios[0] < ORIFICE:
            notes.append(
                f"{bore.words}: the shortest land, L/D {number(bore.ratios[0], 2)}, is nearly an orifice, whose end loss"
                " differs from that of a land; see whether the plot is straight without it."
            )
        if not bore.levels:
            faults.append(f"{bore.words}: the lengths share no range of flow. {CURE}.")
            continue
        if len(bore.levels) < 3 and not np.isfinite(bore.levels[0].shares).all():
            notes.append(
                f"{bore.words}: with {len(bore.levels)} rates and no stated uncertainty its curvature cannot be tested."
            )
        own, fault, end, source, far = _lines(bore)
        rows += own
        faults += fault
        ends.append(end)
        sources += source
        notes += far
    if not faults and any(bore.drags for bore in bores):
        notes.append("Behind a barrel that drags, the end correction holds the drag too.")
    stress = by_source(sources)
    return settled(METHOD, rows, faults, notes, ends, Errors(np.zeros_like(stress), stress, True))


def _lines(bore):
    """Return (rows of the table, faults, mean end correction, errors of ln stress by source, notes) of one bore."""
    known = all(np.isfinite(level.shares).all() and np.all(level.shares > 0) for level in bore.levels)
    shapes, pooled = off_lines(bore.ratios, [level.pressures for level in bore.levels])
    own_share = own_scatter(shapes, 2, bore.die_share > 0)
    rows, of_stresses, of_ends, off = [], [], [], []
    sizes, curves = [], []
    for level in bore.levels:
        share = level.shares if known else np.hypot(own_share, level.die) if level.die else max(pooled, 1e-12)
        sizes.append(share * level.pressures)
        curves.append([fitted(bore.ratios, level.pressures, sizes[-1], order, known=True) for order in (1, 2)])
    more = growth([line for line, _ in curves]) if known else 1.0
    wider = widening(bore.words, "pressures about the lines", more)
    for place, (level, size, (line, curve)) in enumerate(zip(bore.levels, sizes, curves, strict=True)):
        middle = float(curve.value(np.mean(bore.ratios[[0, -1]])))
        bend, u_bend = curve.bend(np.ptp(bore.ratios) / 2, middle)
        own = level.own * level.pressures * more if known else own_share * level.pressures
        columns, of_stress, of_end = bore.line(place, line.gain[1], line.of_start, own)
        of_stresses.append(of_stress)
        of_ends.append(of_end)
        left = level.pressures - line.value(bore.ratios)
        off += zip(bore.named(level), level.pressures, left, size * line.spare, strict=True)
        rows.append({
            **bore.columns(level), **bore.at_lengths("pressure_residual", left), **columns,
            "curvature": bend, "curvature_uncertainty": u_bend if known or bore.die_share else np.nan,
            "interpolated": level.interpolated,
        })  # fmt: skip
    values, errors = (np.array([row[f"end_correction{of}"] for row in rows]) for of in ("", "_uncertainty"))
    weights = errors**-2.0
    weights /= weights.sum()
    mean, u_mean = float(weights @ values), float(size_of(weights @ by_source(of_ends)))
    end = estimate("end_correction", mean, u_mean)._replace(of=f"{bore.words}: ")
    far = f"{bore.words}: {farthest(*zip(*off, strict=True), 'the line')}{TIED * (len(bore.ratios) == 3)}"
    return rows, _faults(bore, rows, None if known else own_share), end, of_stresses, [far, *wider]


def _faults(bore, rows, own):
    """Return why the plot of a bore gives no end loss: curved, falling, or negative at no length."""
    bends, errors = ([row[f"curvature{of}"] for row in rows] for of in ("", "_uncertainty"))
    mean, rarity, sure = common(bends, errors, bore.shared_part(own))
    faults = []
    if abs(mean) >= CURVED and abs(rarity) >= sure:
        way = (
            "above its chord: long lands read low, as with slip, warming by work, or a bore that is wider in the long one"
            if mean > 0
            else "below its chord: long lands read high, as in dense pastes that drain or compact under pressure, or with a"
            " bore that is narrower in the long one"
        )
        faults.append(
            f"{bore.words}: the plot is curved, its middle {with_decimals(100 * abs(mean), 1)} % of the pressure {way}. The plots of"
            f" dense suspensions do curve, and then no straight line gives {bore.rest}. Gauge each bore, repeat the order"
            " of lengths backwards, and use lengths near the one of use with the two-length method."
        )
    low = [row for row in rows if row["wall_shear_stress"] <= 0]
    falling = [named(row["row"], written(row["apparent_shear_rate"], "1/s", 4)) for row in low]
    if falling:
        faults.append(
            f"{bore.words}: at {', '.join(falling)} the pressure falls with length; repeat those readings from one batch."
        )
    return faults or negative_rest(bore, rows, own)
