"""The one table of quantities, and how their numbers are written.

`quantity` says what is known of one, `table` holds all of them (those of gels and fibres come from `gels`), `measures` what
is known of each unit of SI, and `written` writes a number with its unit.
"""

from .measures import MEASURES, PASCAL, SI_UNIT, and_, measure, or_, si_unit_meaning
from .phrases import capital, sentence
from .quantity import ANY, NOT_NEGATIVE, SHARE, Quantity
from .table import QUANTITIES
from .written import (
    alike,
    between,
    cells,
    common_unit,
    decimal_mark,
    marked,
    number,
    numbers,
    unit_for,
    with_comma,
    with_decimals,
    with_limits,
    with_uncertainty,
    with_unit,
    written,
)

__all__ = [
    "ANY", "MEASURES", "NOT_NEGATIVE", "PASCAL", "QUANTITIES", "SHARE", "SI_UNIT", "Quantity", "alike", "and_", "between", "capital", "cells",
    "common_unit", "decimal_mark", "example", "marked", "measure", "number", "numbers", "or_", "sentence", "si_unit_meaning", "symbol", "unit",
    "unit_for", "with_comma", "with_decimals", "with_limits", "with_uncertainty", "with_unit", "written",
]  # fmt: skip


def symbol(name: str) -> str:
    """Return the symbol of a quantity by its full name."""
    return QUANTITIES[name].symbol


def unit(name: str) -> str:
    """Return the SI unit of a quantity, as text, by its full name."""
    return QUANTITIES[name].unit


def example(si_unit: str, name: str = "") -> str:
    """Return an example of a number in a unit, in quotes; the usual one of a dimension where it has a name."""
    usual = QUANTITIES[name].example if name in QUANTITIES else ""
    return f'"{usual or measure(si_unit).example or f"1 {si_unit}"}"'
