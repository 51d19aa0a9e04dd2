"""What draws a thread, from which draw ratio it pulses, and which power law a flow law follows there.

Isothermal and viscous, without inertia and weight.
"""

from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, not_negative, positive
from ..laws.base import FlowLaw
from ..laws.criterion import UNIAXIAL
from .draw import exit_speed
from .validity import possible_index, warn_outside_range


class DrawnLaw(NamedTuple):
    """The power law that a flow law follows where a thread is drawn: consistency [Pa s^n], flow index [-], viscosity [Pa s]."""

    consistency: Numbers
    flow_index: Numbers
    viscosity: Numbers

    def __repr__(self):
        return brief(self)


def no_yield_stress(where: str, law: FlowLaw) -> None:
    """Raise `DataError` for a law with a yield stress: pastes are not drawn."""
    if np.any(np.asarray(law.yield_stress) > 0):
        raise DataError(
            f"{where}: law = {type(law).__name__} has a yield stress, and pastes are not drawn; a dope that is drawn has a "
            "law without, such as Newtonian or the power law."
        )


@guarded
def drawn_law(law: FlowLaw, *, flow_rate: Numbers, bore: Numbers, winding_speed: Numbers, gap: Numbers) -> DrawnLaw:
    """Return the power law that a flow law follows where a thread is drawn.

    Parameters
    ----------
    law : FlowLaw
        Without a yield stress: pastes are not drawn.
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]
    gap : float or array-like
        Over which it is drawn. [m]

    Returns
    -------
    DrawnLaw
        ``consistency`` [Pa s^n], ``flow_index`` [-] and ``viscosity`` [Pa s] at γ̇ = √3 (v_w - v_0)/L, the mean rate
        of stretching as a rate of shear: n = `local_index`, K = τ/γ̇^n.
    """
    no_yield_stress("drawn_law", law)
    positive("drawn_law", gap=gap)
    rate = UNIAXIAL * np.abs(np.subtract(winding_speed, exit_speed(flow_rate, bore))) / gap
    rate = np.maximum(rate, 1e-6)  # wound as fast as it comes
    index, stress = law.local_index(rate), law.shear_stress(rate)
    return DrawnLaw(stress / rate**index, index, stress / rate)


def with_index(index: Numbers, newtonian: Numbers, otherwise: Callable[[Numbers], Numbers]) -> Numbers:
    """Return what a formula gives at a flow index of 1, where its general form cannot be taken, and otherwise what that gives."""
    at_one = np.abs(np.asarray(index, float) - 1) < 1e-6
    if np.all(at_one):
        return newtonian
    return np.where(at_one, newtonian, otherwise(np.where(at_one, 0.5, index)))


@guarded
def draw_tension(
    consistency: Numbers,
    flow_index: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    winding_speed: Numbers,
    gap: Numbers,
) -> Numbers:
    """Return the force that draws a thread.

    Parameters
    ----------
    consistency : float or array-like
        Of the power law, a viscosity where n = 1. [Pa·s^n]
    flow_index : float or array-like
        [-]
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    winding_speed : float or array-like
        [m/s]
    gap : float or array-like
        Over which it is drawn. [m]

    Returns
    -------
    draw_tension : float or ndarray
        3^((n+1)/2) K Q [(n/(n-1)) (v_w^((n-1)/n) - v_0^((n-1)/n))/L]^n; n = 1: 3 η Q ln D_R/L. 0 where nothing is
        drawn. [N]

    Notes
    -----
    Isothermal, and viscous alone: weight, inertia and surface tension are left out. That of a Newtonian thread with
    surface tension is 6 η Q φ/L with the φ of `unevenness_gain`.
    """
    possible_index("draw_tension", flow_index)
    positive("draw_tension", consistency=consistency, gap=gap)
    positive("draw_tension", winding_speed=winding_speed, flow_rate=flow_rate)
    slow = exit_speed(flow_rate, bore)
    fast = np.maximum(winding_speed, slow)

    def stretched(n):
        return n / (n - 1) * (fast ** ((n - 1) / n) - slow ** ((n - 1) / n))

    index = np.asarray(flow_index, float)
    rate = with_index(index, np.log(fast / slow), stretched) / gap
    return (UNIAXIAL ** (index + 1) * consistency * np.asarray(flow_rate) * rate**index)[()]


