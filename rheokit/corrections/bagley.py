"""Bagley's plot: pressure against L/D at one apparent rate, a straight line whose intercept is the end loss."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..nomenclature import number, written
from ..sampling import SURE
from .base import Method, analysed, estimate, refused
from .errors import TIED, Errors, by_source, farthest, own_scatter, size_of
from .lengths import flow_of, rest_in_words, shared_part, side_by_side, sources_of
from .readings import bore_groups, named, rows_of, runs_of
from .regression import common, fitted
from .two_lengths import negative_rest, two_lengths

if TYPE_CHECKING:
    from ..bench.base import BenchTest
    from ..machine.extruder import Extruder
    from .base import Correction

METHOD = Method(
    "Bagley",
    "p = 4 τ_w (L/D + e) at equal apparent rate: slope 4 τ_w, end correction e in diameters where the line meets p = 0",
    "Bagley, J. Appl. Phys. 28 (1957) 624 (from memory)",
    "pressure grows straight with length, and the end loss does not depend on it",
)
CURE = "Measure three lengths of one bore or more, e.g. L/D 5, 10 and 20, at the same flows"
CURVED = 0.03  # of the pressure, below which a curve in the plot is not worth a word
ORIFICE = 2.0  # L/D below which a land is nearly an orifice; common practice, no source


def bagley(runs: list[BenchTest | Extruder] | None) -> Correction:
    """Return wall stresses and end corrections from three or more lengths of one bore.

    Parameters
    ----------
    runs : PressureRun, ForceRun, sequence of them, or Bench

    Returns
    -------
    correction : Correction
        One row a rate: the pressures, `wall_shear_stress`, `end_correction` in diameters, and `curvature`: how far the
        middle of the plot lies above its chord, over the pressure there. An error of the bore of one length is the
        same at every rate, so that the mean end correction is not known better for it. With two lengths it is the two-length method,
        and says so. Not analysable where the plot is surely curved or the end loss surely negative.
    """
    table, notes = rows_of(runs_of(runs, "bagley"))
    if table.empty:
        return refused(METHOD, f"there is no capillary or syringe run with a straight land. {CURE}.", notes=notes)
    bores = [side_by_side(group) for group in bore_groups(table)]
    most = max(len(bore.ratios) for bore in bores)
    if most < 2:
        return refused(METHOD, f"every bore has one length. {CURE}.", notes=notes)
    if most == 2:
        plain = two_lengths(runs)
        said = "With two lengths this is the two-length method: a line through two points; curvature cannot be tested."
        if not plain.analysable:
            return refused(METHOD, f"two lengths only, and {plain.reason}", notes=[*plain.notes, said])
        return analysed(METHOD, plain.table, [*plain.notes, said], errors=plain.errors)
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
        rows, faults, ends = rows + own, faults + fault, [*ends, end._replace(of=f"{bore.words}: ")]
        sources += source
        notes.append(far)
    if faults:
        return refused(METHOD, " ".join(faults), rows, notes)
    if any(bore.drags for bore in bores):
        notes.append("Behind a barrel that drags, the end correction holds the drag too.")
    stress = by_source(sources)
    return analysed(METHOD, rows, notes, ends, Errors(np.zeros_like(stress), stress, True))


def _lines(bore):
    """Return (rows of the table, faults, mean end correction, errors of ln stress by source, a note) of one bore."""
    known = all(np.isfinite(level.shares).all() and np.all(level.shares > 0) for level in bore.levels)
    freedom = (len(bore.ratios) - 2) * len(bore.levels)
    plain = [fitted(level.ratios, level.pressures, level.pressures, 1, known=False) for level in bore.levels]
    pooled = np.sqrt(sum(line.sum_of_squares for line in plain) / freedom)
    rows, bends, errors, rests, rest_errors, sources, end_sources, off = [], [], [], [], [], [], [], []
    shapes = [1 - line.value(level.ratios) / level.pressures for level, line in zip(bore.levels, plain, strict=True)]
    own_share = own_scatter(np.array(shapes), 2, bore.die_share > 0)
    for place, level in enumerate(bore.levels):
        share = level.shares if known else np.hypot(own_share, level.die) if level.die else max(pooled, 1e-12)
        size = share * level.pressures
        line = fitted(level.ratios, level.pressures, size, 1, known=True)._replace(freedom=np.inf if known else freedom)
        curve = fitted(level.ratios, level.pressures, size, 2, known=True)
        half = np.ptp(level.ratios) / 2
        middle = float(curve.value(np.mean(level.ratios[[0, -1]])))
        bends.append(-curve.coefficients[2] * half**2 / middle)
        errors.append(np.sqrt(curve.covariance[2, 2]) * half**2 / middle if known or bore.die_share else np.nan)
        stress, intercept = line.coefficients[1] / 4, float(line.value(0.0)) - bore.friction
        of_slope = line.gain[1]
        of_start = line.gain[0] - line.centre * of_slope
        own = level.own * level.pressures * line.scale if known else own_share * level.pressures
        found = {
            "stress": (of_slope / (4 * stress), 0.0),  # of ln τ_w
            "rest": (of_start, -1.0),
            "end": ((of_start - intercept / (4 * stress) * of_slope) / (4 * stress), -1 / (4 * stress)),
        }
        found = {name: sources_of(bore, level, place, part, own) for name, part in found.items()}
        u_ln_stress, u_rest, u_end = (float(size_of(list(one.values()))) for one in found.values())
        sources.append(found["stress"])
        end_sources.append(found["end"])
        left = level.pressures - line.value(level.ratios)
        off += zip([level] * len(left), range(len(left)), left, size * line.spare, strict=True)
        rests.append(intercept / level.pressures[0])
        rest_errors.append(u_rest / level.pressures[0])
        rows.append({
            **level.origin, "batch": bore.batch, "diameter": bore.diameter, "flow_rate": flow_of(level.rate, bore.diameter),
            "apparent_shear_rate": level.rate,
            **{f"pressure at L/D {ratio:.3g}": p for ratio, p in zip(level.ratios, level.pressures, strict=True)},
            **{f"pressure_residual at L/D {ratio:.3g}": p for ratio, p in zip(level.ratios, left, strict=True)},
            "wall_shear_stress": stress, "wall_shear_stress_uncertainty": abs(stress) * u_ln_stress,
            "rest_pressure": intercept, "rest_pressure_uncertainty": u_rest,
            "end_correction": intercept / (4 * stress), "end_correction_uncertainty": u_end,
            "curvature": bends[-1], "curvature_uncertainty": errors[-1], "interpolated": level.interpolated,
        })  # fmt: skip
    own = None if known else own_share
    faults = _curved(bore, bends, errors, own)
    falling = [
        named(row["row"], written(row["apparent_shear_rate"], "1/s", 4))
        for row in rows
        if row["wall_shear_stress"] <= 0
    ]
    if falling:
        faults.append(
            f"{bore.words}: at {', '.join(falling)} the pressure falls with length; repeat those readings from one batch."
        )
    if not faults:
        faults = negative_rest(bore, rests, rest_errors, own)
    values = np.array([row["end_correction"] for row in rows])
    weights = np.array([row["end_correction_uncertainty"] for row in rows]) ** -2.0
    weights /= weights.sum()
    mean, u_mean = float(weights @ values), float(size_of(weights @ by_source(end_sources)))
    far = farthest(
        [level.named(i) for level, i, _, _ in off],
        [level.pressures[i] for level, i, _, _ in off], *zip(*(one[2:] for one in off), strict=True), "the line",
    )  # fmt: skip
    return (
        rows,
        faults,
        estimate("end_correction", mean, u_mean, SURE),
        sources,
        f"{bore.words}: {far}{TIED * (len(bore.ratios) == 3)}",
    )


def _curved(bore, bends, errors, own):
    """Return the fault of a plot that is surely no straight line, as a list of at most one."""
    mean, rarity, sure = common(bends, errors, shared_part(bore, own))
    if abs(mean) < CURVED or abs(rarity) < sure:
        return []
    way = ("above its chord: long lands read low, as with slip, warming by work, or a bore that is wider in the"
        " long one"
           if mean > 0 else
           "below its chord: long lands read high, as in dense pastes that drain or compact under pressure, or"
           " with a bore"
           " that is narrower in the long one")  # fmt: skip
    return [
        f"{bore.words}: the plot is curved, its middle {100 * abs(mean):.1f} % of the pressure {way}. The plots of"
        f" dense suspensions do curve, and then no straight line gives {rest_in_words(bore)}. Gauge each bore, repeat"
        " the order of lengths backwards, and use lengths near the one of use with the two-length method."
    ]
