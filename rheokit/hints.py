"""Names for what recurs in the hints of public signatures."""

from collections.abc import Callable
from typing import TYPE_CHECKING, ForwardRef, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from pandas import DataFrame as Table
else:
    Table = ForwardRef("pandas.DataFrame")  # unlike a text it can stand in a union
    """A table of pandas, which is loaded when the first one is made."""

Numbers: TypeAlias = float | np.ndarray
"""A number, or an array of them that broadcasts with the others: draws of a law, the points of a map."""

OfLaw: TypeAlias = Callable[..., Numbers]
"""What is asked of a law, and of what else is handed over with it: ``lambda law: law.shear_stress(50.0)``."""
