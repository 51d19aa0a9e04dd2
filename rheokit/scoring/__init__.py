"""What came out held against what was predicted: shares of intervals that held, chances that came true, ratios that are off.

`shares` counts, `chances` scores probabilities, `ratios` numbers; `told` says all of it in sentences.
"""

from .chances import LEAST, THIN, Bin, Reliability, brier, count_limits, reliability
from .ratios import Ratio, batch_named, ratio
from .shares import Share, share

__all__ = [
    "LEAST",
    "THIN",
    "Bin",
    "Ratio",
    "Reliability",
    "Share",
    "batch_named",
    "brier",
    "count_limits",
    "ratio",
    "reliability",
    "share",
]
