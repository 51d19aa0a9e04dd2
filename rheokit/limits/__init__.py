"""Limits of a print, one a file: what the drive, the barrel, the wall and the paste can bear.

Dropping a file with a subclass of `Limit` into this folder is all it takes: `LIMITS` finds it, and with it the judgement
of a case, the region map and the notebooks.
"""

import importlib
import pkgutil

from .base import Limit
from .case import Case
from .judgement import finding, judge, verdict


def _discover():
    found = {}
    for module in pkgutil.iter_modules(__path__):
        for thing in vars(importlib.import_module(f"{__name__}.{module.name}")).values():
            own = isinstance(thing, type) and thing.__module__ == f"{__name__}.{module.name}"
            if own and issubclass(thing, Limit) and thing.name:
                found[thing.name] = thing()
    return dict(sorted(found.items(), key=lambda pair: (not pair[1].hard, pair[1].advice, pair[0])))


LIMITS = _discover()
"""Every limit by its name, with its usual settings: hard ones first, advice last."""

__all__ = ["LIMITS", "Case", "Limit", "finding", "judge", "verdict"]
