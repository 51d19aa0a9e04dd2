"""True wall shear rates from the slope of the flow curve: the correction of Weissenberg, Rabinowitsch and Mooney."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..sampling import SURE
from .base import Method, analysed, estimate, refused
from .errors import farthest, size_of
from .readings import bore_groups, curve_of, named
from .regression import averaged, fitted, odd_one_out, smooth

if TYPE_CHECKING:
    import pandas as pd

    from ..bench.base import BenchTest
    from .base import Correction

METHOD = Method(
    "Weissenberg-Rabinowitsch",
    "γ̇_w = γ̇_a (3n′ + 1)/4n′ with n′ = d ln τ_w / d ln γ̇_a, γ̇_a = 8U/D = 32Q/πD³",
    "Rabinowitsch, Z. phys. Chem. A 145 (1929) 1; Mooney, J. Rheol. 2 (1931) 210 (both from memory)",
    "steady laminar flow without slip at the wall, end loss taken out before: take slip out first where bores disagree",
)
FEWEST = 4  # rates for a slope with some scatter to judge it by
NARROWEST = 3.0  # greatest rate over least; common practice, no source
WIDE = 1000.0  # greatest rate over least, above which a low order follows a yield stress badly at its slow end (seen)
FAR_APART = 3.0  # upper over lower limit of a true rate, above which its row is named
LOPSIDED = 1.2  # upper over lower half of an interval, above which the limits are to be read
VAGUE = 0.25  # standard uncertainty of most true rates, as a share of them, above which the correction says nothing


def rabinowitsch(curve: list[BenchTest] | BenchTest | Correction | pd.DataFrame) -> Correction:
    """Return true wall shear rates from a measured flow curve of a capillary.

    The slope n′ is the mean of those of polynomials of order 1 to 6 through ln stress against ln apparent rate, each
    as likely as the readings make it; their spread is part of its uncertainty. Each bore and batch has its own.
    A reading that the others do not explain is named and the table shows slope and rate with and without it; it is not
    dropped.

    Parameters
    ----------
    curve : PressureRun, ForceRun, sequence of them, Bench, Correction, or DataFrame
        Runs, or the table of an earlier step with columns `apparent_shear_rate` and `wall_shear_stress`, in SI.

    Returns
    -------
    correction : Correction
        One row a reading: `local_slope` n′, `rate_correction`, `wall_shear_rate` with its 95 % limits, which hold the
        slope's uncertainty and those of rate and bore, and `wall_shear_stress_residual` at that rate. Where n′ may be
        nothing the rate has no upper limit (inf), and a note says so. `wall_shear_rate_uncertainty` is the root mean
        square of both sides, over 1.96: where they are lopsided it is wider than it says, and `wall_shear_rate_low`
        and `wall_shear_rate_high` are to be read. The estimates are of the straight line, τ_w = K′ γ̇_a^n′. Not
        analysable with too few rates, too narrow a range, too much scatter, a falling curve, or a slope that would let
        the true rate fall while the apparent one climbs.
    """
    table, errors, notes, why = curve_of(curve, "rabinowitsch")
    if why:
        return refused(METHOD, why + ".", notes=notes)
    rows, faults, estimates = [], [], []
    groups = bore_groups(table, "length")
    for group in groups:
        words = _words(group) if len(groups) > 1 else ""
        ordered = group.sort_values("apparent_shear_rate", kind="stable")
        own, fault, said, found = _corrected(ordered, errors.of(ordered.index.to_numpy()), words)
        rows.append(own)
        faults += fault
        notes += said
        estimates += [one._replace(of=words) for one in found]
    if "runs" in table:
        notes += [f"Rows are those of {runs}, in that order." for runs in table.runs.dropna().unique() if "; " in runs]
    import pandas as pd

    together = pd.concat(rows, ignore_index=True)
    if len(groups) > 1:
        notes.append(
            "Each bore (and uncorrected length) has its own curve. Where they do not fall on one, the paste"
            " slips or end loss"
            " is left in: see two lengths and mooney."
        )
    if faults:
        return refused(METHOD, " ".join(faults), together, notes)
    return analysed(METHOD, together, notes, estimates)


def _words(group):
    bore = f"bore {group.diameter.mean() * 1e3:.3g} mm" if "diameter" in group else ""
    if "length" in group:
        bore += f", land {group.length.mean() * 1e3:.3g} mm"
    batch = f"batch {group.batch.iloc[0]}" if "batch" in group and group.batch.iloc[0] else ""
    return ", ".join(filter(None, [bore, batch])) + ": "


def _corrected(group, errors, words):
    """Return (table, faults, notes, estimates) of the readings of one curve in the order of rate."""
    import pandas as pd

    rate, stress = (group[name].to_numpy(float) for name in ("apparent_shear_rate", "wall_shear_stress"))
    usable = (rate > 0) & (stress > 0)
    if not usable.all():
        table, faults, notes, found = _corrected(group[usable], errors.of(usable), words)
        lost = "; ".join(_reading(group, row) for row in np.flatnonzero(~usable))
        notes = [f"{words}no true rate at {lost}: rate or stress is not positive there.", *notes]
        return pd.concat([group[~usable], table], ignore_index=True), faults, notes, found
    faults = _too_little(rate, stress, words)
    if faults:
        return group, faults, [], []
    x, y = np.log(rate), np.log(stress)
    of_reading = errors.stress - np.polyfit(x, y, 1)[0] * errors.rate  # errors of ln stress at a given rate
    share, known = (size_of(_own(of_reading)), True) if errors.known else (np.ones(len(x)), False)
    share, known = (share, known) if np.all(share > 0) else (np.ones(len(x)), False)
    mean = averaged(x, y, share, known)
    table = _with_rates(group, mean, x)
    _carry(table, mean, x, errors, known)
    left = y - mean.value(x)
    table["wall_shear_stress_residual"] = stress * -np.expm1(-left)
    spare = sum(s * one.scale * one.spare for s, one in zip(mean.shares, mean.fits, strict=True))
    readings = [_reading(group, row) for row in range(len(x))]
    far = farthest(readings, stress, table.wall_shear_stress_residual, stress * share * spare, "the smooth curve")
    notes = [
        words + far,
        *_open(table, readings, words),
        *_wide(table, readings, words),
        *_odd(table, (x, y, share, known), readings, words),
    ]
    if rate[-1] / rate[0] > WIDE:
        notes.append(
            f"{words}the rates span more than three decades: near a yield stress a smooth curve follows the slope badly"
            " at the slowest rates, and its limits there are wide. Trust the direct fit there."
        )
    found, note = _straight((x, y, share, known), words)
    return table, _impossible(table, mean, x, readings, words), [*notes, note], found


def _open(table, readings, words):
    """Return a note on the rows whose true rate has no upper limit, as a list of at most one."""
    rows = np.flatnonzero(np.isinf(table.wall_shear_rate_high))
    if not len(rows):
        return []
    named = "; ".join(
        f"{readings[row]}, n′ = {table.local_slope[row]:.2g} ± {table.local_slope_uncertainty[row]:.1g}" for row in rows
    )
    return [
        f"{words}no upper limit of the true rate is known at {named}: the slope n′ there may be nothing, as near a yield"
        " stress. Read more rates there and slower, each twice, or trust the direct fit."
    ]


def _wide(table, readings, words):
    """Return notes on the rows whose limits lie far apart, and on limits that are lopsided."""
    low, high, rate = (table[f"wall_shear_rate{end}"].to_numpy(float) for end in ("_low", "_high", ""))
    notes, rows = [], np.flatnonzero(np.isfinite(high) & (high > FAR_APART * low))
    if len(rows):
        named = "; ".join(f"{readings[row]}: {low[row]:.3g} to {high[row]:.3g} 1/s" for row in rows)
        notes.append(
            f"{words}the limits of the true rate lie more than a factor {FAR_APART:g} apart at {named}. The slope n′ is"
            " small or little known there, as near a yield stress and at the ends of a curve. Read more rates there and"
            " beyond, each twice, or trust the direct fit."
        )
    if np.any(np.isfinite(high) & (high - rate > LOPSIDED * (rate - low))):
        notes.append(
            f"{words}the 95 % limits are wall_shear_rate_low and _high, and lopsided; ± 1.96 of the symmetric"
            " wall_shear_rate_uncertainty is wider than it says."
        )
    return notes


def _odd(table, curve, readings, words):
    """Return a note on a reading that the others do not explain, as a list of at most one, and put both into the table."""
    odd = odd_one_out(*curve)
    if not odd:
        return []
    row, off, rest = odd
    other = _with_rates(table, rest, curve[0])
    for name in ("local_slope", "wall_shear_rate"):
        table[f"{name} without odd reading"] = other[name]
    change = np.delete((table.wall_shear_rate / other.wall_shear_rate - 1).to_numpy(), row)
    most = change[np.argmax(np.abs(change))]
    slow = (
        " At the slowest rate slip, or a reading before the flow was steady, looks like this too." if row == 0 else ""
    )
    return [
        f"{words}look at {readings[row]}:"
        f" it lies {100 * np.expm1(off):+.0f} % off the smooth curve of the others (studentised deleted residual, 1 %"
        f" chance over all rows). It moves the true rates of the others by up to {100 * most:+.0f} %; both are in"
        f" the table. Repeat it and its neighbours, or leave it out with a reason.{slow}"
    ]


def _straight(curve, words):
    """Return (estimates of the straight line in logarithms, a note on whether it is one)."""
    straight, bent = fitted(*curve[:3], 1, curve[3]), smooth(*curve)
    power, at_one = straight.coefficients[1], float(np.exp(straight.value(0.0)))
    size = straight.quantile
    found = [
        estimate("apparent_flow_index", power, np.sqrt(straight.covariance[1, 1]), size),
        estimate("apparent_consistency", at_one, at_one * float(straight.uncertainty(0.0)), size, positive=True),
    ]
    bend, u_bend = (float(v) for v in (bent.value(bent.centre, 2), bent.uncertainty(bent.centre, 2)))
    if power > 0 and len(bent.coefficients) < 4 and abs(bend) <= max(bent.quantile * u_bend, 1e-6):
        return found, (
            f"{words}a straight line in logarithms is not excluded. If it is a power law, n = n′ and"
            f" K = K′/((3n′+1)/4n′)^n′ = {at_one / ((3 * power + 1) / (4 * power)) ** power:.4g} Pa·sⁿ."
        )
    return found, f"{words}curved in logarithms, so no power law: K′ and n′ of the straight line describe it no more."


def _different(rate):
    """Return how many rates there are that lie 5 % or more from each other, counted from the slowest: a ramp has many."""
    count, last = 0, -np.inf
    for one in np.sort(np.log(rate)):
        if one - last > 0.05:
            count, last = count + 1, one
    return count


def _too_little(rate, stress, words):
    if np.any(rate <= 0) or np.any(stress <= 0):
        return [f"{words}a rate or stress is not positive; leave those rows out."]
    count = _different(rate)
    if count < FEWEST:
        return [
            f"{words}{count} rate{'s' * (count > 1)}; a slope that can be judged needs {FEWEST}, better 6."
            " Measure more rates."
        ]
    if rate[-1] / rate[0] < NARROWEST:
        return [
            f"{words}the rates span a factor {rate[-1] / rate[0]:.2g} ({rate[0]:.3g} to {rate[-1]:.3g} 1/s); a"
            " slope needs"
            f" {NARROWEST:g} at least, better 30. Measure slower and faster."
        ]
    return []


def _own(matrix):
    """Return the errors that a row shares with few others; what most rows have in common does not bend their curve.

    A reading between two of which another bore was interpolated is in two rows, and still scatter.
    """
    return matrix * (np.sum(matrix != 0, axis=0) <= max(len(matrix) / 2, 1))


def _carry(table, curve, x, errors, known):
    """Put into the table the uncertainty of the true rates: those of rate and stress by their sources, and of the slope.

    d ln γ̇_w = d ln γ̇_a - dn′/(n′(3n′+1)), where an error of a rate moves the slope as well, both through the curve and
    along it: a bore that is not as stated shifts the curve as a whole, and leaves the slope at each reading. Where no
    error is stated the scatter about the curve is one of what was read: a flow that was read errs by it in its rate.
    """
    slope = table.local_slope.to_numpy()
    of_reading = errors.stress - slope[:, None] * errors.rate
    pace = (1 / (slope * (3 * slope + 1)))[:, None]
    if known:
        scale = sum(s * one.scale for s, one in zip(curve.shares, curve.fits, strict=True))
        of_slope = scale * curve.gain(x, 1) @ of_reading
        rest = curve.doubt(x, 1)
    else:
        of_slope, rest = curve.gain(x, 1) @ of_reading, curve.uncertainty(x, 1)
    scatter = 0.0 if known else _scatter_of_rate(curve, slope, errors.flow_read)
    of_slope = of_slope + curve.value(x, 2)[:, None] * errors.rate
    u_slope = np.hypot(size_of(of_slope), rest)
    share = np.hypot(size_of(errors.rate - pace * of_slope), pace[:, 0] * rest)
    share = np.hypot(share, (1 - pace[:, 0] * curve.value(x, 2)) * scatter)
    low, high = (_limit(slope, sign * SURE * u_slope, SURE * share) for sign in (1, -1))
    rate = table.wall_shear_rate.to_numpy()
    table["local_slope_uncertainty"] = u_slope
    table["wall_shear_rate_uncertainty"] = rate * np.hypot(np.expm1(high), np.expm1(-low)) / (SURE * np.sqrt(2))
    table["wall_shear_rate_low"], table["wall_shear_rate_high"] = rate * np.exp(-low), rate * np.exp(high)


def _scatter_of_rate(curve, slope, flow_read):
    """Return the error of each ln rate that was read, from the scatter of ln stress about the curve; 1.96 of it hold 95 %."""
    if flow_read is None:
        return 0.0
    scatter = sum(s * one.scale * one.quantile / SURE for s, one in zip(curve.shares, curve.fits, strict=True))
    return np.where(flow_read, scatter / np.mean(slope), 0.0)


def _limit(slope, shift, half):
    """Return how far a limit of ln γ̇_w is away: half as in a straight line, times how much (3n′+1)/4n′ is bent.

    Infinite where the slope less its uncertainty is nothing.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        change = np.abs(np.log((3 + 1 / (slope + shift)) / (3 + 1 / slope)))
        bent = change * slope * (3 * slope + 1) / np.abs(shift)
    bent = np.where(np.abs(shift) < 1e-9 * np.abs(slope), 1.0, bent)
    return np.where((slope > 0) & (slope + shift > 0), half * bent, np.inf)


