"""One law to many bench tests at once: estimates, intervals, joint draws, checks, comparison of laws."""

from .asked import fit
from .comparison import compare
from .predictions import Interval
from .result import FitResult

__all__ = ["FitResult", "Interval", "compare", "fit"]
