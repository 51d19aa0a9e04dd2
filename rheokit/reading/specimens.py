"""The [specimen] table to a `Specimen`: water basis by name, units, names."""

import datetime
from dataclasses import fields

from ..bench import Specimen
from ..errors import DataError
from ..nomenclature import QUANTITIES
from .faults import name_fault, shown, unusual_in
from .guards import doubt_number, tell_unknown
from .stated import read_number

PLACE = "bench.toml, [specimen]"
NAMES = ("paste", "batch")
NUMBERS = tuple(f.name for f in fields(Specimen) if f.name in QUANTITIES)
KEYS = (*(f.name for f in fields(Specimen) if f.name != "spreads"), "water_basis", "unusual")


def read_specimen(table, faults):
    """Return a `Specimen` and its numbers as `Stated`, by name, for tests that need them; None for one that is faulty."""
    if not isinstance(table, dict):
        faults.add("bench.toml", "there must be one table [specimen], not a value or a list of tables")
        return Specimen(), {}
    tell_unknown(table, KEYS, "is not a key of the specimen", PLACE, faults)
    found, numbers = {}, {}
    for name in [name for name in NAMES if name in table]:
        if wrong := name_fault(table[name]):
            faults.add(PLACE, f"{name} = {wrong}")
        else:
            found[name] = table[name]
    unusual = unusual_in(table, PLACE, "density", faults)
    for name in NUMBERS:
        if name in table:
            numbers[name] = stated = _number(name, table[name], unusual, faults)
            found |= {name: stated.value} if stated else {}
    if "date" in table:
        found["date"] = _date(table["date"], faults)
    for name, kind, words in (("invented", bool, "true or false"), ("note", str, "a text in quotes")):
        if isinstance(table.get(name), kind):
            found[name] = table[name]
        elif name in table:
            faults.add(PLACE, f"{name} = {shown(table[name])} must be {words}")
    known = {name: one for name, one in numbers.items() if one and one.uncertainty and one.value}
    spreads = {name: one.uncertainty / one.value for name, one in known.items()}
    if "water_content" in found:
        as_typed = found["water_content"]
        found["water_content"] = _dry_basis(as_typed, table.get("water_basis"), faults)
        if "water_content" in spreads and as_typed < found["water_content"]:  # u = x/(1 - x), du/u = dx/x(1 - x)
            spreads["water_content"] /= 1 - as_typed
    elif "water_basis" in table and "water_content" not in table:
        faults.add(PLACE, "water_basis stands without water_content; write both or none")
    spreads.pop("temperature", None)  # over a temperature in K it says nothing
    spreads = {name: float(f"{spread:.6g}") for name, spread in spreads.items()}  # the same after it was written
    try:
        return Specimen(**found, spreads=spreads), numbers
    except DataError as wrong:  # what `unusual` keeps from being doubted and still cannot be
        faults.add(PLACE, f"{wrong}".removeprefix("Specimen: ").removesuffix(".") + "; correct it")
        return Specimen(), numbers


def _number(name, given, unusual, faults):
    stated = read_number(name, given, QUANTITIES[name].unit, PLACE, faults, may_be_zero=name != "density")
    if stated and name not in unusual and (why := doubt_number(name, stated.value, stated.uncertainty)):
        faults.add(PLACE, f"{name} = {shown(stated.text)} {why}")
    return stated


def _date(given, faults):
    if isinstance(given, (datetime.date, datetime.datetime)):
        return given.isoformat()
    if wrong := name_fault(given):
        faults.add(PLACE, f"date = {wrong}; write date = 2026-03-02")
        return ""
    return given


def _dry_basis(content, basis, faults):
    if basis == "dry":
        return content
    if basis != "wet":
        given = "is missing" if basis is None else f"= {shown(basis)} is not known"
        meaning = '"dry" (water over dry mass) or "wet" (water over total mass)'
        faults.add(PLACE, f"water_basis {given}; write water_basis = {meaning}: 50 % wet is 100 % dry")
        return content
    if content < 1:
        return content / (1 - content)
    told = f"water_content = {content:g} cannot be on a wet basis, where all water is 1"
    faults.add(PLACE, f'{told}; is it water_basis = "dry"?')
    return content
