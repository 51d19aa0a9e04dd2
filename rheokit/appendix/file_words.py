"""What the files of readings say in their own words: comments and heads that no program reads, printed beside the readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ..reading.own_words import Remark, remarks_in
from .document import Block, Paragraph, Points

if TYPE_CHECKING:
    from .study import Study

MOST_REMARKS, LONGEST = 40, 400
"""Of one file that are printed, and characters of each; the file that holds them all is attached."""


def remarks_of(study: Study) -> dict[str, tuple[Remark, ...]]:
    """Return the remarks of each file whose readings can be read, by name; those that have none are left out."""
    files, tests = study.files, list[Any](study.tests)
    rows: dict[str, set[int]] = {}
    asked: dict[str, tuple[bool, str | None]] = {}
    for test in tests:
        name, typed = getattr(test.origin, "file", ""), getattr(test.origin, "typed", None)
        if name not in files or typed is None:
            continue
        table, entries = typed.table, study.entries
        entry = entries[test.origin.entry] if test.origin.entry < len(entries) else {}
        sheet = entry.get("sheet")
        read = rows.setdefault(name, set())
        read.update({table.header_row, *(row for row, _ in table.own), *table.rows.numbers.tolist()})
        asked.setdefault(name, (bool(table.own), sheet if isinstance(sheet, str) else None))
    found = {
        name: remarks_in(name, files[name], export=export, sheet=sheet, read=rows[name])
        for name, (export, sheet) in asked.items()
    }
    return {name: remarks for name, remarks in found.items() if remarks}


def blocks(study: Study, test: Any) -> tuple[Block, ...]:
    """Return what the file of a test says beside its readings; where another test before it reads the same file, where that stands."""
    name = getattr(test.origin, "file", "")
    remarks = study.remarks.get(name)
    if not remarks:
        return ()
    first = next(one for one in study.tests if getattr(one.origin, "file", "") == name)
    if first is not test:
        return (Paragraph(f"What {name} says beside its readings stands under “{first.name}”."),)
    told = [f"Row {row}: {_short(text)}" for row, text in remarks[:MOST_REMARKS]]
    if (left := len(remarks) - MOST_REMARKS) > 0:
        told.append(f"{left} more; the file holds them, and is attached.")
    return (
        Paragraph(f"What {name} says beside its readings, in its own words; no number is taken from it:"),
        Points(tuple(told)),
    )


def _short(text):
    return text if len(text) <= LONGEST else f"{text[:LONGEST]} ... ({len(text)} characters)"
