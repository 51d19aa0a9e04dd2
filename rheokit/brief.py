"""A frozen record on one screen: what differs from its defaults, numbers with their units, arrays by their shape."""

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from textwrap import indent, shorten, wrap
from typing import Any

import numpy as np

from .nomenclature import QUANTITIES, Quantity, written

WIDTH = 100  # characters of a line
INLINE = 84  # characters of a record on one line, which may stand inside another one
MOST = 18  # lines of a record


def brief(record: Any, **known_as: str) -> str:
    """Return the text of a record, for its `__repr__`: one line, or one line a field; fields may be `known_as` a quantity."""
    told = list(_told(record, known_as))
    told = [one for one in told if one[-1]] or told
    shown = [f"{name}={_value(value, about)}" for name, value, about, _ in told]
    name = type(record).__name__
    line = f"{name}({', '.join(shown)})"
    if len(line) <= INLINE and "\n" not in line:
        return line
    if sum(one.count("\n") + 1 for one in shown) > MOST:  # a long field leaves room for those after it
        shown = [_cut(one, max(MOST // len(shown), 1)) for one in shown]
    return one_screen(f"{name}(", indent(",\n".join(shown), "    ").splitlines(), ")")


def _cut(text, most):
    """Return the first lines of a text, the last of them saying that there are more."""
    lines = text.splitlines()
    return text if len(lines) <= most else "\n".join([*lines[: most - 1], f"{lines[most - 1]} ..."])


def told_in(words: str) -> list[str]:
    """Return sentences as the lines of one screen, whole."""
    return wrap(words, WIDTH, initial_indent="    ", subsequent_indent="    ", break_on_hyphens=False)


def one_screen(head: str, lines: Sequence[str], *foot: str) -> str:
    """Return lines between a head and a foot, as many and as much of each as one screen takes."""
    if len(lines) > MOST:
        lines = [*lines[: MOST - 1], f"    ... and {len(lines) - MOST + 1} lines more"]
    return "\n".join(one if len(one) <= WIDTH else f"{one[: WIDTH - 4]} ..." for one in (head, *lines, *foot))


def _told(record, known_as):
    """Return (name, value, what is known of it, whether it is unusual) of every field that holds something."""
    also = known_as or getattr(type(record), "KNOWN_AS", {})
    if is_dataclass(record):
        held = [(f.name, f.default, f.metadata.get("parameter")) for f in fields(record) if f.repr]
    else:
        held = [(name, record._field_defaults.get(name, MISSING), None) for name in record._fields]
    for name, usual, about in held:
        value = getattr(record, name)
        if value is not None and not callable(value) and not (isinstance(value, Mapping | tuple | str) and not value):
            yield name, value, about or QUANTITIES.get(also.get(name, name)), not _same(value, usual)


def _same(value, usual):
    """Say whether a value is the default; one that was pickled and read again is equal to it, and no longer the same object."""
    return value is usual or (isinstance(value, float | int | str) and value == usual)


def _value(value, about):
    """Return one value as text; `about` has its unit."""
    if isinstance(value, np.ndarray) and value.ndim:
        unit = "" if about is None or about.unit == "-" else f" in {about.unit}"
        return f"<{' x '.join(map(str, value.shape))} values{unit}>"
    whole = isinstance(value, int) and not isinstance(value, bool)
    if (whole and about) or (isinstance(value, float | np.number | np.ndarray) and type(value).__repr__ in _PLAIN):
        return written(float(value), about if isinstance(about, Quantity) else about.unit if about else "-")
    if isinstance(value, str):
        return repr(shorten(value, 60, placeholder=" ..."))
    if isinstance(value, Mapping):
        return f"<{len(value)}: {shorten(', '.join(map(str, value)), 60, placeholder=' ...')}>"
    if isinstance(value, tuple | list):
        inside = [_value(one, about) for one in value]
        line = f"({', '.join(inside)})" if len(value) <= 6 else f"<{len(value)} values>"
        return line if len(line) < WIDTH // 2 or len(value) > 6 else "(\n" + indent(",\n".join(inside), "    ") + ",\n)"
    return repr(value)


_PLAIN = {float.__repr__, np.float64.__repr__, np.ndarray.__repr__, np.float32.__repr__, np.int64.__repr__}
"""How numbers show themselves that have nothing else to say, as a lower bound has its reason."""
