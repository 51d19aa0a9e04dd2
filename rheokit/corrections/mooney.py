"""Slip at the wall from several bores: Mooney's plot of apparent rate against 1/D at equal wall stress."""

import numpy as np

from ..nomenclature import between, number, written
from ..sampling import SURE
from .base import Correction, Method, refused, settled
from .errors import TIED, Errors, farthest, own_scatter, size_of
from .readings import BETWEEN, SAME_RATE, Curve, bore_groups, curve_of, ladder, named, records_of, run_of, together
from .regression import common, fitted, growth, off_lines, quantile
from .slip_law import slip_is_seen, slip_law

METHOD = Method(
    "Mooney",
    "γ̇_a = γ̇_a(no slip) + 8 V_s/D at equal τ_w: slope against 1/D is 8 V_s",
    "Mooney, J. Rheol. 2 (1931) 210 (from memory)",
    "the slip velocity depends on the wall stress alone, and the end loss was taken out before",
)
CURE = "Measure three bores or more, at least a factor 2 apart, with overlapping Δp D/4L"
ENOUGH = 3  # bores: a line through two has nothing left that could tell it from a curve
CURVED = 0.05  # of the apparent rate, below which a curve in the plot is not worth a word
LONG = 50.0  # L/D above which the end loss is a few per cent of the stress; common practice, no source
SHEARED = (0.5, 50.0)  # least and greatest ln rate against ln stress, which makes an error of stress one of rate


