"""Numbers and objects as the statements of a short script that make them again."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, fields
from typing import Any

import numpy as np

from ..errors import DataError
from ..units import ZERO_CELSIUS
from .entry import Entry
from .made import NotKnownYet, in_words

WIDE = 110  # characters of a line of a script
_UNITS = {
    "mm": "mm", "mm/s": "mm / s", "mm³/s": "mm**3 / s", "mm/min": "mm / minute", "mm³/kPa": "mm**3 / kPa", "kPa": "kPa", "min": "minute", "g": "g",
    "°": "degree", "g/(m²·h)": "g / hour",
}  # fmt: skip
"""Units of entries that are no units of SI, as they are spelt with `rheokit.units`."""
_FACTORS = {"degree", "g", "hour", "kPa", "minute", "mm", "s"}
CELSIUS = "celsius"


def quoted(text: str) -> str:
    """Return a text in double quotes, whatever characters are in it."""
    return json.dumps(text, ensure_ascii=False)


def mapped(texts: Mapping[str, str]) -> str:
    """Return a dict of values in code."""
    return "{" + ", ".join(f"{quoted(name)}: {text}" for name, text in texts.items()) + "}"


def number(value: float, unit: str = "") -> str:
    """Return a number [SI] as a script has it, in the unit of an entry: ``1.6 * mm``; twelve digits of it."""
    if unit == "°C":
        return f"{value - ZERO_CELSIUS:.12g} + {CELSIUS}"
    spelt = _UNITS.get(unit, "")
    plain = f"{Entry('', unit).from_si(value) if spelt else value:.12g}"
    return f"{plain} * {spelt}" if spelt else plain if re.search(r"[.e]", plain) else f"{plain}.0"


def given(thing: Any, entries: Mapping[str, Entry], more: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return the fields of a record that are not as usual, by name, as a script has them; `more` are fields in code already."""
    out = {}
    for field in fields(thing):
        value = getattr(thing, field.name)
        usual = None if field.default is MISSING else field.default
        if more and field.name in more:
            out[field.name] = more[field.name]
        elif isinstance(value, str) and value != usual:
            out[field.name] = quoted(value)
        elif isinstance(value, bool) and value != usual:
            out[field.name] = str(value)
        elif (
            isinstance(value, float | int | np.floating)
            and not isinstance(value, bool)
            and (usual is None or value != usual)
        ):
            entry = entries.get(field.name)
            out[field.name] = number(float(value), entry.unit if entry else "")
    return out


def call(name: str, arguments: Mapping[str, str], before: Iterable[str] = (), indent: int = 0) -> str:
    """Return a call in one line, or in as many as it needs."""
    parts = [*before, *(f"{key}={text}" for key, text in arguments.items())]
    one = f"{name}({', '.join(parts)})"
    if len(one) + indent <= WIDE and "\n" not in one:
        return one
    pad = " " * (indent + 4)
    return f"{name}(\n" + "".join(f"{pad}{part},\n" for part in parts) + " " * indent + ")"


def attempted(what: str, make: Callable[[], list[str]]) -> list[str]:
    """Return the lines of a part of a script that ends nothing: where it is refused, here or when it runs, it is said what is left out and why."""
    try:
        lines = make()
    except NotKnownYet as error:
        return left_out(what, error.entries)
    except DataError as error:
        return because(what, error)
    return [
        "try:",
        *(f"    {line}" for block in lines for line in block.split("\n")),
        "except rk.DataError as error:  # that it cannot be computed is an answer",
        f"    print(f{quoted(what + ' is left out: {error}')})",
    ]


def because(what: str, error: DataError) -> list[str]:
    """Return the lines that say that a part of a script is left out, and why: in a comment, and when it runs."""
    said = f"{what} is left out: {'; '.join(str(error).splitlines())}"
    return [f"# {said}", f"print({quoted(said)})"]


def left_out(what: str, entries: Iterable[tuple[str, str]]) -> list[str]:
    """Return the lines that say that a part of a script is left out, and which entries of the plan it needs: as `because`."""
    said, lacks = f"{what} is left out; the plan lacks:", in_words(entries)
    return [f"# {said}", *(f"# - {one}" for one in lacks), f"print({quoted(f'{said} ' + '; '.join(lacks))})"]


def imports(body: str) -> list[str]:
    """Return the lines of import that a script needs."""
    names = {node.id for node in ast.walk(ast.parse(body)) if isinstance(node, ast.Name)}
    lines = ["import numpy as np", ""] if "np" in names else []
    lines.append("import rheokit as rk")
    if "properties" in names:
        lines.append("from rheokit.fitting.text import properties")
    if "Mixed" in names:
        lines.append("from rheokit.paste.mixed import Mixed")
    if "spell_out" in names:
        lines.append("from rheokit.terminal import spell_out")
    if used := sorted(names & _FACTORS, key=str.lower):
        lines.append(f"from rheokit.units import {', '.join(used)}")
    return lines