@guarded
def capillary_number(
    consistency: Numbers,
    flow_index: Numbers,
    *,
    flow_rate: Numbers,
    bore: Numbers,
    gap: Numbers,
    surface_tension: Numbers,
) -> Numbers:
    """Return how surface tension compares with the viscous tension of a thread that is drawn.

    Parameters
    ----------
    consistency : float or array-like
        Of the power law, a viscosity where n = 1. [Pa·s^n]
    flow_index : float or array-like
        [-]
    flow_rate : float or array-like
        [m3/s]
    bore : float or array-like
        Of the nozzle. [m]
    gap : float or array-like
        Over which it is drawn. [m]
    surface_tension : float or array-like
        [N/m]

    Returns
    -------
    capillary_number : float or ndarray
        C = γ/[r_0 3^((n+1)/2) K (v_0/L)^n]; n = 1: γ L/(3 η r_0 v_0). [-]
    """
    where = "capillary_number"
    possible_index(where, flow_index)
    positive(where, consistency=consistency, flow_rate=flow_rate, gap=gap)
    not_negative(where, surface_tension=surface_tension)
    index = np.asarray(flow_index, float)
    viscous = UNIAXIAL ** (index + 1) * consistency * (exit_speed(flow_rate, bore) / gap) ** index
    return np.divide(surface_tension, np.divide(bore, 2) * viscous)


@cache
def _critical_table():
    """Return flow indices, capillary numbers and the ln of the critical draw ratio at each pair of them."""
    text = (files("rheokit.fibre") / "data" / "critical-draw-ratio.csv").read_text(encoding="utf-8")
    rows = [line.split(",") for line in text.splitlines() if not line.startswith("#")]
    numbers = np.array([row[1:] for row in rows], float)
    return np.array([row[0] for row in rows[1:]], float), numbers[0], np.log(numbers[1:])


def _cell(nodes, value):
    """Return between which evenly spaced nodes a value lies, and where between them."""
    at = np.clip((value - nodes[0]) / (nodes[1] - nodes[0]), 0.0, len(nodes) - 1)
    low = np.minimum(at.astype(int), len(nodes) - 2)
    return low, at - low


@guarded
def critical_draw_ratio(flow_index: Numbers, capillary_number: Numbers = 0.0) -> Numbers:
    """Return the draw ratio from which a thread pulses: its diameter swells and shrinks of itself (draw resonance).

    Parameters
    ----------
    flow_index : float or array-like
        0.3 to 1.2; outside the table's end is taken, with a warning. [-]
    capillary_number : float or array-like
        As `capillary_number` gives it, 0 to 5; above, a thread with
        n up to 1.2 bears a draw ratio of 1.22 at the most, and 1 is returned. [-]

    Returns
    -------
    critical_draw_ratio : float or ndarray
        1 where no draw is even. 20.218 for a Newtonian thread without surface tension. [-]

    Warns
    -----
    ModelRangeWarning
        Outside the table.

    Notes
    -----
    Linear in the ln between the nodes of a table that `draw_stability` computed: within 0.5 % for n up to 1; for n above
    it 1 % at capillary numbers up to 3.5, and 15 % beyond, where even draws end abruptly. Isothermal, the drum at a fixed
    speed; cooling, weight and inertia steady a thread a little, and elasticity is not in it.
    """
    possible_index("critical_draw_ratio", flow_index)
    not_negative("critical_draw_ratio", capillary_number=capillary_number)
    indices, capillaries, logs = _critical_table()
    index, capillary = np.asarray(flow_index, float), np.asarray(capillary_number, float)
    warn_outside_range("critical_draw_ratio", "flow_index", index, indices[0], indices[-1], "the end is taken")
    row, down = _cell(indices, index)
    column, across = _cell(capillaries, capillary)
    here = logs[row, column] * (1 - across) + logs[row, column + 1] * across
    below = logs[row + 1, column] * (1 - across) + logs[row + 1, column + 1] * across
    even = here * (1 - down) + below * down
    return np.exp(np.where(capillary <= capillaries[-1], even, 0.0))[()]
