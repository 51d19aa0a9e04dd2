"""Limits of a print or a fibre, one a file: what the drive, the barrel, the wall, the thread and the paste can bear.

Dropping a file with a subclass of `Limit` into this folder is all it takes: `LIMITS` finds it, and with it the judgement
of a case, the region map and the notebooks.
"""

from ..found import Named, found_in
from .base import Limit
from .case import Case
from .judgement import finding, judge, verdict
from .sure import sure


def _name(thing):
    return isinstance(thing, type) and issubclass(thing, Limit) and thing.name


def _order(pair):
    return not pair[1].hard, pair[1].advice, pair[0]


_USUAL = {name: kind() for name, kind in found_in(__name__, "limit", _name).items()}
LIMITS = Named("limit", dict(sorted(_USUAL.items(), key=_order)))
"""Every limit by its name, with its usual settings: hard ones first, advice last."""

__all__ = ["LIMITS", "Case", "Limit", "finding", "judge", "sure", "verdict"]
