"""Names for what recurs in the hints of public signatures."""

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

Numbers: TypeAlias = float | np.ndarray
"""A number, or an array of them that broadcasts with the others: draws of a law, the points of a map."""

OfLaw: TypeAlias = Callable[..., Numbers]
"""What is asked of a law, and of what else is handed over with it: ``lambda law: law.shear_stress(50.0)``."""
