"""The headers of a table to columns: names, units in square brackets, and what to write where one is meant otherwise."""

import re
from fractions import Fraction
from typing import NamedTuple

from ..errors import DataError
from ..nomenclature import measure, si_unit_meaning
from ..things import nearest
from ..units import ATMOSPHERE, Scale, unit_scale
from .faults import listed, shown
from .guards import radius_for_diameter


class Column(NamedTuple):
    """One column of a file: the name of its quantity, its place counted from 0, its header and the scale of its unit."""

    name: str
    place: int
    header: str
    scale: Scale


def words_of(name):
    """Return the words of a header for a name."""
    return name.replace("_", " ")


def is_pressure(name):
    """Say whether a quantity must be named gauge or absolute."""
    return name == "pressure" or name.endswith("_pressure")


def title_of(name, unit, zero="gauge"):
    """Return the header of a column as a student would type it."""
    return f"{zero + ' ' if is_pressure(name) else ''}{words_of(name)} [{unit}]"


def read_headers(form, table, file, reads, faults, ambient=None):
    """Return the `Column` of each header by name, and the names that faulty headers mean; what is wrong goes to `faults`.

    The parameters are those of `read_columns`.
    """
    known, found, meant, skipped = form.header_names(), {}, set(), None
    for k, header in enumerate(table.header):
        if k in table.ignored:
            continue
        place = f"{file}, row {table.header_row}, column {k + 1}"
        parted = re.fullmatch(r"\s*([^\[\]]*?)\s*\[([^\[\]]*)\]\s*", header)
        if not parted or not parted[2].strip():
            after = table.header[k + 1] if k + 1 < len(table.header) else ""
            if k != skipped:
                name, words, both = _without_brackets(header, after, form, reads)
                skipped = k + 1 if both else None
                meant |= {name}
                faults.add(place, words)
            continue
        name, absolute = _pressure_name(parted[1])
        meant |= {name}
        if wrong := _wrong_name(form, header, parted[2], name, absolute, known):
            faults.add(place, wrong)
        elif name in found:
            faults.add(place, f"{shown(header)} stands twice (columns {found[name].place + 1} and {k + 1}); keep one")
        else:
            try:
                scale = unit_scale(parted[2], unit_of(form, name, reads))
            except DataError as error:
                faults.add(place, f"{shown(header)}: {error}")
                continue
            if absolute:
                scale = scale._replace(offset=scale.offset - Fraction(ATMOSPHERE if ambient is None else ambient))
            found[name] = Column(name, k, header, scale.without_offset if name == "uncertainty" else scale)
    return found, meant - found.keys()


def unit_of(form, name, reads):
    """Return the unit of SI of a column."""
    if name == "relative_uncertainty":
        return "-"
    return form.quantity(reads if name == "uncertainty" else name).unit


def _wrong_name(form, header, unit, name, absolute, known):
    if name not in known:
        hint = radius_for_diameter(name, known)
        more = (
            hint
            or f"it reads {listed(map(words_of, known))}; take the column out, or name it in ignore, if it is none of these"
        )
        return f"{shown(header)} is not a column of a {form.kind.kind}{'' if hint else nearest(name, known)}; {more}"
    if is_pressure(name) and absolute is None:
        return f"{shown(header)} does not say from which zero: write 'gauge pressure [{unit}]' or 'absolute pressure [{unit}]'"
    if not is_pressure(name) and absolute is not None:
        return f"{shown(header)}: gauge and absolute belong to a pressure; write '{words_of(name)} [{unit}]'"
    return ""


def _without_brackets(header, after, form, reads):
    """Return the name that a header without unit in brackets means, a message, and whether it has the next header in it."""
    known = form.header_names()
    plain = re.sub(r"[\[\]]", " ", header)
    words = max((_name_in(plain, name) for name in known), key=lambda one: len(one[1]))
    name, typed, rest = words
    if not typed:
        told = f"it reads {listed(map(words_of, known))}"
        wrong = (
            f"{shown(header)} has no unit in square brackets, such as 'force [N]', and is no column"
            if plain.strip()
            else "there is no header above this column"
        )
        return "", f"{wrong}; {told}; take the column out, or name it in ignore, if it is none of these", False
    si_unit = unit_of(form, name, reads)
    zero = re.match(r"\s*(gauge|absolute)\b", typed, re.IGNORECASE)
    zero = zero[1].lower() if zero else "gauge"
    for text, both in ((rest, False), (after, not rest)):
        if text and (unit := _understood(text, si_unit)):
            given = f"{header}, {after}" if both else header
            return name, f"{shown(given)} has no unit in square brackets; write '{title_of(name, unit, zero)}'", both
    such = title_of(name, "kPa" if is_pressure(name) else measure(si_unit).typed[0], zero)
    told = f"write words and unit, {si_unit_meaning(si_unit)}, such as '{such}'"
    return name, f"{shown(header)} has no unit in square brackets; {told}", False


def _name_in(header, name):
    """Return a name, the words at the start of a header that are it, and what follows them."""
    words = r"[\s_-]+".join(name.split("_"))
    zero = r"(?:(?:gauge|absolute)[\s_-]+)?" if is_pressure(name) else ""
    found = re.match(rf"\s*{zero}{words}(?![A-Za-z])", header, re.IGNORECASE)
    return (name, found[0], header[found.end() :]) if found else (name, "", "")


def _understood(text, si_unit):
    """Return the unit in what stands behind the words of a header, such as ``(N)``, ``/ N``, ``in N``; nothing if none."""
    unit = re.sub(r"^[\s(/,;:_-]*(?:in\s+)?|[\s)]*$", "", text)
    try:
        return unit_scale(unit, si_unit).text if unit else ""
    except DataError:
        return ""


def _pressure_name(words):
    """Return the name without gauge or absolute, and whether it is absolute (None where it does not say)."""
    name = re.sub(r"[\s_-]+", "_", words.strip().lower())
    parts = [part for part in re.split(r"[,_]+", name) if part]
    says = [part for part in parts if part in ("gauge", "absolute")]
    if len(says) != 1:
        return name, None
    return "_".join(part for part in parts if part not in says), says[0] == "absolute"
