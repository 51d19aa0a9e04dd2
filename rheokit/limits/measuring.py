"""How what a limit lacks is measured: by which test of the bench, by the names that tests have."""

from collections.abc import Sequence

from ..bench import KINDS
from ..nomenclature import and_

NO_TEST = "no bench test gives {}: type a value with its source"
YIELD_STRESS = "yield_stress"


def how_to_measure(names: Sequence[str]) -> str:
    """Return which tests measure properties of a paste, by their names; what none measures is to be typed; nothing for no names.

    >>> how_to_measure(["grain_size"])
    'measure grain size (test: sieve)'
    >>> how_to_measure(["modulus", "density"])
    'measure modulus (test: lean height) and density (test: cup density)'
    """
    found = {name: _test(name) for name in names}
    said = [f"{name.replace('_', ' ')} (test: {kind})" for name, kind in found.items() if kind]
    rest = [name.replace("_", " ") for name, kind in found.items() if not kind]
    return "; ".join([f"measure {and_(said)}"] * bool(said) + [NO_TEST.format(and_(rest))] * bool(rest))


def _test(name):
    """Return the first kind of test that gives a property; a plate for the yield stress, which every slow test tells."""
    if name == YIELD_STRESS:
        return "loaded plate"
    return next((kind.kind for kind in KINDS.values() if name in kind.gives and not kind.of_apparatus), "")
