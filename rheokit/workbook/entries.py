"""What stands in a plan, held to the table of what is asked: numbers with their units, choices, and what cannot be, in words."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, NamedTuple

from ..errors import DataError
from ..nomenclature import QUANTITIES
from ..origins import UNSAID
from ..reading.faults import shown
from ..reading.stated import stated_number
from ..things import nearest
from .asked import ASKED, FREE, LISTS, PROPERTIES, ROWS, Entry
from .entry import NONE

SHARED = (PROPERTIES, "print")
"""Tables of what several pages ask for."""


class Number(NamedTuple):
    """A number in SI, and in the unit of its entry; both None for ``none``."""

    in_si: float | None
    in_unit: float | None


def entry_of(table: str, key: str) -> Entry:
    """Return the entry of a key; a free text for those of a page."""
    if table.split(".")[0] == FREE:
        return Entry(key)
    return ASKED[table][key]


def text_of_item(item: Any) -> str:
    """Return an item of TOML as it was typed."""
    if item is None:
        return ""
    if isinstance(item, Mapping):
        return text_of_item(item.get("value"))
    if isinstance(item, bool):
        return "yes" if item else "no"
    return item if isinstance(item, str) else str(item)


def number_of(entry: Entry, text: str) -> Number:
    """Return the number of an entry; `DataError` with what is wrong and what to write."""
    if entry.or_none and text.strip() == NONE:
        return Number(None, None)
    typed = shown(text)
    if not entry.is_number:
        raise DataError(f"{typed} is no number")
    try:
        stated = stated_number(text, entry.si, such=entry.such, by_gauge=entry.by_gauge, difference=entry.unit == "K")
    except DataError as fault:
        raise DataError(f"{fault}" if typed in f"{fault}" else f"{typed}: {fault}") from None
    if stated.uncertainty is not None and not stated.looked_up:
        raise DataError(f"{typed} has an uncertainty; a plan holds the number alone, such as {entry.such}")
    number = entry.from_si(stated.value)
    inside = (
        entry.low * (1 - 1e-9) <= number <= entry.high * (1 + 1e-9)
        if entry.low >= 0
        else entry.low <= number <= entry.high
    )
    if not (inside or (entry.or_0 and number == 0)):
        zero = ", or 0" if entry.or_0 else ""
        unit = "" if entry.unit == "-" else f" {entry.unit}"
        raise DataError(f"{typed} is not between {entry.low:g} and {entry.high:g}{unit}{zero}; correct it")
    return Number(stated.value, number)


def checked(entry: Entry, text: str) -> str:
    """Return a text that is one of the choices of its entry; `DataError` with the choices."""
    if entry.choices and text not in entry.choices:
        near = nearest(text, entry.choices).removeprefix(";")
        raise DataError(
            f"{shown(text)} is none of {', '.join(map(repr, entry.choices))}; write one of them{near and f'.{near[:2].upper()}{near[2:]}'}"
        )
    return text


def property_of(name: str, given: Any) -> tuple[float, float | None, str] | None:
    """Return value in SI, spread and origin of what is assumed of a paste; None where it is empty."""
    if name not in QUANTITIES:
        raise DataError(f"is no property of a paste{nearest(name, list(QUANTITIES))}")
    given = given if isinstance(given, Mapping) else {"value": given}
    strange = set(given) - {"value", "spread", "origin"}
    if strange:
        raise DataError(f"holds {', '.join(sorted(map(shown, strange)))}; it may hold value, spread and origin")
    text = text_of_item(given.get("value"))
    if not text.strip():
        return None
    entry = ASKED[PROPERTIES].get(name)
    value = number_of(entry, text).in_si if entry else stated_number(text, QUANTITIES[name].unit, name).value
    spread = given.get("spread")
    if spread is not None and not (isinstance(spread, (int, Decimal)) and 0 <= spread <= 5):
        raise DataError(f"has the spread {shown(str(spread))}; write the standard deviation of its ln, such as 0.2")
    origin = given.get("origin", "")
    if not isinstance(origin, str):
        raise DataError(
            f"has the origin {shown(str(origin))}; write in quotes where it comes from, such as 'assumed: usual'"
        )
    return value, None if spread is None else float(spread), origin or UNSAID


def fault_of(table: str, key: str, fault: Exception | str) -> str:
    """Return what is wrong with an entry, with its place."""
    return f"[{table}], {key} = {fault}"


def faults_in(plan: Mapping[str, Any]) -> list[str]:
    """Return what in a plan cannot be, each with table, key, value and what to do."""
    out = []
    known = [*ASKED, FREE]
    for table, held in plan.items():
        if table not in known:
            out.append(f"[{shown(table)[1:-1]}] is no table of a plan{_or_take_out(table, known)}")
        elif not isinstance(held, Mapping):
            out.append(f"{table} = {shown(str(held))} is no table; write [{table}] above its entries")
        elif table == PROPERTIES:
            out += [
                _fault(table, name, lambda name=name, one=one: property_of(name, one)) for name, one in held.items()
            ]
        elif table != FREE:
            out += [one for key, item in held.items() for one in _faults_of(table, key, item)]
    return [one for one in out if one]


def _or_take_out(name, known):
    """Return what to do about a name that is not known, with the nearest that is."""
    near = nearest(name, list(known))
    return f"{near} Correct its name, or take it out" if near else "; correct its name, or take it out"


def _faults_of(table, key, item):
    if (table, key) in ROWS:
        return _faults_of_rows(table, key, item)
    if (table, key) in LISTS:
        wrong = not isinstance(item, list) or not all(isinstance(one, str) for one in item)
        return (
            [fault_of(table, key, f'{shown(str(item))} is no list of texts; write ["one", "other"]')] if wrong else []
        )
    entry = ASKED[table].get(key)
    if entry is None:
        if there := [one for one in SHARED if key in ASKED[one]]:
            return [f"[{table}], {shown(key)} is no entry of it, but one of [{there[0]}]; move it there"]
        return [f"[{table}], {shown(key)} is no entry of it{_or_take_out(key, ASKED[table])}"]
    return [_fault(table, key, lambda: _read(entry, item))]


def _faults_of_rows(table, key, rows):
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        return [f"[{table}], {key} is no list of rows; write [[{table}.{key}]] above each"]
    out, columns = [], ROWS[table, key]
    for place, row in enumerate(rows, 1):
        for name, item in row.items():
            where = f"{key}, row {place}, {name}"
            if name not in columns:
                out.append(
                    f"[[{table}.{key}]], row {place}: {shown(name)} is no column of it{nearest(name, list(columns))}"
                )
            else:
                out.append(_fault(table, where, lambda name=name, item=item: _read(columns[name], item)))
    return out


def _read(entry, item):
    if isinstance(item, (Mapping, list)):
        raise DataError(f"{shown(str(item))} is no single value; write {entry.such}")
    text = text_of_item(item)
    if not text.strip():
        return
    if entry.is_number:
        number_of(entry, text)
    else:
        checked(entry, text)


def _fault(table, key, read):
    try:
        read()
    except DataError as fault:
        return fault_of(table, key, fault)
    return ""
