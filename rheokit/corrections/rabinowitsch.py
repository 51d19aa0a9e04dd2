"""True wall shear rates from the slope of the flow curve: the correction of Weissenberg, Rabinowitsch and Mooney."""

import numpy as np
import pandas as pd

from ..nomenclature import number, written
from ..sampling import SURE
from .base import Correction, Method, estimate, refused, settled
from .errors import farthest, size_of
from .readings import Curve, bore_groups, curve_of, named
from .regression import averaged, fitted, odd_one_out, smooth
from .true_rates import decades, impossible, too_little, wide_limits

METHOD = Method(
    "Weissenberg-Rabinowitsch",
    "γ̇_w = γ̇_a (3n′ + 1)/4n′ with n′ = d ln τ_w / d ln γ̇_a, γ̇_a = 8U/D = 32Q/πD³",
    "Rabinowitsch, Z. phys. Chem. A 145 (1929) 1; Mooney, J. Rheol. 2 (1931) 210 (both from memory)",
    "steady laminar flow without slip at the wall, end loss taken out before: take slip out first where bores disagree",
)


def rabinowitsch(curve: Curve) -> Correction:
    """Return true wall shear rates from a measured flow curve of a capillary.

    The slope n′ is the mean of those of polynomials of order 1 to 6 through ln stress against ln apparent rate, each
    as likely as the readings make it; their spread is part of its uncertainty. Each bore and batch has its own.
    A reading that the others do not explain is named and the table shows slope and rate with and without it; it is not
    dropped.

    Parameters
    ----------
    curve : PressureRun, ForceRun, sequence of them, Bench, FitResult, Correction, or DataFrame
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
        return refused(METHOD, why + ".", notes)
    tables, faults, estimates = [], [], []
    groups = bore_groups(table, "length")
    for group in groups:
        words = _words(group) if len(groups) > 1 else ""
        ordered = group.sort_values("apparent_shear_rate", kind="stable")
        own, fault, said, found = _corrected(ordered, errors.of(ordered.index.to_numpy()))
        tables.append(own)
        faults += [words + one for one in fault]
        notes += [words + one for one in said]
        estimates += [one._replace(of=words) for one in found]
    if "runs" in table:
        notes += [f"Rows are those of {runs}, in that order." for runs in table.runs.dropna().unique() if "; " in runs]
    if len(groups) > 1:
        notes.append(
            "Each bore (and uncorrected length) has its own curve. Where they do not fall on one, the paste slips or end"
            " loss is left in: see two lengths and mooney."
        )
    return settled(METHOD, pd.concat(tables, ignore_index=True), faults, notes, estimates)


def _words(group):
    bore = f"bore {written(group.diameter.mean(), 'm')}" if "diameter" in group else ""
    if "length" in group:
        bore += f", land {written(group.length.mean(), 'm')}"
    batch = f"batch {group.batch.iloc[0]}" if "batch" in group and group.batch.iloc[0] else ""
    return ", ".join(filter(None, [bore, batch])) + ": "


def _corrected(group, errors):
    """Return (table, faults, notes, estimates) of the readings of one curve in the order of rate."""
    rate, stress = (group[name].to_numpy(float) for name in ("apparent_shear_rate", "wall_shear_stress"))
    usable = (rate > 0) & (stress > 0)
    if not usable.all():
        table, faults, notes, found = _corrected(group[usable], errors.of(usable))
        lost = "; ".join(_reading(group, row) for row in np.flatnonzero(~usable))
        notes = [f"no true rate at {lost}: rate or stress is not positive there.", *notes]
        return pd.concat([group[~usable], table], ignore_index=True), faults, notes, found
    faults = too_little(rate)
    if faults:
        return group, faults, [], []
    x, y = np.log(rate), np.log(stress)
    of_reading = errors.stress - np.polyfit(x, y, 1)[0] * errors.rate  # errors of ln stress at a given rate
    share = size_of(_own(of_reading))
    known = bool(errors.known and np.all(share > 0))
    curve = x, y, share if known else np.ones(len(x)), known
    mean = averaged(*curve)
    table = _with_rates(group, mean, x)
    _carry(table, mean, x, errors, known)
    left = y - mean.value(x)
    table["wall_shear_stress_residual"] = stress * -np.expm1(-left)
    spare = sum(s * one.scale * one.spare for s, one in zip(mean.shares, mean.fits, strict=True))
    readings = [_reading(group, row) for row in range(len(x))]
    off = table.wall_shear_stress_residual, stress * curve[2] * spare
    notes = [
        farthest(readings, stress, *off, "the smooth curve"),
        *wide_limits(table, readings),
        *_odd(table, curve, readings),
    ]
    found, note = _straight(*curve)
    return table, impossible(table, mean, x, readings), [*notes, *decades(rate), note], found


def _odd(table, curve, readings):
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
    slow = " At the slowest rate slip, or a reading before the flow was steady, looks like this too."
    return [
        f"look at {readings[row]}: it lies {100 * np.expm1(off):+.0f} % off the smooth curve of the others (studentised"
        f" deleted residual, 1 % chance over all rows). It moves the true rates of the others by up to {100 * most:+.0f} %;"
        f" both are in the table. Repeat it and its neighbours, or leave it out with a reason.{slow * (row == 0)}"
    ]


def _straight(x, y, share, known):
    """Return (estimates of the straight line in logarithms, a note on whether it is one)."""
    straight, bent = fitted(x, y, share, 1, known), smooth(x, y, share, known)
    power, at_one = straight.coefficients[1], float(np.exp(straight.value(0.0)))
    size = straight.quantile
    found = [
        estimate("apparent_flow_index", power, np.sqrt(straight.covariance[1, 1]), size),
        estimate("apparent_consistency", at_one, at_one * float(straight.uncertainty(0.0)), size, positive=True),
    ]
    bend, u_bend = (float(v) for v in (bent.value(bent.centre, 2), bent.uncertainty(bent.centre, 2)))
    if power > 0 and len(bent.coefficients) < 4 and abs(bend) <= max(bent.quantile * u_bend, 1e-6):
        return found, (
            "a straight line in logarithms is not excluded. If it is a power law, n = n′ and K = K′/((3n′+1)/4n′)^n′ ="
            f" {number(at_one / ((3 * power + 1) / (4 * power)) ** power, 4)} Pa·sⁿ."
        )
    return found, "curved in logarithms, so no power law: K′ and n′ of the straight line describe it no more."


def _own(matrix):
    """Return the errors that a row shares with few others; what most rows have in common does not bend their curve.

    A reading between two of which another bore was interpolated is in two rows, and still scatter.
    """
    return matrix * _of_few(matrix)


def _of_few(matrix):
    """Return which sources of errors touch few rows."""
    return np.sum(matrix != 0, axis=0) <= max(len(matrix) / 2, 1)


def _carry(table, curve, x, errors, known):
    """Put into the table the uncertainty of the true rates: those of rate and stress by their sources, and of the slope.

    d ln γ̇_w = d ln γ̇_a - dn′/(n′(3n′+1)), where an error of a rate moves the slope as well, both through the curve and
    along it: a bore that is not as stated shifts the curve as a whole, and leaves the slope at each reading. Where no
    error is stated the scatter about the curve is one of what was read: a flow that was read errs by it in its rate.
    """
    slope = table.local_slope.to_numpy()
    of_slope = curve.gain(x, 1) @ (errors.stress - slope[:, None] * errors.rate)
    pace = 1 / (slope * (3 * slope + 1))
    rest, scatter = curve.uncertainty(x, 1), 0.0
    if known:
        more = sum(s * one.growth for s, one in zip(curve.shares, curve.fits, strict=True))
        of_slope *= np.where(
            _of_few(errors.stress - slope[:, None] * errors.rate), more, 1.0
        )  # no scatter shows the others
        rest = curve.doubt(x, 1)
    elif errors.flow_read is not None:  # 1.96 of the scatter hold 95 %
        spread = sum(s * one.growth for s, one in zip(curve.shares, curve.fits, strict=True))
        scatter = np.where(errors.flow_read, spread / np.mean(slope), 0.0)
    of_slope += curve.value(x, 2)[:, None] * errors.rate
    u_slope = np.hypot(size_of(of_slope), rest)
    share = np.hypot(size_of(errors.rate - pace[:, None] * of_slope), pace * rest)
    share = np.hypot(share, (1 - pace * curve.value(x, 2)) * scatter)
    low, high = (_limit(slope, sign * SURE * u_slope, SURE * share) for sign in (1, -1))
    rate = table.wall_shear_rate.to_numpy()
    table["local_slope_uncertainty"] = u_slope
    table["wall_shear_rate_uncertainty"] = rate * np.hypot(np.expm1(high), np.expm1(-low)) / (SURE * np.sqrt(2))
    table["wall_shear_rate_low"], table["wall_shear_rate_high"] = rate * np.exp(-low), rate * np.exp(high)


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


def _reading(group, row):
    one = group.iloc[row]
    values = f"{written(one.apparent_shear_rate, '1/s', 4)}, {written(one.wall_shear_stress, 'Pa', 4)}"
    return named(group.row.iloc[row], values, one.get("run", ""))
