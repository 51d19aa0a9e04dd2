"""What only the authors know, and may write into the plan: texts of its table ``[page.appendix]``, by key."""

from ..errors import DataError
from ..reading.document import comments_in
from ..reading.faults import shown
from ..things import nearest
from ..workbook.of_authors import APPARATUS, KEYS, MATERIAL, PROTOCOL, STATEMENTS, TABLE
from ..workbook.plan import Plan
from .document import Points
from .study import Study

__all__ = [
    "APPARATUS",
    "KEYS",
    "MATERIAL",
    "PROTOCOL",
    "STATEMENTS",
    "TABLE",
    "check",
    "notes",
    "points",
    "unless_noted",
]

NOTED = ", unless a note of bench.toml states it (all notes stand under “Protocol”)"
COMMENTED = ", unless a comment of a file states it (all comments stand under “Raw readings”)"
BOTH = ", unless a note of bench.toml or a comment of a file states it (notes stand under “Protocol”, comments under “Raw readings”)"
"""What may state by words what no entry states: as far as there are notes and comments. A comment is also a line of words in an instrument's export."""


def check(plan: Plan) -> None:
    """Refuse a plan whose table for the authors has a key that none reads: what was written there would be lost.

    Raises
    ------
    DataError
        With file, table and key, and the nearest that is known.
    """
    for key in plan.keys(TABLE):
        if key not in KEYS:
            near = nearest(key, list(KEYS))
            known = "" if near else f" There are {', '.join(KEYS)}."
            raise DataError(
                f"{shown(str(plan.place), 200)}: [{TABLE}], {shown(key)} is no entry of it{near or ';'} "
                f"{'Correct' if near else 'correct'} its name, or take it out.{known}"
            )


def notes(study: Study) -> tuple[str, ...]:
    """Return every note of bench.toml with what it is about."""
    stands = study.stated.get("apparatus", {})
    told = [("specimen", study.stated.get("specimen", {}))]
    told += [(f"apparatus {name}", held) for name, held in (stands.items() if isinstance(stands, dict) else ())]
    told += [
        (f"test {place}, {one.get('label') or one.get('kind')}", one) for place, one in enumerate(study.entries, 1)
    ]
    found = []
    for where, held in told:
        note = held.get("note") if isinstance(held, dict) else None
        if isinstance(note, str) and note.strip():
            found.append(f"{where[0].upper()}{where[1:]}: {note.strip()}")
    return tuple(found)


def unless_noted(study: Study) -> str:
    """Return the words that follow "not stated" where a note or a comment, which no program reads, may state it all the same; "" where there is none."""
    if not comments(study):
        return NOTED if notes(study) else ""
    return BOTH if notes(study) else COMMENTED


def comments(study: Study) -> bool:
    """Return whether bench.toml or a file of readings says anything in words that no program reads, beside its notes."""
    return bool(study.remarks or comments_in(study.files.get("bench.toml", b"").decode("utf-8-sig", "replace")))


def points(study: Study, keys: dict[str, str], known: dict[str, str] | None = None) -> Points:
    """Return what the authors wrote of each of some keys, else what is `known` of it, and in one line those that are left, to be filled in by them."""
    texts = {key: study.book.plan.text(TABLE, key).strip() or (known or {}).get(key, "") for key in keys}
    said = [f"{words[:1].upper()}{words[1:]}: {texts[key]}" for key, words in keys.items() if texts[key]]
    if open_ := [f"{words} ({key})" for key, words in keys.items() if not texts[key]]:
        said.append(
            f"Not stated{unless_noted(study)}; to be filled in by the authors, [{TABLE}] in plan.toml: {'; '.join(open_)}."
        )
    return Points(tuple(said))
