"""What only the authors know, and may write into the plan: texts of its table ``[page.appendix]``, by key."""

import re

from ..errors import DataError
from ..nomenclature import and_
from ..reading.document import comments_in
from ..reading.faults import shown
from ..things import nearest
from ..workbook.of_authors import APPARATUS, KEYS, MATERIAL, PROTOCOL, STATEMENTS, TABLE
from ..workbook.plan import Plan
from .cells import NOT_STATED
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
    "not_stated",
    "notes",
    "points",
    "unless_noted",
]

NOTED = ", unless a note of bench.toml states it (all notes stand under “Protocol”)"
COMMENTED = ", unless a comment of a file states it (all comments stand under “Raw readings”)"
BOTH = ", unless a note of bench.toml or a comment of a file states it (notes stand under “Protocol”, comments under “Raw readings”)"
"""What may state by words what no entry states: as far as there are notes and comments. A comment is also a line of words in an instrument's export."""


RATING = "bench_rating"
"""The entry that tells the rating of what held the pressure on the bench."""

PLACES = ((MATERIAL, "Material and batch"), (APPARATUS, "Apparatus"), (PROTOCOL, "Protocol"))
"""In which section, by its title, the entries of the authors stand that may state what no column does."""


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


def unless_noted(study: Study, *keys: str) -> str:
    """Return the words that follow "not stated" where words that no program reads may state it all the same; "" where there are none.

    Such are a note, a comment, and what the authors wrote of `keys`, entries of theirs that may answer the question.
    """
    own = f", unless {said} states it" if (said := _written(study, keys)) else ""
    if not comments(study):
        told = NOTED if notes(study) else ""
    else:
        told = BOTH if notes(study) else COMMENTED
    return f"{own}{told.replace(', unless', ', or', 1)}" if own else told


def not_stated(study: Study, *keys: str) -> str:
    """Return that nothing states something, with what may do so all the same; where the authors wrote of `keys`, which may state it, where that stands."""
    said = _written(study, keys)
    if not said:
        return f"{NOT_STATED}{unless_noted(study)}"
    beside = (("a note of bench.toml", bool(notes(study))), ("a comment of a file", comments(study)))
    more = " or ".join(words for words, there in beside if there)
    return f"no entry or column of its own tells; {said} may{f', as may {more}' if more else ''}"


def _written(study, keys):
    """Return in words where what the authors wrote of some entries stands; "" where they wrote of none."""
    found = []
    for entries, title in PLACES:
        words = [
            f"“{_short(entries[key])}”" for key in keys if key in entries and study.book.plan.text(TABLE, key).strip()
        ]
        if words:
            found.append(f"under “{title}” of {and_(words)}")
    return f"what the authors wrote {and_(found)}" if found else ""


def _short(words):
    """Return the first words of what an entry is asked for, by which it is found in its section."""
    return re.split(r" \(|,|:", words)[0]


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
