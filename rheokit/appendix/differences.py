"""What differs between two manifests of an appendix: versions, words, numbers beyond rounding, and what else they say.

Two numbers are the same where they differ by less than `ROUNDING` of the larger; what is small beside the largest of its column is held against a
thousandth of that, since a residual or a correlation near zero has no digits of its own.
"""

import json

from ..reading.faults import shown
from .environment import versions
from .manifest import COMPUTED, ENTRIES
from .study import DRAWS, SEED

ROUNDING, OF_LARGEST = 1e-6, 1e-3
MOST_OF_TABLE = 5  # differences of one kind that are told; the others are counted
LONGEST = 80  # characters of a cell
DEEPEST = 5  # names on the way to what a manifest says


def other_versions(recorded: dict) -> list[str]:
    """Return which versions, recorded and of now, differ."""
    now = versions()
    return [
        f"{_plain(name)} is {_plain(now.get(name, 'not known'))}, and was {_plain(recorded.get(name, 'not known'))}."
        for name in dict.fromkeys([*recorded, *now])
        if now.get(name) != recorded.get(name)
    ]


def other_words(recorded: dict, now: dict) -> list[str]:
    """Return which sections say something else."""
    told = []
    for name in dict.fromkeys([*recorded, *now]):
        if name not in now:
            told.append(f"The section {shown(name, 100)} is not there any more.")
        elif name not in recorded:
            told.append(f"The section {shown(name, 100)} is new.")
        elif now[name] != recorded[name]:
            told.append(f"The section {shown(name, 100)} says something else beside its tables.")
    return told


def other_results(recorded: dict, now: dict) -> list[str]:
    """Return which tables differ, and where."""
    told = []
    for name in dict.fromkeys([*recorded, *now]):
        if name not in now or name not in recorded:
            told.append(f"The table {shown(name)} is {'new' if name in now else 'not there any more'}.")
            continue
        differences = list(_other_cells(recorded[name], now[name]))
        if len(differences) > 1:
            told.append(f"Table {shown(name)}: {len(differences)} differences, of which the first: {differences[0]}.")
        elif differences:
            told.append(f"Table {shown(name)}, {differences[0]}.")
    return told


def _other_cells(recorded, now):
    if recorded["columns"] != now["columns"]:
        yield f"headings: {_cell(' | '.join(map(str, now['columns'])))}, and were {_cell(' | '.join(map(str, recorded['columns'])))}"
        return
    if len(recorded["rows"]) != len(now["rows"]):
        yield f"it has {len(now['rows'])} rows, and had {len(recorded['rows'])}"
    largest = [
        max((abs(row[k]) for row in now["rows"] if _is_number(row[k])), default=0.0) for k in range(len(now["columns"]))
    ]
    for number, (old, new) in enumerate(zip(recorded["rows"], now["rows"], strict=False), 1):
        if len(old) != len(new):
            yield f"row {number}: {len(new)} cells, and had {len(old)}"
            continue
        for k, (before, after) in enumerate(zip(old, new, strict=True)):
            if not _same(before, after, largest[k]):
                row = f"row {number} ({_cell(new[0])})" if k else f"row {number}"
                yield f"{row}, {_cell(now['columns'][k])}: {', and was '.join(_apart(after, before))}"


def _is_number(cell):
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def _same(before, after, largest):
    """Say whether two cells are the same but for rounding."""
    if not (_is_number(before) and _is_number(after)):
        return before == after
    try:
        return abs(before - after) <= ROUNDING * max(abs(before), abs(after), OF_LARGEST * largest)
    except OverflowError:  # a whole number longer than any that was computed
        return False


def _cell(one):
    return _plain(repr(one)) if _is_number(one) else shown(one, LONGEST)


def _apart(after, before):
    """Return two cells as they may stand in a terminal, long texts from a little before where they differ."""
    if not (isinstance(after, str) and isinstance(before, str)) or max(len(after), len(before)) <= LONGEST:
        return _cell(after), _cell(before)
    same = next(
        (k for k, (one, other) in enumerate(zip(after, before, strict=False)) if one != other),
        min(map(len, (after, before))),
    )
    start = max(same - LONGEST // 4, 0)
    return tuple(("… " if start else "") + shown(one[start:], LONGEST) for one in (after, before))


def other_entries(recorded: dict) -> list[str]:
    """Return which entries of a manifest rheokit does not write, and which are another number than this rheokit draws with."""
    told = [
        f"The manifest says {shown(name, 80)}, which rheokit does not write."
        for name in recorded
        if name not in ENTRIES
    ]
    for name, now in (("seed", SEED), ("draws", DRAWS)):
        was = recorded.get(name, "not stated")
        if type(was) is not int or was != now:
            told.append(f"The manifest says {_unlike(was)} for {name}, and it is computed with {now}.")
    return told


def other_copy(recorded: dict, copy: dict, apart: tuple[str, ...]) -> list[str]:
    """Return where a manifest differs from the copy of it that is attached to the PDF, but for one place, and for what is computed anew."""
    old, new = _leaves(copy), _leaves(recorded)
    told = []
    for path in dict.fromkeys([*new, *old]):
        if path[: len(apart)] == apart or path[0] in COMPUTED:
            continue
        if path not in old or path not in new or _unlike(old[path]) != _unlike(new[path]):
            now, was = (_unlike(one[path]) if path in one else "nothing" for one in (new, old))
            told.append(
                f"The manifest says {now} for {' / '.join(shown(one, 80) for one in path)}, its copy in the PDF {was}."
            )
    more = len(told) - MOST_OF_TABLE
    return (
        told
        if more <= 0
        else [*told[:MOST_OF_TABLE], f"The manifest and its copy in the PDF have {more} more differences."]
    )


def _leaves(entry, path=()):
    """Return what a nested entry holds, by the names on the way to it."""
    if not isinstance(entry, dict) or not entry or len(path) == DEEPEST:
        return {path: entry}
    return {way: held for name, one in entry.items() for way, held in _leaves(one, (*path, name)).items()}


def _unlike(held):
    """Return what stands in a manifest as it may stand in a terminal, the number 1 unlike the text and unlike true."""
    if isinstance(held, str):
        return shown(held, 80)
    try:
        return _plain(json.dumps(held))
    except RecursionError:
        return "something nested"


def _plain(text):
    """Return a text of a manifest, which may be forged, without quotation marks as it may stand in a terminal."""
    return shown(text, 80)[1:-1]
