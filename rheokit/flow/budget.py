"""What a pressure is made of: the parts of a nozzle or an extruder, their table, and the flow that a pressure drives.

A part says what it costs for a law and a flow; nothing here knows a shape or a law.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..framed import framed
from ..hints import Numbers, OfLaw, Table
from ..laws.base import FlowLaw
from ..roots import increasing_root


class Part(NamedTuple):
    """One part of a pressure budget: its name, its model in words, and what it costs."""

    name: str
    model: str
    pressure_drop: OfLaw  # (law, flow_rate) -> Pa
    start_factor: Numbers  # start pressure over yield stress
    contraction: tuple[Numbers, Numbers, Numbers] | None = (
        None  # radii of inlet and outlet, half angle, where it converges
    )

    def __repr__(self):
        return brief(self)


def budget_table(parts: Sequence[Part], law: FlowLaw, flow_rate: ArrayLike) -> Table:
    """Return the budget of parts at one flow [m3/s] as a DataFrame: one row a part, summing to the total."""
    losses = np.array([float(part.pressure_drop(law, flow_rate)) for part in parts])
    share = losses / losses.sum() if losses.sum() > 0 else 0 * losses
    names, models = ([getattr(part, column) for part in parts] for column in ("name", "model"))
    return framed({"part": names, "pressure_drop": losses, "unit": "Pa", "share": share, "model": models})


def flow_at_pressure(pressure: Callable[[np.ndarray], Numbers], target: np.ndarray, start: Numbers) -> Numbers:
    """Return the flow [m3/s] at which an increasing function of flow reaches a pressure [Pa], 0 at and below `start`."""
    floor = np.broadcast_to(start, np.shape(pressure(np.ones(target.shape) * 1e-9))).astype(float)
    target = np.broadcast_to(target, floor.shape)
    flowing = target > floor
    log_target = np.log(np.where(flowing, target - floor, 1.0))

    def miss(log_flow):
        above = np.maximum(pressure(np.exp(log_flow)) - floor, 1e-300)
        return np.where(flowing, np.log(above) - log_target, 0.0)

    return np.where(flowing, np.exp(increasing_root(miss, np.full(floor.shape, -20.0))), 0.0)[()]
