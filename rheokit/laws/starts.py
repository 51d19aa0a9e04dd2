"""Starts of a fit for laws that are linear in some of their parameters: these are solved for at a few values of the others."""

import itertools
from collections.abc import Sequence

import numpy as np

INDICES = np.array([0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9])  # flow indices that are tried
LEAST = 1e-3  # of the stresses: what a term that must be there is given, where the curve shows none of it


def nonnegative(columns: Sequence[np.ndarray], shear_stress: np.ndarray) -> tuple[np.ndarray, float]:
    """Return the factors of curves whose sum lies nearest to a stress, none of them below 0, and the squares missed.

    Distances are relative to the stress [Pa]. Columns are few, so that every choice of those with a factor above 0 is tried.
    """
    relative = np.asarray(columns, float) / shear_stress
    sizes = np.linalg.norm(relative, axis=1)
    best, least = np.zeros(len(columns)), float(len(shear_stress))
    for count in range(1, len(columns) + 1):
        for chosen in map(list, itertools.combinations(range(len(columns)), count)):
            if not np.all(sizes[chosen] > 0):
                continue
            found = np.linalg.lstsq(relative[chosen].T / sizes[chosen], np.ones(len(shear_stress)), rcond=None)[0]
            factors = found / sizes[chosen]
            missed = float(np.sum((factors @ relative[chosen] - 1) ** 2))
            if np.all(factors >= 0) and missed < least:
                best, least = np.zeros(len(columns)), missed
                best[chosen] = factors
    return best, least
