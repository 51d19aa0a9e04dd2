"""What the library refuses of numbers that each can be, told with the entries of the plan that they come from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from ..errors import DataError
from ..reading.faults import shown
from .asked import ASKED
from .plan import NAME, Plan

_SPEAKER = re.compile(r"^[A-Z]\w*(?:\.\w+)*: ")
"""Which part of the library refuses it."""


def of_entries(plan: Plan, *entries: tuple[str, str]) -> str:
    """Return entries of a plan as they stand there, with the file."""
    return f"{NAME}, {', '.join(f'[{table}] {key} = {shown(plan.text(table, key))}' for table, key in entries)}"


@contextmanager
def blamed(plan: Plan, *tables: str) -> Iterator[None]:
    """Name the file in what is refused inside, and those entries of some tables of which it speaks; the tables where of none."""
    try:
        yield
    except DataError as fault:
        said = str(fault)
        named = [
            (table, key) for table in tables for key in ASKED[table] if _speaks_of(said, key) and plan.text(table, key)
        ]
        place = of_entries(plan, *named) if named else f"{NAME}, {', '.join(f'[{table}]' for table in tables)}"
        raise DataError(f"{place}: {_SPEAKER.sub('', said)}") from None


def _speaks_of(said, key):
    """Whether a message means the entry of a key, and not the word."""
    return re.search(rf"\b{key}\b" if "_" in key else rf"\b{key} = ", said) is not None
