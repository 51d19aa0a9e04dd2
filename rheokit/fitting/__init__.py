"""One law to many bench tests at once: estimates, intervals, joint draws, checks, comparison of laws."""

from .comparison import compare
from .result import FitResult, Interval, fit

__all__ = ["FitResult", "Interval", "compare", "fit"]
