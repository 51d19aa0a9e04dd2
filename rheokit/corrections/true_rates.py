"""What may be wrong with slopes and true rates of a flow curve: too few readings, no upper limit, what no law does."""

import numpy as np

from ..nomenclature import between, number, with_decimals
from ..sampling import SURE

FEWEST = 4  # rates for a slope with some scatter to judge it by
NARROWEST = 3.0  # greatest rate over least; common practice, no source
WIDE = 1000.0  # greatest rate over least, above which a low order follows a yield stress badly at its slow end (seen)
FAR_APART = 3.0  # upper over lower limit of a true rate, above which its row is named
LOPSIDED = 1.2  # upper over lower half of an interval, above which the limits are to be read
VAGUE = 0.25  # standard uncertainty of most true rates, as a share of them, above which the correction says nothing


def too_little(rate):
    """Return why readings in the order of rate are too few for a slope, as a list of at most one."""
    count = _different(rate)
    if count < FEWEST:
        return [
            f"{count} rate{'s' * (count > 1)}; a slope that can be judged needs {FEWEST}, better 6. Measure more rates."
        ]
    if rate[-1] / rate[0] < NARROWEST:
        return [
            f"the rates span a factor {number(rate[-1] / rate[0], 2)} ({between(rate[0], rate[-1], '1/s')}); a slope needs"
            f" {NARROWEST:g} at least, better 30. Measure slower and faster."
        ]
    return []


def _different(rate):
    """Return how many rates there are that lie 5 % or more from each other, counted from the slowest: a ramp has many."""
    count, last = 0, -np.inf
    for one in np.sort(np.log(rate)):
        if one - last > 0.05:
            count, last = count + 1, one
    return count


def wide_limits(table, readings):
    """Return notes on the rows whose true rate has no upper limit or limits far apart, and on limits that are lopsided."""
    low, high, rate = (table[f"wall_shear_rate{end}"].to_numpy(float) for end in ("_low", "_high", ""))
    slope, u_slope, notes = table.local_slope, table.local_slope_uncertainty, []
    if len(rows := np.flatnonzero(np.isinf(high))):
        said = "; ".join(f"{readings[row]}, n′ = {number(slope[row], 2)} ± {number(u_slope[row], 1)}" for row in rows)
        notes.append(
            f"no upper limit of the true rate is known at {said}: the slope n′ there may be nothing, as near a yield"
            " stress. Read more rates there and slower, each twice, or trust the direct fit."
        )
    if len(rows := np.flatnonzero(np.isfinite(high) & (high > FAR_APART * low))):
        said = "; ".join(f"{readings[row]}: {between(low[row], high[row], '1/s')}" for row in rows)
        notes.append(
            f"the limits of the true rate lie more than a factor {FAR_APART:g} apart at {said}. The slope n′ is small or"
            " little known there, as near a yield stress and at the ends of a curve. Read more rates there and beyond,"
            " each twice, or trust the direct fit."
        )
    if np.any(np.isfinite(high) & (high - rate > LOPSIDED * (rate - low))):
        notes.append(
            "the 95 % limits are wall_shear_rate_low and _high, and lopsided; ± 1.96 of the symmetric"
            " wall_shear_rate_uncertainty is wider than it says."
        )
    return notes


def decades(rate):
    """Return a note on rates that span so much that a low order follows a yield stress badly, as a list of at most one."""
    if rate[-1] / rate[0] <= WIDE:
        return []
    return [
        "the rates span more than three decades: near a yield stress a smooth curve follows the slope badly at the slowest"
        " rates, and its limits there are wide. Trust the direct fit there."
    ]


def impossible(table, curve, x, readings):
    """Return the fault of slopes that surely no steady shear flow has, as a list of at most one.

    A slope that may be nothing at a few rates leaves those without an upper limit, and is no fault of the others: to
    refuse or to blank what looks so selects the readings by their errors, and what is left then holds less than it says.
    """
    slope, u_slope = table.local_slope.to_numpy(), table.local_slope_uncertainty.to_numpy()
    room = slope + SURE * u_slope
    flat = np.isinf(table.wall_shear_rate_high).mean() > 0.5
    if np.min(room) <= 0 or flat:
        low = int(np.argmin(slope / u_slope if flat else room))
        how = "falls" if room[low] <= 0 else "is not surely above 0"
        return [
            f"the slope n′ {how} near {readings[low]}: {number(slope[low], 2)} ± {number(u_slope[low], 1)}. A flat or falling curve is a"
            " plug that slips, fracture at the exit, a draining paste, or scatter: no true rate follows. Measure three"
            " bores for slip; repeat the first rate last."
        ]
    # the true rate climbs with the apparent one only while dn′/d ln γ̇_a < n′(3n′+1), from the formula itself
    over = curve.value(x, 2) - SURE * curve.uncertainty(x, 2) - room * (3 * room + 1)
    if np.max(over) > 0:
        return [
            f"near {readings[int(np.argmax(over))]} the slope n′ grows so fast that the true rate would fall while the"
            " apparent one climbs, which no flow law does. Slip at low rates, end loss or inertia at high ones, or scatter"
            " bend the curve so."
        ]
    vague = float(np.median(u_slope / (slope * (3 * slope + 1))))
    if vague > VAGUE:
        return [
            f"the scatter leaves the true rate known to {100 * vague:.0f} % only (n′ = {number(np.median(slope), 2)} ±"
            f" {number(np.median(u_slope), 1)}); read more rates, each twice, over a wider range."
        ]
    if np.min(slope - SURE * u_slope) > 1.1:
        return [
            f"the slope n′ is above 1 throughout ({with_decimals(np.min(slope), 2)} or more): inertia, an end loss that grows with the"
            " square of flow, or turbulence does this far more often than a thickening paste. Take out the end loss first."
        ]
    return []