def _with_rates(group, curve, x):
    table, slope = group.reset_index(drop=True).copy(), curve.value(x, 1)
    u_slope = np.asarray(curve.uncertainty(x, 1))
    table["local_slope"], table["local_slope_uncertainty"] = slope, u_slope
    with np.errstate(divide="ignore", invalid="ignore"):
        table["rate_correction"] = (3 * slope + 1) / (4 * slope)
        table["wall_shear_rate"] = table.apparent_shear_rate * table.rate_correction
    return table


def _impossible(table, curve, x, readings, words):
    """Return the fault of slopes that surely no steady shear flow has, as a list of at most one.

    A slope that may be nothing at a few rates leaves those without an upper limit, and is no fault of the others: to
    refuse or to blank what looks so selects the readings by their errors, and what is left then holds less than it says.
    """
    slope, u_slope = table.local_slope.to_numpy(), table.local_slope_uncertainty.to_numpy()
    low = int(np.argmin(slope + SURE * u_slope))
    flat = np.isinf(table.wall_shear_rate_high).mean() > 0.5
    if slope[low] + SURE * u_slope[low] <= 0 or flat:
        low = low if not flat else int(np.argmin(slope / u_slope))
        how = "falls" if slope[low] + SURE * u_slope[low] <= 0 else "is not surely above 0"
        return [
            f"{words}the slope n′ {how} near {readings[low]}: {slope[low]:.2g} ± {u_slope[low]:.1g}. A flat or"
            " falling curve is a plug that slips, fracture at the exit, a draining paste, or scatter: no true rate"
            " follows. Measure three bores for slip; repeat the first rate last."
        ]
    # the true rate climbs with the apparent one only while dn′/d ln γ̇_a < n′(3n′+1), from the formula itself
    room = slope + SURE * u_slope
    over = curve.value(x, 2) - SURE * curve.uncertainty(x, 2) - room * (3 * room + 1)
    if np.max(over) > 0:
        return [
            f"{words}near {readings[int(np.argmax(over))]} the slope n′ grows so fast that the true rate would fall"
            " while the apparent one climbs, which no flow law does. Slip at low rates, end loss or inertia at high"
            " ones, or scatter bend the curve so."
        ]
    vague = float(np.median(u_slope / (slope * (3 * slope + 1))))
    if vague > VAGUE:
        return [
            f"{words}the scatter leaves the true rate known to {100 * vague:.0f} % only (n′ = {np.median(slope):.2g} ±"
            f" {np.median(u_slope):.1g}); read more rates, each twice, over a wider range."
        ]
    if np.min(slope - SURE * u_slope) > 1.1:
        return [
            f"{words}the slope n′ is above 1 throughout ({np.min(slope):.2f} or more): inertia, an end loss that"
            " grows with the square of flow, or turbulence does this far more often than a thickening paste. Take out"
            " the end loss first."
        ]
    return []


def _reading(group, row):
    one = group.iloc[row]
    return named(
        group.row.iloc[row], f"{one.apparent_shear_rate:.4g} 1/s, {one.wall_shear_stress:.4g} Pa", one.get("run", "")
    )
