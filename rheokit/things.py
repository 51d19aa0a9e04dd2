"""What a public entry makes of the things it is given, other than numbers: refused by name, with what to give instead."""

from collections.abc import Collection, Iterable, Mapping
from difflib import get_close_matches
from typing import Any, TypeVar

from .errors import DataError

T = TypeVar("T")

MADE = {
    "FlowLaw": "such as rk.HerschelBulkley(...), or that of a fit, fit.law (an interval: ask fit.interval)",
    "FitResult": "what rk.fit(rk.HerschelBulkley, bench) returns",
    "Paste": "rk.Paste(law=rk.HerschelBulkley(...), density=...)",
    "Material": "rk.Material.of(fit), or rk.Material(paste=rk.Paste(...))",
    "Extruder": "rk.Extruder(barrel_diameter=..., fill_length=..., nozzle=...)",
    "PrintJob": "rk.PrintJob(print_speed=..., ...)",
    "Job": "rk.PrintJob(print_speed=..., ...), or for a fibre rk.FibreJob(throughput=..., winding_speed=..., gap=...)",
    "FibreJob": "rk.FibreJob(throughput=..., winding_speed=..., gap=...)",
    "Case": "rk.Case.of(material, extruder, job)",
    "Nozzle": "rk.Nozzle(rk.Cylinder(...))",
    "Specimen": "rk.Specimen(paste=..., water_content=..., ...)",
    "Slip": "rk.Slip(coefficient=..., threshold=...)",
    "dict": "such as {'density': 0.02}",
}
"""How what an entry asks for is made, by the name of its class."""


def a(kind: str, where: str, name: str, value: T) -> T:
    """Return a thing, if the name of its class or of one it comes from is `kind`; else raise `TypeError` that says how one is made.

    Kinds go by name, so that a room may ask for what stands on a higher floor.
    """
    if kind in (base.__name__ for base in type(value).__mro__) or (kind == "dict" and isinstance(value, Mapping)):
        return value
    article = "an" if kind[0] in "AEIOU" else "a"
    raise TypeError(f"{where}: {name} is {called(value)}; give {article} {kind}: {MADE[kind]}.")


def called(value: object) -> str:
    """Return what a thing is in a few words: a bench or a fit would print itself over a page."""
    if value is None or isinstance(value, bool | int | float | str):
        return f"{value!r:.40}"
    if isinstance(value, type):
        return f"the class {value.__name__}"
    name = type(value).__name__
    return f"{'an' if name[0] in 'AEIOUaeiou' else 'a'} {name}"


def text_faults(record: object, names: Iterable[str]) -> list[str]:
    """Return what is wrong with the fields of a record that must hold text, as a list of faults."""
    found = {name: getattr(record, name) for name in names}
    return [
        f"{name} = {called(value)} is no text; write it in quotes, such as {name}='A', or leave it out"
        for name, value in found.items()
        if not isinstance(value, str)
    ]


def nearest(name: str, known: Collection[str]) -> str:
    """Return ``; did you mean 'x'?`` for the known names that hold a wrong one as a word, or for the nearest; else nothing.

    After one that differs by a letter, a known name that is the last words of a wrong one is: the force of a plunger force.
    """
    close = [one for one in known if name in one.split()]
    close = close or get_close_matches(name, list(known), n=1, cutoff=0.85)
    close = close or [one for one in known if name.endswith(f"_{one}")][:1]
    close = close or get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f"; did you mean {' or '.join(map(repr, close))}?" if close else ""


def named(where: str, names: Iterable[str], known: Collection[str], what: str) -> None:
    """Raise `DataError` for the first of some names that is not known, with the nearest that is."""
    for name in names:
        if name not in known:
            near = nearest(str(name), known) or "."
            raise DataError(f"{where}: {name!r} is no {what}{near} Known are {', '.join(known)}.")


def whole(where: str, name: str, value: Any, least: int = 0) -> int:
    """Return a number of things, if it is whole and not below `least`."""
    if isinstance(value, bool) or not hasattr(value, "__index__") or value < least:
        raise DataError(f"{where}: {name} = {value!r:.40} must be a whole number, {least} or more.")
    return int(value)
