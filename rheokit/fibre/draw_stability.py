"""From which draw ratio a thread pulses: eigenvalues of small disturbances of a thread that is drawn over a gap.

In speeds of v_0, lengths of the gap L and sections of the bore: a_t + (a v)_z = 0, a v_z^n + C a^(1/2) = F(t), with v = 1 and
a = 1 at the nozzle and v = D_R at the drum. Disturbed by A and V: λ A = -(v A)_z - (a V)_z, V_z = (f - q A) k with
k = 1/(n a v_z^(n-1)), q = v_z^n + C/(2 a^(1/2)) and f such that V = 0 at both ends. Collocation at Chebyshev points, 1e-7.

`write_table` writes the table that `critical_draw_ratio` reads.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.polynomial import chebyshev

from ..inputs import guarded, not_negative, one_number, require
from .validity import possible_index

POINTS = 56  # of the thread
FINE = 160  # of the undisturbed thread, along ln v
INDICES = np.round(np.arange(0.3, 1.2001, 0.05), 2)
CAPILLARIES = np.round(np.arange(0.0, 5.0001, 0.1), 1)
"""Nodes of the table, flow index and capillary number [-]."""
STEPS = np.arange(0.02, 4.6, 0.12)  # of the ln of the draw ratio, in search of where it pulses
TABLE = Path(__file__).parent / "data" / "critical-draw-ratio.csv"


@cache
def _chebyshev(count):
    """Return Chebyshev points on 0 to 1, the matrix of the derivative, that of the integral from 0, and of coefficients."""
    points = -np.cos(np.pi * np.arange(count) / (count - 1))
    sign = np.r_[2.0, np.ones(count - 2), 2.0] * (-1.0) ** np.arange(count)
    derive = np.outer(sign, 1 / sign) / (points[:, None] - points + np.eye(count))
    derive -= np.diag(derive.sum(1))
    to_coefficients = np.linalg.inv(chebyshev.chebvander(points, count - 1))
    integrate = chebyshev.chebvander(points, count) @ chebyshev.chebint(to_coefficients, lbnd=-1)
    return (points + 1) / 2, 2 * derive, integrate / 2, to_coefficients


def _slope(speed, force, index, capillary):
    return ((force - capillary / np.sqrt(speed)) * speed) ** (1 / index)


def _places(force, ratio, index, capillary):
    """Return where on the thread the speed has reached each of the fine points of ln v; the last place is its length."""
    points, _, integrate, _ = _chebyshev(FINE)
    speed = ratio**points
    return np.log(ratio) * (integrate @ (speed / _slope(speed, force, index, capillary)))


def _undisturbed(ratio, index, capillary):
    """Return the speed and its slope at the points of the thread; None where no steady thread is drawn.

    The force that gives the thread its length is searched for above C: below it the thread pulls nothing at the nozzle.
    """
    from scipy.optimize import brentq

    def too_long(log_excess):
        return np.log(_places(capillary + np.exp(log_excess), ratio, index, capillary)[-1])

    if not too_long(-12.0) > 0:
        return None
    force = capillary + np.exp(brentq(too_long, -12.0, 12.0, xtol=1e-14, rtol=1e-14))
    fine, _, _, to_coefficients = _chebyshev(FINE)
    places = _places(force, ratio, index, capillary)
    course = to_coefficients @ places
    points, span = _chebyshev(POINTS)[0], np.log(ratio)
    logs = np.interp(points, places, span * fine)
    for _ in range(6):  # Newton's steps to where the course reaches each point
        speed = np.exp(logs)
        miss = chebyshev.chebval(2 * logs / span - 1, course) - points
        logs = np.clip(logs - miss * _slope(speed, force, index, capillary) / speed, 0.0, span)
    return np.exp(logs), _slope(np.exp(logs), force, index, capillary)


def _leading(ratio, index, capillary):
    """Return the eigenvalue with the greatest real part; NaN where no steady thread is drawn."""
    thread = _undisturbed(ratio, index, capillary)
    if thread is None:
        return complex(np.nan, np.nan)
    _, derive, integrate, _ = _chebyshev(POINTS)
    speed, slope = thread
    section = 1 / speed
    yields = speed / (index * slope ** (index - 1))
    pulls = slope**index + capillary / (2 * np.sqrt(section))
    weights = integrate[-1] * yields
    force = weights * pulls / weights.sum()  # what each point's section does to the force on the thread
    stretch = yields[:, None] * (force - np.diag(pulls))
    moved = integrate @ stretch
    matrix = -derive @ np.diag(speed) - (derive @ section)[:, None] * moved - section[:, None] * stretch
    values = np.linalg.eigvals(matrix[1:, 1:])  # the section at the nozzle stays
    first = values[np.argmax(values.real)]
    return complex(first.real, abs(first.imag))


@guarded
def growth_rate(draw_ratio: float, flow_index: float = 1.0, capillary_number: float = 0.0) -> complex:
    """Return how fast the fastest disturbance of a drawn thread grows, and how fast it swings.

    Parameters
    ----------
    draw_ratio : float
        Above 1. [-]
    flow_index : float
        Of the power law. [-]
    capillary_number : float
        As `fibre.capillary_number` gives it. [-]

    Returns
    -------
    growth_rate : complex
        Growth, below 0 where the thread is even, and circular frequency in the imaginary part, both in v_0/L; NaN where
        no steady thread is drawn, as with n > 1 at a low draw ratio and much surface tension.
    """
    where = "growth_rate"
    one_number(where, draw_ratio=draw_ratio, flow_index=flow_index, capillary_number=capillary_number)
    require(where, "draw_ratio", draw_ratio, np.greater(draw_ratio, 1), "must be above 1: nothing is drawn")
    possible_index(where, flow_index)
    not_negative(where, capillary_number=capillary_number)
    return _leading(draw_ratio, flow_index, capillary_number)


@guarded
def neutral_draw_ratio(flow_index: float = 1.0, capillary_number: float = 0.0) -> float:
    """Return the draw ratio at which a disturbance of a drawn thread neither grows nor dies.

    Parameters
    ----------
    flow_index : float
        Of the power law. [-]
    capillary_number : float
        As `fibre.capillary_number` gives it. [-]

    Returns
    -------
    draw_ratio : float
        Where the first even range of draw ratios ends; 1 where there is none. From memory, in the literature: 20.218 at
        n = 1 without surface tension. [-]
    """
    one_number("neutral_draw_ratio", flow_index=flow_index, capillary_number=capillary_number)
    possible_index("neutral_draw_ratio", flow_index)
    not_negative("neutral_draw_ratio", capillary_number=capillary_number)
    from scipy.optimize import brentq

    def growth(log_ratio):
        return _leading(np.exp(log_ratio), flow_index, capillary_number).real

    even = None
    for log_ratio in STEPS:
        grows = growth(log_ratio)
        if grows < 0:
            even = log_ratio
        elif even is not None:
            return float(np.exp(brentq(growth, even, log_ratio, xtol=1e-10, rtol=1e-10)))
    return 1.0


def table_text() -> str:
    """Return the text of the table: its origin, capillary numbers, and a row a flow index of critical draw ratios."""
    head = (
        "# Critical draw ratio [-]: first row capillary number [-], first column flow index [-]; 1 where no draw is even.\n"
        "# Computed by rheokit.fibre.draw_stability.write_table()\n"
    )
    rows = [["", *(f"{capillary:g}" for capillary in CAPILLARIES)]]
    for index in INDICES:
        ratios = [neutral_draw_ratio(float(index), float(capillary)) for capillary in CAPILLARIES]
        rows.append([f"{index:g}", *(f"{ratio:.6f}" for ratio in ratios)])
    return head + "".join(",".join(row) + "\n" for row in rows)


def write_table() -> None:
    """Compute the table anew, in half a minute, and write it where `critical_draw_ratio` reads it."""
    TABLE.write_text(table_text(), encoding="utf-8")
