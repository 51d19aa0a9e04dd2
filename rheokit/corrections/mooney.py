"""Slip at the wall from several bores: Mooney's plot of apparent rate against 1/D at equal wall stress."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..nomenclature import between, number, written
from ..sampling import SURE
from .base import Method, analysed, refused
from .errors import TIED, Errors, farthest, own_scatter, size_of
from .readings import (
    BETWEEN,
    SAME_RATE,
    bore_groups,
    curve_of,
    ladder,
    named,
    records_of,
    rows_in_words,
    run_of,
    together,
)
from .regression import common, fitted, quantile
from .slip_law import slip_is_seen, slip_law

if TYPE_CHECKING:
    from ..bench.base import BenchTest
    from .base import Correction

METHOD = Method(
    "Mooney",
    "γ̇_a = γ̇_a(no slip) + 8 V_s/D at equal τ_w: slope against 1/D is 8 V_s",
    "Mooney, J. Rheol. 2 (1931) 210 (from memory)",
    "the slip velocity depends on the wall stress alone, and the end loss was taken out before",
)
CURE = "Measure three bores or more, at least a factor 2 apart, with overlapping Δp D/4L"
CURVED = 0.05  # of the apparent rate, below which a curve in the plot is not worth a word
LONG = 50.0  # L/D above which the end loss is a few per cent of the stress; common practice, no source
SHEARED = (0.5, 50.0)  # least and greatest ln rate against ln stress, which makes an error of stress one of rate


def mooney(curve: list[BenchTest] | Correction) -> Correction:
    """Return slip velocities from three or more bores at equal wall stress.

    The rate of every bore is interpolated at common stresses, by a monotone cubic in logarithms and never beyond the
    readings. A bore-dependent slip law is never fitted: where the plot is not the straight line that it assumes, the
    readings are not analysable.

    Parameters
    ----------
    curve : PressureRun, ForceRun, sequence of them, Bench, Correction, or DataFrame
        Runs, or the table of an earlier step with columns `apparent_shear_rate`, `wall_shear_stress`, `diameter`, in
        SI.

    Returns
    -------
    correction : Correction
        One row a stress: the rate of each bore, `slip_velocity` with its 95 % limits, and `apparent_shear_rate`, what
        is left without slip, so that the table can go into `rabinowitsch`. The estimates are slip coefficient and
        threshold stress of V_s = β (τ_w - τ_s). Not analysable with fewer than three bores, no common stress, a plot
        that is surely curved, or an intercept or slope that is surely negative.
    """
    table, errors, notes, why = curve_of(curve, "mooney")
    if why:
        return refused(METHOD, why + ".", notes=notes)
    if "diameter" not in table:
        return refused(
            METHOD, f"the table has no column diameter, so one bore is all it can know. {CURE}.", notes=notes
        )
    if "batch" in table and table.batch.nunique() > 1:
        several = ", ".join(map(str, table.batch.unique()))
        return refused(
            METHOD, f"the readings are of several batches ({several}); compare bores within one batch.", notes=notes
        )
    groups = bore_groups(table.drop(columns="entry", errors="ignore"))
    if len(groups) < 3:
        bores = " and ".join(written(group.diameter.mean(), "m") for group in groups)
        return refused(METHOD, f"{len(groups)} bore{'s' * (len(groups) > 1)} ({bores}). {CURE}.", notes=notes)
    ladders = [
        ladder(group.wall_shear_stress, group.apparent_shear_rate, 0.0, 0.0, 0.0, rows_in_words(group))
        for group in groups
    ]
    bores = np.array([group.diameter.mean() for group in groups])
    stresses = _common_stresses(ladders)
    if len(stresses) < 2:
        ranges = "; ".join(
            f"{written(d, 'm')} {between(np.exp(o.x[0]), np.exp(o.x[-1]), 'Pa', 4)}"
            for d, o in zip(bores, ladders, strict=True)
        )
        return refused(METHOD, f"the bores share fewer than two wall stresses ({ranges}). {CURE}.", notes=notes)
    of_groups = [_of_ladder(group, one, errors) for group, one in zip(groups, ladders, strict=True)]
    rates, sources = _at_stresses(ladders, stresses, of_groups)
    origins = [run_of(group) for group in groups], _rows_at(ladders, stresses)
    rows, faults, said, slips, lefts = _lines(stresses, bores, rates, sources, errors.known, origins)
    rows = [{"runs": records_of(groups), **row} for row in rows]
    notes = notes + said
    faults = _end_loss(table, ladders) + faults
    if faults:
        return refused(METHOD, " ".join(faults), rows, notes)
    found, more = slip_law(rows, slips)
    if slip_is_seen(rows):
        more += _sheared_or_plug(rows)
    with np.errstate(divide="ignore", invalid="ignore"):
        of_rate = np.nan_to_num(lefts / np.array([[row["apparent_shear_rate"]] for row in rows]))
    return analysed(METHOD, rows, notes + more, found, Errors(of_rate, np.zeros_like(of_rate), True))


def _sheared_or_plug(rows):
    """Return a note on the stresses where the rate without slip may be 0, as a list of at most one."""
    open_ones = []
    for row in rows:
        rate, half = row["apparent_shear_rate"], SURE * row["apparent_shear_rate_uncertainty"]
        if rate < half:
            open_ones.append(
                f"{written(row['wall_shear_stress'], 'Pa', 4)} ({between(rate - half, rate + half, '1/s')})"
            )
    if not open_ones:
        return []
    return [
        f"The rate left without slip may be 0 at {', '.join(open_ones)}: it cannot be told whether the paste is sheared"
        " there or slides as a plug. Measure a wider bore at that stress, and each rate twice."
    ]


def _of_ladder(group, one, errors):
    """Return the errors by source of ln rate at set stress, one row a point of the ladder of a bore."""
    slope = np.clip(np.gradient(one.y, one.x), *SHEARED) if len(one.x) > 1 else np.ones(1)
    of = errors.of(group.index.to_numpy())
    return np.array([(of.rate[p] - s * of.stress[p]).mean(axis=0) for p, s in zip(one.places, slope, strict=True)])


def _end_loss(table, ladders):
    """Return the fault of an end loss that is still in the stresses of short lands, as a list of at most one."""
    if "end_loss_left" not in table or not table.end_loss_left.any():
        return []
    short = float((table.length / table.diameter)[table.end_loss_left].min())
    if short >= LONG:
        return []
    steep = np.median([np.ptp(one.y) / np.ptp(one.x) for one in ladders])
    return [
        f"the end loss is still in the stresses, and at L/D {number(short)} it is no small part of them. It differs from"
        f" bore to bore, and 1 % of stress is {steep:.0f} % of rate here, so what looks like slip or hides it may be"
        f" end loss. Measure two lengths of each bore, or lands of L/D {LONG:.0f}; the direct fit with slip ="
        " 'fitted' takes the end loss from a formula."
    ]


def _common_stresses(ladders):
    """Return the ln stresses that lie in the readings of every bore: those of the bore that has fewest of them."""
    low, high = max(one.x[0] for one in ladders) - SAME_RATE, min(one.x[-1] for one in ladders) + SAME_RATE
    inside = [one.x[(one.x >= low) & (one.x <= high)] for one in ladders if len(one.x) > 1]
    return min(inside, key=len) if len(inside) == len(ladders) else np.empty(0)


def _at_stresses(ladders, stresses, of_groups):
    """Return rates [1/s], shape (stresses, bores), and errors of their logarithms, shape (stresses, bores, sources)."""
    from scipy.interpolate import PchipInterpolator

    rates, sources = [], []
    for one, errors in zip(ladders, of_groups, strict=True):
        x = np.clip(stresses, one.x[0], one.x[-1])
        rates.append(np.exp(PchipInterpolator(one.x, one.y)(x)))
        between = np.transpose([np.interp(x, one.x, unit) for unit in np.eye(len(one.x))])
        sources.append(between @ errors)
    return np.transpose(rates), np.swapaxes(sources, 0, 1)


def _rows_at(ladders, stresses):
    """Return the rows in words that each rate is from, a list of one tuple (bores) a stress."""
    return [tuple(one.at(np.clip(x, one.x[0], one.x[-1]))[-1] for one in ladders) for x in stresses]


def _lines(stresses, bores, rates, sources, known, origins):
    """Return (rows, faults, notes, errors of slip, errors of the rate left) of the lines of rate against 1/D."""
    freedom = (len(bores) - 2) * len(stresses)
    plain = [fitted(1 / bores, rate, rate, 1, known=False) for rate in rates]
    pooled = max(np.sqrt(sum(line.sum_of_squares for line in plain) / freedom), 1e-9)
    of_bores = size_of(sources) if not known else _in_common(sources)
    stated = known or bool(np.any(of_bores > 0))
    if not known:  # each reading has the scatter about the lines as its own error
        shapes = np.array([1 - line.value(1 / bores) / rate for line, rate in zip(plain, rates, strict=True)])
        own = own_scatter(shapes, 2, np.any(of_bores > 0)) * np.eye(rates.size).reshape(*rates.shape, -1)
        sources = np.concatenate([sources, own], axis=2)
    shares = size_of(sources)
    rows, bends, bend_errors, intercepts, slopes, slips, lefts, off = [], [], [], [], [], [], [], []
    runs, rows_at = origins
    for stress, rate, share, source, read in zip(np.exp(stresses), rates, shares, sources, rows_at, strict=True):
        error = rate * (share if stated else pooled)
        line, curve = (fitted(1 / bores, rate, error, order, known=True) for order in (1, 2))
        half, middle = np.ptp(1 / bores) / 2, float(np.median(rate))
        bends.append(-curve.coefficients[2] * half**2 / middle)
        bend_errors.append(np.sqrt(curve.covariance[2, 2]) * half**2 / middle if stated else np.nan)
        of_rate = line.scale * rate[:, None] * source
        lefts.append((line.gain[0] - line.centre * line.gain[1]) @ of_rate)
        slips.append(line.gain[1] @ of_rate / 8)
        left, u_left = float(line.value(0.0)), float(size_of(lefts[-1]))
        slip, u_slip = line.coefficients[1] / 8, float(size_of(slips[-1]))
        intercepts.append((left / middle, u_left / middle))
        slopes.append((slip, u_slip))
        away = rate - line.value(1 / bores)
        words = [
            named(row, f"{written(d, 'm')}, {written(r, '1/s', 4)}, {written(stress, 'Pa', 4)}", run)
            for row, d, r, run in zip(read, bores, rate, runs, strict=True)
        ]
        off += zip(words, rate, away, error * line.spare, strict=True)
        rows.append({
            "row": together(read), "wall_shear_stress": stress,
            **{f"apparent_shear_rate at {d * 1e3:.3g} mm": r for d, r in zip(bores, rate, strict=True)},
            **{f"apparent_shear_rate_residual at {d * 1e3:.3g} mm": r for d, r in zip(bores, away, strict=True)},
            "apparent_shear_rate": left, "apparent_shear_rate_uncertainty": u_left,
            "slip_velocity": slip, "slip_velocity_uncertainty": u_slip,
            "slip_velocity_low": slip - SURE * u_slip, "slip_velocity_high": slip + SURE * u_slip,
            "slip_share at middle bore": 8 * slip / np.median(bores) / middle,
            "curvature": bends[-1], "interpolated": BETWEEN in " ".join(read),
        })  # fmt: skip
    notes = [farthest(*zip(*off, strict=True), "the line against 1/D") + TIED * (len(bores) == 3)]
    if not known:
        notes.append(
            f"No uncertainty was stated: that of the rates, {written(pooled, '%', 2)}, is the scatter about the lines."
        )
    faults = _curved(bends, bend_errors, float(np.mean(of_bores) / np.mean(shares)) if stated else 0.0)
    limit = quantile(1 - 0.01 / len(rows), np.inf)
    faults += [] if faults else _negative(rows, intercepts, slopes, limit)
    return rows, faults, notes, np.array(slips), np.array(lefts)


def _in_common(sources):
    """Return the size of the errors, shape (stresses, bores), that come from what touches every stress of a bore."""
    everywhere = np.all(sources != 0, axis=0, keepdims=True)
    return size_of(sources * everywhere)


def _curved(bends, errors, shared):
    mean, rarity, sure = common(bends, errors, shared)
    if abs(mean) < CURVED or abs(rarity) < sure:
        return []
    return [
        f"the plot against 1/D is curved, its middle {100 * mean:+.0f} % of the rate off its chord on average, so the"
        " slip velocity does not depend on the wall stress alone, or what differs between the bores is no slip: end"
        " loss left in, a bore not as stated, drainage, another batch. Gauge the bores, take out the end loss by two"
        " lengths of each; rheokit fits no slip law that depends on the bore."
    ]


def _negative(rows, intercepts, slopes, limit):
    faults = []
    low = [
        row["wall_shear_stress"] for row, (value, error) in zip(rows, intercepts, strict=True) if value < -limit * error
    ]
    if low:
        faults.append(
            f"the intercept, the rate without slip, is surely negative at {', '.join(f'{number(s, 4)}' for s in low)} Pa,"
            " which no flow has: the differences between the bores are larger than slip can make them. Drainage, end"
            " loss or a bore that is not as stated does this. Gauge the bores and take out the end loss; rheokit fits"
            " no slip law that depends on the bore."
        )
    back = [
        row["wall_shear_stress"] for row, (value, error) in zip(rows, slopes, strict=True) if value < -limit * error
    ]
    if back:
        faults.append(
            f"the slip velocity is surely negative at {', '.join(f'{number(s, 4)}' for s in back)} Pa: narrow bores flow"
            " less than wide ones at one stress. End loss left in the short or narrow ones, lumps or fibres beside"
            " the bore, or a bore that is not as stated does this. Take out the end loss by two lengths of each bore,"
            " sieve, and gauge the bores."
        )
    return faults
