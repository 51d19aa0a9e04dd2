"""A thread along its way, as `Spinline` finds it."""

from typing import NamedTuple

import numpy as np

from ..brief import brief


class Thread(NamedTuple):
    """What a thread is along its way: arrays by position from the nozzle, and how well its balances close.

    `tension` is the whole force on a section, `viscous_tension` that part of it which is not surface tension [N]; `time` is
    since the nozzle [s]. `balances` holds mass, momentum and energy by name: what is missing over the sum of what is
    exchanged [-].
    """

    position: np.ndarray
    speed: np.ndarray
    diameter: np.ndarray
    temperature: np.ndarray
    water_fraction: np.ndarray
    viscous_tension: np.ndarray
    tension: np.ndarray
    time: np.ndarray
    balances: dict[str, float]

    def __repr__(self):
        return brief(self)
