"""What is known of one quantity, whatever measures it."""

import math
from typing import NamedTuple

ANY = (-math.inf, math.inf)
NOT_NEGATIVE = (0.0, math.inf)
SHARE = (0.0, 1.0)
TEMPERATURES = (173.15, 1273.15)  # of anything on a bench: 36 is no temperature in kelvins, but degrees Celsius [K]


class Quantity(NamedTuple):
    """One named quantity: its symbol, its SI unit as text, what it means, which values of it there are, how it is written.

    Attributes
    ----------
    symbol, unit, meaning : str
    likely : (float, float)
        Where a bench or a print of pastes and gels has it (common practice, no source): a value outside is doubted.
        [SI, as the unit]
    possible : (float, float)
        Where it can be at all: a value outside is refused. [SI, as the unit]
    column : float
        Where 0 is likely too, a column of which not one value reaches this is doubted: it is likely in another unit.
        [SI, as the unit]
    spread : float
        Usual standard deviation of its ln where nobody states one (common practice, no source). [-]
    customary : str
        The unit it is always written in, where that is not chosen by size among those of its SI unit (see `measures`).
    digits : int
        Significant digits that are written where no interval says how many it deserves.
    example : str
        A number that somebody could type, with its unit; empty where its SI unit gives one.
    percent : bool
        True for a number without a unit that may exceed 1 and that people give in per cent all the same.
    """

    symbol: str
    unit: str
    meaning: str
    likely: tuple = ANY
    possible: tuple = NOT_NEGATIVE
    column: float = 0.0
    spread: float = 0.0
    customary: str = ""
    digits: int = 3
    example: str = ""
    percent: bool = False
