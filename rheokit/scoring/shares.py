"""How often something held, with the interval that so few trials deserve."""

from typing import NamedTuple

from ..errors import DataError
from ..sampling import LEVEL


class Share(NamedTuple):
    """A number of trials that held, of all; their share with its interval [-]."""

    held: int
    of: int
    value: float
    low: float
    high: float


def share(held: int, of: int, level: float = LEVEL) -> Share:
    """Return a share with the interval of Clopper and Pearson, which holds the true share in `level` of the cases or more.

    Parameters
    ----------
    held, of : int
        How many trials held, of how many. [-]
    level : float
        [-]

    Returns
    -------
    share : Share
        NaN with limits 0 and 1 where there was no trial. [-]

    Raises
    ------
    DataError
        If more held than there were, or fewer than none.

    References
    ----------
    Clopper and Pearson, Biometrika 26 (1934) 404. It holds for trials that do not hang together.
    """
    if not 0 <= held <= of:
        raise DataError(f"share: {held} of {of} trials cannot have held; count again.")
    if not of:
        return Share(0, 0, float("nan"), 0.0, 1.0)
    from scipy.special import betaincinv

    tail = (1 - level) / 2
    low = float(betaincinv(held, of - held + 1, tail)) if held else 0.0
    high = float(betaincinv(held + 1, of - held, 1 - tail)) if held < of else 1.0
    return Share(held, of, held / of, low, high)
