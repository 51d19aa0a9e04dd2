"""What a bench test is made with: the words for tools, and which of them every kitchen has."""

from collections.abc import Collection, Iterable
from types import MappingProxyType
from typing import TypeAlias

from ..errors import DataError
from ..things import called, named

Tool: TypeAlias = str | tuple[str, ...]
"""A key of `TOOLS`, or several of which one will do."""

TOOLS = MappingProxyType(
    {
        "scale": "a kitchen scale that shows 1 g, better 0.1 g",
        "ruler": "a ruler, better a caliper",
        "cup": "a plastic cup",
        "syringe": "a syringe with a nozzle or a needle of known bore",
        "strainer": "a strainer or sieves of known mesh",
        "mould": "a pipe or tin as wide as high, open at both ends",
        "oven": "a ventilated oven that holds 60 to 105 °C",
        "cone": "a cone of 30 or 60 degrees and known mass",
        "vane": "a vane for the viscometer",
        "viscometer": "a rotational viscometer that sets shear rates",
        "pressure gauge": "air at a set pressure, its gauge, and a barrel with a printed rating",
        "printer": "a printer for pastes",
        "thermometer": "a thin thermometer that shows 0.1 °C",
        "water bath": "a pot of water that is warmed and cooled slowly, stirred",
        "ball": "steel balls of known diameter",
        "tube": "an upright clear tube, such as a measuring cylinder",
        "test tube": "a clear tube some 12 mm wide, with a stopper",
        "drum": "a drum or a spool that a motor turns",
        "timer": "a watch",
        "board": "a flat board",
        "plates": "two flat plates",
        "weights": "weights, or bottles of water on the scale",
    }
)
"""What it is in words, by tool."""

EVERYWHERE = frozenset({"timer", "board", "plates", "weights"})
"""Tools that are taken to be at hand anyway."""

OTHER_WORDS = MappingProxyType(
    {
        "scales": "scale",
        "balance": "scale",
        "caliper": "ruler",
        "rheometer": "viscometer",
        "spool": "drum",
        "reel": "drum",
        "balls": "ball",
        "pot": "water bath",
        "sieve": "strainer",
        "sieves": "strainer",
        "mold": "mould",
        "cylinder": "mould",
        "watch": "timer",
        "plate": "plates",
        "weight": "weights",
    }
)
"""Words that mean one of the tools."""


def tools_of(where: str, given: str | Iterable[str]) -> tuple[str, ...]:
    """Return tools in the order of `TOOLS`, of a list of words in any order and case, or of words parted by commas.

    Raises
    ------
    TypeError
        For what is no list of words.
    DataError
        For a word that is no tool, with the nearest that is.
    """
    if not isinstance(given, Iterable):
        raise TypeError(f"{where}: tools is {called(given)}; give words, such as ['scale', 'ruler'].")
    words = given.split(",") if isinstance(given, str) else list(given)
    wrong = next((one for one in words if not isinstance(one, str)), None)
    if wrong is not None:
        raise DataError(f"{where}: {called(wrong)} is no tool; give words, such as ['scale', 'ruler'].")
    plain = [" ".join(one.lower().split()) for one in words]
    known = [OTHER_WORDS.get(one, one) for one in plain if one]
    named(where, known, TOOLS, "tool")
    return tuple(one for one in TOOLS if one in known)


def missing(needed: Iterable[Tool], held: Collection[str]) -> list[str]:
    """Return the tools that are needed and not held; of several of which one will do the one that stands first in `TOOLS`."""
    at_hand = EVERYWHERE.union(held)
    options = [(one,) if isinstance(one, str) else one for one in needed]
    return [min(one, key=list(TOOLS).index) for one in options if not at_hand.intersection(one)]


def in_words(needed: Iterable[Tool]) -> str:
    """Return tools as a list in words, "or" between those of which one will do."""
    return ", ".join(one if isinstance(one, str) else " or ".join(one) for one in needed)
