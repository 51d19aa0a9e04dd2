"""Yield stresses as they were read, with their limits."""

import numpy as np
from numpy.typing import ArrayLike

from ...framed import framed
from ...hints import Table
from ...sampling import limits_of_spread


def readings_with_limits(water_contents: ArrayLike, yield_stresses: ArrayLike, relative_uncertainty: float) -> Table:
    """Return readings as a DataFrame of water [-], stress and its 95 % limits low, high [Pa].

    Parameters
    ----------
    water_contents : array-like, shape (N,)
        Dry basis. [-]
    yield_stresses : array-like, shape (N,)
        [Pa]
    relative_uncertainty : float
        Standard, of each yield stress. [-]
    """
    water, stress = np.asarray(water_contents, float), np.asarray(yield_stresses, float)
    low, high = limits_of_spread(stress, relative_uncertainty)
    return framed({"water": water, "stress": stress, "low": low, "high": high})
