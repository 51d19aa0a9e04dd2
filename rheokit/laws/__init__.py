"""Flow laws: shear stress as a function of shear rate, one law a file.

Dropping a file with a subclass of `FlowLaw` into this folder is all it takes: `LAWS` finds it, and with it the contract
tests, the reader and the notebooks.
"""

from ..found import found_in
from .base import FlowLaw, Parameter, parameter
from .conditions import Conditioned
from .shifted import Shifted


def _name(thing):
    return isinstance(thing, type) and issubclass(thing, FlowLaw) and not issubclass(thing, Shifted) and thing.name


LAWS = found_in(__name__, "law", _name)
"""Every law by its name in words, e.g. ``LAWS["Herschel-Bulkley"]``."""

__all__ = ["LAWS", "Conditioned", "FlowLaw", "Parameter", "Shifted", "parameter"]
