"""Bench tests, one a file: the readings with their geometry, and the reading that a law predicts.

Dropping a file with a subclass of `BenchTest` into this folder is all it takes: `KINDS` finds it, and with it the
contract tests, the reader, the fit and the notebooks.
"""

from inspect import isabstract

from ..found import Named, found_in
from .base import BenchTest, Nuisance, choice, column, dimension, nuisance
from .measured import Property
from .specimen import Bench, Specimen

USE_BELOW = 0.7  # of the greatest yield stress that a test measures: near it a rough guess may lie beyond


def _name(thing):
    return isinstance(thing, type) and issubclass(thing, BenchTest) and not isabstract(thing) and thing.kind


KINDS: Named[type[BenchTest]] = found_in(__name__, "kind of bench test", _name)
"""Every bench test by its kind in words, e.g. ``KINDS["cylinder slump"]``."""


def cheap_test(yield_stress, made=()):
    """Return in words the softest of the cheap tests that is of use for a yield stress [Pa], and is not of a kind that was made."""
    cheap = sorted((kind for kind in KINDS.values() if kind.cheap), key=lambda kind: kind.measures[1])
    fitting = (kind for kind in cheap if yield_stress < USE_BELOW * kind.measures[1] and kind.kind not in made)
    return next(fitting, cheap[-1]).cheap


__all__ = [
    "KINDS",
    "Bench",
    "BenchTest",
    "Nuisance",
    "Property",
    "Specimen",
    "cheap_test",
    "choice",
    "column",
    "dimension",
    "nuisance",
]
