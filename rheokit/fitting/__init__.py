"""One law to many bench tests at once: estimates, intervals, joint draws, checks, comparison of laws."""

from .advice import Advice
from .asked import fit
from .budget import UncertaintyBudget
from .comparison import compare, which_law
from .influence import Influence, influence
from .over_conditions import over_conditions
from .predictions import Interval
from .propagation import uncertainty_budget
from .result import FitResult

__all__ = [
    "Advice",
    "FitResult",
    "Influence",
    "Interval",
    "UncertaintyBudget",
    "compare",
    "fit",
    "influence",
    "over_conditions",
    "uncertainty_budget",
    "which_law",
]