def mooney(curve: Curve) -> Correction:
    """Return slip velocities from three or more bores at equal wall stress.

    The rate of every bore is interpolated at common stresses, by a monotone cubic in logarithms and never beyond the
    readings. A bore-dependent slip law is never fitted: where the plot is not the straight line that it assumes, the
    readings are not analysable.

    Parameters
    ----------
    curve : PressureRun, ForceRun, sequence of them, Bench, FitResult, Correction, or DataFrame
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
        return refused(METHOD, why + ".", notes)
    if "diameter" not in table:
        return refused(METHOD, f"the table has no column diameter, so one bore is all it can know. {CURE}.", notes)
    if "batch" in table and table.batch.nunique() > 1:
        several = f"the readings are of several batches ({', '.join(map(str, table.batch.unique()))})"
        most = max(len(bore_groups(rows)) for _, rows in table.drop(columns="entry", errors="ignore").groupby("batch"))
        within = (
            f"the most bores within one of them are {most}, and three are needed. {CURE}, of one batch"
            if most < ENOUGH
            else "hand over the runs of one batch alone"
        )
        return refused(METHOD, f"{several}, which differ by more than slip; {within}.", notes)
    groups = bore_groups(table.drop(columns="entry", errors="ignore"))
    bores = np.array([group.diameter.mean() for group in groups])
    of_bores = [written(diameter, "m") for diameter in bores]
    if len(groups) < ENOUGH:
        few = f"{len(groups)} bore{'s' * (len(groups) > 1)} ({' and '.join(of_bores)})"
        return refused(METHOD, f"{few}. {CURE}.", notes)
    ladders = [ladder(group, "wall_shear_stress", "apparent_shear_rate") for group in groups]
    stresses = _common_stresses(ladders)
    if len(stresses) < 2:
        ranges = "; ".join(
            f"{bore} {between(np.exp(one.x[0]), np.exp(one.x[-1]), 'Pa', 4)}"
            for bore, one in zip(of_bores, ladders, strict=True)
        )
        return refused(METHOD, f"the bores share fewer than two wall stresses ({ranges}). {CURE}.", notes)
    of_groups = [_of_ladder(group, one, errors) for group, one in zip(groups, ladders, strict=True)]
    rates, sources = _at_stresses(ladders, stresses, of_groups)
    read = [tuple(one.at(np.clip(x, one.x[0], one.x[-1]))[-1] for one in ladders) for x in stresses]
    rows, faults, said, slips, lefts = _lines(stresses, bores, rates, sources, errors.known, read, groups)
    notes += said
    faults = _end_loss(table, ladders) + faults
    if faults:
        return settled(METHOD, rows, faults, notes)
    found, more = slip_law(rows, slips)
    if slip_is_seen(rows, slips):
        more += _sheared_or_plug(rows)
    with np.errstate(divide="ignore", invalid="ignore"):
        of_rate = np.nan_to_num(lefts / np.array([[row["apparent_shear_rate"]] for row in rows]))
    return settled(METHOD, rows, [], notes + more, found, Errors(of_rate, np.zeros_like(of_rate), True))


def _sheared_or_plug(rows):
    """Return a note on the stresses where the rate without slip may be 0, as a list of at most one."""
    open_ones = []
    for row in rows:
        rate, half = row["apparent_shear_rate"], SURE * row["apparent_shear_rate_uncertainty"]
        if rate < half:
            stress = written(row["wall_shear_stress"], "Pa", 4)
            open_ones.append(f"{stress} ({between(rate - half, rate + half, '1/s')})")
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
        f" bore to bore, and 1 % of stress is {steep:.0f} % of rate here, so what looks like slip or hides it may be end loss."
        f" Measure two lengths of each bore, or lands of L/D {LONG:.0f}; the direct fit with slip = 'fitted' takes the end"
        " loss from a formula."
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


def _lines(stresses, bores, rates, sources, known, rows_at, groups):
    """Return (rows, faults, notes, errors of slip, errors of the rate left) of the lines of rate against 1/D.

    `rows_at` are the rows in words that each rate is from, one tuple (bores) a stress.
    """
    shapes, scatter = off_lines(1 / bores, rates)
    pooled = max(scatter, 1e-9)
    # errors that come from what touches every stress of a bore: where readings have no error of their own, all of them
    of_bores = size_of(sources * np.all(sources != 0, axis=0)) if known else size_of(sources)
    stated = known or bool(np.any(of_bores > 0))
    if not known:  # each reading has the scatter about the lines as its own error
        own = own_scatter(shapes, 2, np.any(of_bores > 0)) * np.eye(rates.size).reshape(*rates.shape, -1)
        sources = np.concatenate([sources, own], axis=2)
    shares = size_of(sources)
    rows, bend_errors, slips, lefts, off = [], [], [], [], []
    runs, records = [run_of(group) for group in groups], records_of(groups)
    sizes = rates * (shares if stated else pooled)
    curves = [
        [fitted(1 / bores, rate, error, order, known=True) for order in (1, 2)]
        for rate, error in zip(rates, sizes, strict=True)
    ]
    more = growth([line for line, _ in curves]) if known else 1.0
    for stress, rate, error, source, read, (line, curve) in zip(
        np.exp(stresses), rates, sizes, sources, rows_at, curves, strict=True
    ):
        middle = float(np.median(rate))
        bend, u_bend = curve.bend(np.ptp(1 / bores) / 2, middle)
        bend_errors.append(u_bend if stated else np.nan)
        of_rate = more * rate[:, None] * source
        lefts.append(line.of_start @ of_rate)
        slips.append(line.gain[1] @ of_rate / 8)
        slip, u_slip = line.coefficients[1] / 8, float(size_of(slips[-1]))
        away = rate - line.value(1 / bores)
        words = [
            named(row, f"{written(d, 'm')}, {written(r, '1/s', 4)}, {written(stress, 'Pa', 4)}", run)
            for row, d, r, run in zip(read, bores, rate, runs, strict=True)
        ]
        off += zip(words, rate, away, error * line.spare, strict=True)
        rows.append({
            "runs": records, "row": together(read), "wall_shear_stress": stress,
            **{f"apparent_shear_rate at {d * 1e3:.3g} mm": r for d, r in zip(bores, rate, strict=True)},
            **{f"apparent_shear_rate_residual at {d * 1e3:.3g} mm": r for d, r in zip(bores, away, strict=True)},
            "apparent_shear_rate": float(line.value(0.0)), "apparent_shear_rate_uncertainty": float(size_of(lefts[-1])),
            "slip_velocity": slip, "slip_velocity_uncertainty": u_slip,
            "slip_velocity_low": slip - SURE * u_slip, "slip_velocity_high": slip + SURE * u_slip,
            "slip_share at middle bore": 8 * slip / np.median(bores) / middle,
            "curvature": bend, "interpolated": BETWEEN in " ".join(read),
        })  # fmt: skip
    notes = [farthest(*zip(*off, strict=True), "the line against 1/D") + TIED * (len(bores) == 3)]
    if not known:
        notes.append(
            f"No uncertainty was stated: that of the rates, {written(pooled, '%', 2)}, is the scatter about the lines."
        )
    shared = float(np.mean(of_bores) / np.mean(shares)) if stated else 0.0
    faults = _curved(rows, bend_errors, shared) or _negative(rows)
    return rows, faults, notes, np.array(slips), np.array(lefts)


def _curved(rows, errors, shared):
    """Return the fault of a plot that is surely no straight line, as a list of at most one."""
    mean, rarity, sure = common([row["curvature"] for row in rows], errors, shared)
    if abs(mean) < CURVED or abs(rarity) < sure:
        return []
    return [
        f"the plot against 1/D is curved, its middle {100 * mean:+.0f} % of the rate off its chord on average, so the slip"
        " velocity does not depend on the wall stress alone, or what differs between the bores is no slip: end loss left"
        " in, a bore not as stated, drainage, another batch. Gauge the bores, take out the end loss by two lengths of"
        " each; rheokit fits no slip law that depends on the bore."
    ]


def _negative(rows):
    """Return the faults of a rate without slip, or of a slip velocity, that is surely below nothing."""
    limit = quantile(1 - 0.01 / len(rows), np.inf)

    def where(name):
        low = [row for row in rows if row[name] < -limit * row[f"{name}_uncertainty"]]
        return ", ".join(number(row["wall_shear_stress"], 4) for row in low)

    faults = []
    if low := where("apparent_shear_rate"):
        faults.append(
            f"the intercept, the rate without slip, is surely negative at {low} Pa, which no flow has: the differences"
            " between the bores are larger than slip can make them. Drainage, end loss or a bore that is not as stated"
            " does this. Gauge the bores and take out the end loss; rheokit fits no slip law that depends on the bore."
        )
    if back := where("slip_velocity"):
        faults.append(
            f"the slip velocity is surely negative at {back} Pa: narrow bores flow less than wide ones at one stress. End"
            " loss left in the short or narrow ones, lumps or fibres beside the bore, or a bore that is not as stated"
            " does this. Take out the end loss by two lengths of each bore, sieve, and gauge the bores."
        )
    return faults
