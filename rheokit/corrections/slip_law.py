"""Slip coefficient and threshold stress from slip velocities: one fit of all stresses, whether or not slip is seen there."""

import numpy as np

from ..nomenclature import written
from ..sampling import SURE, TAILS, students
from .base import estimate

STEPS = 4000  # thresholds that are tried
TOLD = 2.2  # standard uncertainties that hold 95 % of what is told: it is told where slip is seen, so by errors that show it
UNLIKELY = 0.01  # chance of calling a sound slip law bad


def slip_law(rows, slips):
    """Return (slip coefficient and threshold, notes) of V_s = β max(0, τ_w - τ_s) through all slip velocities.

    To take the stresses at which slip is surely seen would take those at which it is read too high. The limits are
    those of all β and τ_s whose sum of squares is within 2.2² of the least; nothing is linearised. Of slip that begins late
    and is seen in two benches of five, 1.96² held the threshold in 84 %.

    The rows, rising in stress, have `wall_shear_stress` [Pa] and `slip_velocity` [m/s]; `slips` are the errors of the
    latter by independent sources, shape (rows, sources) [m/s].
    """
    from scipy.special import chdtri

    stress, slip = (np.array([row[k] for row in rows]) for k in ("wall_shear_stress", "slip_velocity"))
    if not slip_is_seen(rows, slips):
        most = max(rows, key=lambda row: row["slip_velocity_high"])
        return [], [
            "No slip is seen, which does not exclude it: 0 lies inside the interval of every slip velocity and of their mean, and so"
            f" does up to {written(most['slip_velocity_high'], 'm/s')} at {written(most['wall_shear_stress'], 'Pa', 4)}. Whether the paste"
            " slips cannot be told; measure a narrower bore, and each rate twice."
        ]
    if len(rows) < 4:
        return [], [f"Slip coefficient and threshold are not known: {len(rows)} stresses; they need four."]
    weight = _whitening(slips)
    tried = np.unique([*np.linspace(0.0, stress[-2], STEPS), *_best(stress, slip, weight)])
    law = np.maximum(stress - tried[:, None], 0) @ weight.T
    seen, size = weight @ slip, np.sum(law**2, axis=1)
    beta = np.maximum(law @ seen / size, 0)
    misfit = np.sum((seen - beta[:, None] * law) ** 2, axis=1)
    least = int(np.argmin(misfit))

    def limits(most):
        """Return least and greatest coefficient and threshold within `most` standard uncertainties of the best."""
        rise, allowed = misfit - misfit[least], misfit <= misfit[least] + most**2
        room = np.sqrt((most**2 - rise[allowed]) / size[allowed])
        ends = tried[allowed][[0, -1]]
        return *map(float, (np.min(beta[allowed] - room), np.max(beta[allowed] + room), *ends)), bool(allowed[-1])

    least_slip, *_, at_the_top = limits(SURE)
    if misfit[least] > chdtri(len(rows) - 2, UNLIKELY):
        return [], [
            "Slip coefficient and threshold are not known: the slip velocities do not lie on V_s = β (τ_w - τ_s) within"
            " their uncertainties. Read them from the table, or measure more stresses."
        ]
    if least_slip <= 0 or at_the_top:
        return [], [
            "Slip coefficient and threshold are not known: the readings allow no slip, or slip at the greatest stress"
            " alone. Measure narrower bores and more, greater stresses."
        ]
    low, high, first, last, _ = limits(TOLD)
    found = [
        estimate("slip_coefficient", beta[least])._replace(low=max(low, 0.0), high=high),
        estimate("slip_threshold", tried[least])._replace(low=first, high=last),
    ]
    notes = ["The threshold is that of a straight line from nothing; below the least stress it is a guess."]
    if first <= 0:
        notes.append(
            "0 lies inside its interval: it cannot be told whether slip starts with flow. Measure at lower stresses."
        )
    return found, notes


def slip_is_seen(rows, slips):
    """Return whether the slip velocity is surely above 0: on the mean of all stresses, weighed by their errors, or at one of them.

    Many stresses are many chances to be wrong: each alone is asked for so much more (Bonferroni, from memory), by Student's t of
    one residual a stress, as three bores leave it. Of synthetic benches of three bores and six rates without slip 0 of 196 with errors
    as stated and 12 of 190 without were told to slip (with every stress asked alike 1 and 20), of 100 that slip 99 and 94 (98 and 82).
    """
    from scipy.special import ndtri

    weight = _whitening(slips)
    flat = weight @ np.ones(len(rows))
    mean = flat @ (weight @ [row["slip_velocity"] for row in rows])
    each, count = -ndtri(TAILS[0] / len(rows)), len(rows)
    more = float(students(each, count) / students(SURE, count))
    alone = any(row["slip_velocity"] > more * (row["slip_velocity"] - row["slip_velocity_low"]) for row in rows)
    return bool(alone or mean > SURE * np.linalg.norm(flat))


def _whitening(errors):
    """Return the matrix that makes errors by source, shape (rows, sources), independent and of size one."""
    sizes = np.sqrt(np.sum(errors**2, axis=1))
    share = errors / sizes[:, None]
    return np.linalg.inv(np.linalg.cholesky(share @ share.T + 1e-9 * np.eye(len(sizes)))) / sizes


def _best(stress, slip, weight):
    """Return the threshold of least squares between each two neighbouring stresses, where there is one."""
    found, seen = [], weight @ slip
    for first in range(len(stress) - 1):
        above = np.arange(len(stress)) >= first
        (beta, start), *_ = np.linalg.lstsq(weight @ np.transpose([stress * above, -1.0 * above]), seen)
        lowest = stress[first - 1] if first else 0.0
        if beta > 0 and lowest <= start / beta <= stress[first]:
            found.append(start / beta)
    return found
