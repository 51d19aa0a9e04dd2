"""Names for what recurs in the hints of public signatures."""

from typing import TypeAlias

import numpy as np

Numbers: TypeAlias = float | np.ndarray
"""A number, or an array of them that broadcasts with the others: draws of a law, the points of a map."""
