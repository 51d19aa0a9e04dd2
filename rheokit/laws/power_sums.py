r"""Laws whose stress is a yield stress and a sum of powers of the rate: flow in a tube without an integral.

With the stress :math:`\tau = \sum a_i\dot\gamma^{p_i}`, the yield stress the term of power 0, Weissenberg and Rabinowitsch's
relation is an integral over the rate up to that at the wall, and its terms are powers again:

.. math:: \dot\gamma_a = \frac{4}{\tau_w^3}\int\tau^2\,\dot\gamma\,d\tau
          = \tfrac43\,\dot\gamma_w \sum_{ijk} s_i s_j s_k \frac{S}{S+1}, \qquad S = p_i + p_j + p_k,

:math:`s_i = a_i\dot\gamma_w^{p_i}/\tau_w` the share of a term in the wall stress. All are positive, so that nothing cancels near
the plug limit. Derived for this package; the tests hold it to quadrature.
"""

import itertools
from abc import abstractmethod
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ..hints import Numbers
from . import tube
from .base import FlowLaw

Terms = Sequence[tuple[Numbers, Numbers]]
TINY = 1e-300
SETTLED = 1e-15  # of ln rate


@cache
def _threes(count: int) -> list[tuple[tuple[int, ...], int]]:
    """Return the places of three of so many terms, in order, and how often each three comes in any order; asked thousands of times."""
    ordered = Counter(tuple(sorted(places)) for places in itertools.product(range(count), repeat=3))
    return list(ordered.items())


@dataclass(frozen=True, eq=False)
class PowerSum(FlowLaw):
    """A law that gives its `terms`, of which everything else follows."""

    @property
    @abstractmethod
    def terms(self) -> Terms:
        """(a, p) of each term a γ̇^p above the yield stress [Pa·s^p, -]; a may be 0."""

    def _above(self, ln_rate):
        """Return ln(τ - τ_y) and its slope at ln γ̇."""
        with np.errstate(divide="ignore"):
            logs = [np.log(a) + np.multiply(p, ln_rate) for a, p in self.terms]
        largest = np.maximum(np.max(np.broadcast_arrays(*logs), axis=0), np.log(TINY))
        sizes = [np.exp(one - largest) for one in logs]
        total = np.maximum(sum(sizes), TINY)
        return largest + np.log(total), sum(p * size for (_, p), size in zip(self.terms, sizes, strict=True)) / total

    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        rate = np.asarray(shear_rate, float)
        return (self.yield_stress + sum(a * np.power(rate, p) for a, p in self.terms))[()]

    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:
        """Return the shear rate [1/s] at a shear stress [Pa]: 0 at and below yield, infinite where no rate has it.

        ln(τ - τ_y) bends upwards over ln γ̇, so that Newton's steps from where one term alone has the stress go down to the
        root and never past it.
        """
        excess = np.subtract(np.asarray(shear_stress, float), self.yield_stress)
        target = np.log(np.where(excess > 0, excess, 1.0))
        with np.errstate(divide="ignore"):
            alone = [(target - np.log(a)) / p for a, p in self.terms]
        start = np.min(np.broadcast_arrays(*alone), axis=0)
        possible = np.isfinite(start)
        y = np.where(possible, start, 0.0)
        for _ in range(60):
            value, slope = self._above(y)
            step = np.where(possible, value - target, 0.0) / np.where(slope > 0, slope, 1.0)
            y = y - step
            if np.all(np.abs(step) <= SETTLED * (1 + np.abs(y))):
                break
        with np.errstate(over="ignore"):
            return np.where(excess > 0, np.where(possible, np.exp(y), np.inf), 0.0)[()]

    def local_index(self, shear_rate: ArrayLike) -> Numbers:  # noqa: D102
        return self._above(np.log(np.maximum(np.asarray(shear_rate, float), TINY)))[1][()]

    def flow_at_wall_rate(self, wall_shear_rate: ArrayLike) -> tuple[Numbers, Numbers]:  # noqa: D102
        rate = np.asarray(wall_shear_rate, float)
        terms = [(np.asarray(self.yield_stress, float), 0.0), *self.terms]
        finite = np.where(np.isinf(rate), 0.0, rate)  # no rate has the stress of a law that hardly has any
        parts = [a * np.power(finite, p) for a, p in terms]
        stress = sum(parts)
        scale = np.where(stress > 0, stress, 1.0)
        shares = [part / scale for part in parts]
        total: Numbers = 0.0
        for (i, j, k), times in _threes(len(terms)):
            power = terms[i][1] + terms[j][1] + terms[k][1]
            total = total + times * (power / (power + 1)) * shares[i] * shares[j] * shares[k]
        endless = np.isinf(rate)
        return np.where(endless, np.inf, 4 / 3 * finite * total)[()], np.where(endless, np.inf, stress)[()]

    @property
    def searches_rate(self) -> bool:  # noqa: D102
        return True

    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:  # noqa: D102
        ends = flow_rate, inlet_radius, outlet_radius
        return np.sum([tube.power_stretching(*ends, a, p) for a, p in self.terms], axis=0)[()]
