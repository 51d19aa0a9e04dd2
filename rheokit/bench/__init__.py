"""Bench tests, one a file: the readings with their geometry, and the reading that a law predicts.

Dropping a file with a subclass of `BenchTest` into this folder is all it takes: `KINDS` finds it, and with it the
contract tests, the reader, the fit and the notebooks.
"""

import importlib
import pkgutil
from inspect import isabstract

from .base import BenchTest, Nuisance, choice, column, dimension, nuisance
from .measured import Property
from .specimen import Bench, Specimen


def _discover():
    found = {}
    for module in pkgutil.iter_modules(__path__):
        for thing in vars(importlib.import_module(f"{__name__}.{module.name}")).values():
            own = isinstance(thing, type) and thing.__module__ == f"{__name__}.{module.name}"
            if own and issubclass(thing, BenchTest) and not isabstract(thing):
                found[thing.kind] = thing
    return found


KINDS = _discover()
"""Every bench test by its kind in words, e.g. ``KINDS["cylinder slump"]``."""

__all__ = [
    "KINDS",
    "Bench",
    "BenchTest",
    "Nuisance",
    "Property",
    "Specimen",
    "choice",
    "column",
    "dimension",
    "nuisance",
]
