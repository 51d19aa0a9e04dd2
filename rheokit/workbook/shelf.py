"""The folders of pastes: demos that came with rheokit, a person's own, and what is remembered from one notebook to the next.

A demo is never written: what is changed in its plan goes to a copy in the person's own folder of what is remembered.
"""

import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from ..errors import DataError
from ..reading.locking import alone
from .disk import write_file
from .places import home, state, travels
from .plan import NAME

BENCH = "bench.toml"
REMEMBERED = "remembered.json"
LAST = "last"
DEMOS = (
    "olive-stone-paste", "olive-stone-series", "kitchen", "porcelain-body", "gelatin-dope", "gelatin-dope-40", "agar-dope",
    "trap-cooling-needle", "trap-migration", "trap-plug-slip", "trap-transient-rows",
)  # fmt: skip
"""The invented folders that come with rheokit, in the order in which they are offered."""


def demos() -> dict[str, Path]:
    """Return the invented folders that came with rheokit, by name."""
    found = _pastes_in(travels() / "data")
    return {name: found[name] for name in DEMOS if name in found}


def demo(name: str) -> Path:
    """Return the folder of a demo, by its name.

    Raises
    ------
    DataError
        If there is none of this name.
    """
    found = demos()
    if name not in found:
        raise DataError(f"{name!r} is no demo; there are {', '.join(found)}.")
    return found[name]


def mine() -> dict[str, Path]:
    """Return a person's own folders, by name."""
    came = {folder.resolve() for folder in demos().values()}
    return {name: folder for name, folder in _pastes_in(home()).items() if folder.resolve() not in came}


def is_demo(folder: str | Path) -> bool:
    """Whether a folder is one of the demos."""
    place = Path(folder).resolve()
    return any(place == one.resolve() for one in demos().values())


def came_from(folder: str | Path) -> Path | None:
    """Return the demo that a folder is, or is a copy of: it holds the same bench; None of a person's own."""
    return next(
        (one for one in demos().values() if one.resolve() == Path(folder).resolve() or _same_bench(one, folder)), None
    )


def _same_bench(one, other):
    try:
        return one.joinpath(BENCH).read_text("utf-8") == Path(other, BENCH).read_text("utf-8")
    except (OSError, ValueError):
        return False


def place_of_plan(folder: str | Path) -> Path:
    """Return the file into which a plan is written: the folder's own, or for a demo one of the person."""
    folder = Path(folder)
    return state() / "demos" / folder.name / NAME if is_demo(folder) else folder / NAME


def as_it_came(folder: str | Path) -> None:
    """Forget what was changed in the plan of a demo."""
    if is_demo(folder):
        place_of_plan(folder).unlink(missing_ok=True)


def remembered(name: str, otherwise: Any = None) -> Any:
    """Return what is remembered under a name."""
    return _notes().get(name, otherwise)


def remember(name: str, value: Any) -> None:
    """Note something under a name, for every notebook and after a restart, None for nothing; where the disk refuses, it is not remembered."""
    if _notes().get(name) == value:
        return
    with suppress(OSError, DataError):
        state().mkdir(parents=True, exist_ok=True)
        with alone(state()):  # another window's note is not lost
            notes = {key: note for key, note in (_notes() | {name: value}).items() if note is not None}
            write_file(state() / REMEMBERED, json.dumps(notes, ensure_ascii=False, indent=1).encode())


def last(name: str = LAST) -> Path | None:
    """Return the folder that was opened last, where it is still there; a page may remember its own under another name."""
    folder = _remembered_folder(name)
    return folder if folder is not None and holds_a_paste(folder) else None


def gone() -> Path | None:
    """Return the folder that was opened last, where it is not there any more."""
    folder = _remembered_folder()
    return folder if folder is not None and not holds_a_paste(folder) else None


def _remembered_folder(name: str = LAST) -> Path | None:
    told = remembered(name) or (name == LAST and os.environ.get("RHEOKIT_FOLDER"))
    return Path(told) if isinstance(told, str) and told else None


def _notes() -> dict[str, Any]:
    try:
        notes = json.loads((state() / REMEMBERED).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return notes if isinstance(notes, dict) else {}


def holds_a_paste(folder: Path) -> bool:
    """Whether a folder holds readings of a paste, or a plan before there are any."""
    return any((folder / name).is_file() for name in (BENCH, NAME))


def _pastes_in(place: Path) -> dict[str, Path]:
    try:
        folders = sorted(one for one in place.iterdir() if not one.name.startswith(".") and holds_a_paste(one))
    except OSError:
        return {}
    return {one.name: one for one in folders}
