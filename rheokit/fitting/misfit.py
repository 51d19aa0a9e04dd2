"""How far readings and a law are apart where some errors are known and the size of others is taken from the residuals.

Known errors and priors add their squares as they are. The readings of one unknown error size add a ln(1 + x/a) when their
squares rise by x: a is such that one threshold of chi-square serves all. With all errors unknown and one size the limits
are then those of F (Student's t) exactly; a parameter that a stated prior holds keeps the limits of that prior.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ..sampling import LEVEL

LEAST_FREEDOM = 0.5  # degrees of freedom below which residuals do not say how large their error is


def leverages(minimum):
    """Return the leverage of each residual row, shape (N,): how much of a fitted parameter it pays for."""
    u, s, _ = np.linalg.svd(
        minimum.jacobian / np.maximum(np.linalg.norm(minimum.jacobian, axis=0), 1e-300), full_matrices=False
    )
    return np.sum(u[:, s > 1e-9 * s.max(initial=0.0)] ** 2, axis=1)


class Group(NamedTuple):
    """Residuals that share one estimated size: their rows, their squares at the best fit, all the freedom they leave."""

    rows: np.ndarray
    squares: float
    freedom: float
    of_batches: bool = False
    inside: tuple = (
        0.0,
        0.0,
    )  # squares and freedom beside the rows: scatter about means of several readings; what is usual of batches

    @property
    def size(self) -> float:
        """Root mean square of all that the error size is estimated from."""
        return np.sqrt((self.squares + self.inside[0]) / self.freedom) if self.freedom > 1e-6 else 1.0


@dataclass(frozen=True, eq=False)
class Misfit:
    """The misfit whose rise, at a level of confidence, says whether a law still belongs to the readings.

    Rows of no group have a known error.
    """

    groups: tuple = ()
    level: float = LEVEL

    @cached_property
    def rise(self) -> float:
        """Rise of the misfit at the limit: chi-square of one degree of freedom [-]."""
        from scipy.special import chdtri

        return float(chdtri(1, 1 - self.level))

    @cached_property
    def softness(self) -> np.ndarray:
        """The a of each group [-]: infinite where the size is as good as known, 0 where the group says nothing."""
        return np.array([_softness(group.freedom, self.level, self.rise) for group in self.groups])

    def parts(self, residuals: np.ndarray) -> np.ndarray:
        """Return the squares of the known rows and of each group, shape (..., N) to (..., 1 + groups)."""
        squares = np.square(residuals)
        sums = [np.sum(squares[..., group.rows], axis=-1) for group in self.groups]
        return np.stack([np.sum(squares, axis=-1) - sum(sums), *sums], axis=-1)

    def total(self, parts: np.ndarray) -> np.ndarray:
        """Return the misfit for `parts`; at the best fit it is the plain sum of squares."""
        out = np.asarray(parts, float)[..., 0]
        for place, (group, soft) in enumerate(zip(self.groups, self.softness, strict=True), 1):
            more = parts[..., place] - group.squares
            if soft == 0:
                more = 0.0
            elif np.isfinite(soft):
                more = np.where(more > 0, soft * np.log1p(np.maximum(more, 0.0) / soft), more)
            out = out + group.squares + more
        return out

    def of(self, residuals: np.ndarray) -> np.ndarray:
        """Return the misfit of residuals, shape (..., N) to (...)."""
        return self.total(self.parts(residuals)) if self.groups else np.sum(np.square(residuals), axis=-1)

    def weights(self, residuals: np.ndarray) -> np.ndarray:
        """Return how much each square counts for a small change, shape (N,)."""
        out = np.ones(len(residuals))
        for group, soft in zip(self.groups, self.softness, strict=True):
            more = max(float(np.sum(np.square(residuals[group.rows]))) - group.squares, 0.0)
            out[group.rows] = 0.0 if soft == 0 else 1 / (1 + more / soft)
        return out

    def log_density(self, residuals: np.ndarray) -> np.ndarray:
        """Return the logarithm of the joint density of the parameters, unknown error sizes integrated out.

        Each group counts with its squares to the power of minus half its readings; so does the spread of batches, which
        gives Student's t of the few that were read and of what is usual, where their factors lie farther apart than the best fit has them.
        """
        parts = self.parts(residuals)
        out = -parts[..., 0] / 2
        for place, group in enumerate(self.groups, 1):
            more = parts[..., place] - group.squares
            if group.of_batches:
                apart = (len(group.rows) + group.inside[1]) / 2 * np.log1p(np.maximum(more, 0.0) / group.freedom)
                out = out - np.where(more > 0, apart, more / 2)
            elif group.freedom > LEAST_FREEDOM:
                out = out - (len(group.rows) + group.inside[1]) / 2 * np.log1p(
                    np.maximum(more / max(group.freedom, 1.0), -1 + 1e-12)
                )
        return out


def _softness(freedom, level, rise):
    from scipy.optimize import brentq
    from scipy.special import fdtri

    if freedom <= LEAST_FREEDOM:
        return 0.0
    threshold = float(fdtri(1, freedom, level))
    if threshold < rise * (1 + 1e-6):
        return np.inf
    return float(np.exp(brentq(lambda ln: np.exp(ln) * np.log1p(threshold / np.exp(ln)) - rise, -20.0, 30.0)))
