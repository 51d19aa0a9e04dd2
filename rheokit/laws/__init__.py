"""Flow laws: shear stress as a function of shear rate, one law a file.

Dropping a file with a subclass of `FlowLaw` into this folder is all it takes: `LAWS` finds it, and with it the contract
tests, the reader and the notebooks.
"""

import importlib
import pkgutil

from .base import FlowLaw, Parameter, parameter
from .shifted import Shifted


def _discover():
    found = {}
    for module in pkgutil.iter_modules(__path__):
        for thing in vars(importlib.import_module(f"{__name__}.{module.name}")).values():
            own = isinstance(thing, type) and thing.__module__ == f"{__name__}.{module.name}"
            if own and issubclass(thing, FlowLaw) and thing not in (FlowLaw, Shifted):
                found[thing.name] = thing
    return found


LAWS = _discover()
"""Every law by its name in words, e.g. ``LAWS["Herschel-Bulkley"]``."""

__all__ = ["LAWS", "FlowLaw", "Parameter", "Shifted", "parameter"]
