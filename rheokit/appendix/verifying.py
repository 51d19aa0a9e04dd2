"""An appendix held against what stands there now, and against what its workbook gives when all is computed anew.

What differs is told by name: a file, a version, a number beyond rounding, a text. Two numbers are the same where they differ by less than
`ROUNDING` of the larger; what is small beside the largest of its column is held against a thousandth of that, since a residual or a
correlation near zero has no digits of its own.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from ..errors import DataError
from ..progress import step
from ..reading.faults import shown
from ..workbook.opened import Workbook
from ..workbook.shelf import BENCH, holds_a_paste
from . import manifest as manifests
from .archive import Archive, archive_of, digest
from .composing import appendix_of
from .environment import versions
from .unpacking import Unpacked, put_into, unpacked
from .writing import DECIMALS, MANIFEST, PDF, pdf_of

ROUNDING, OF_LARGEST = 1e-6, 1e-3
LARGEST_OWN = 100_000_000  # bytes of a file of an appendix
OTHER_PAGES = (
    "The pages are not those that were set: set anew, the PDF is another file, though all that is attached is as it was. Somebody changed it, or a "
    "program saved it anew; take the original."
)
NOT_COMPARED = "The pages of the PDF were not compared with new ones: those are the same only where all else is."
MOST_OF_TABLE = 5  # differences of one table that are told; the others are counted


class Verified(NamedTuple):
    """What was held against what, what differs, and what was not compared, a sentence each; nothing where all is as it was."""

    against: tuple[str, ...]
    changed: tuple[str, ...]
    not_compared: tuple[str, ...] = ()


class _AsRecorded(Workbook):
    """A workbook that goes by the name it had, and is a demo where it was one, wherever its files stand now."""

    recorded: dict[str, Any] = {}  # noqa: RUF012

    @property
    def name(self) -> str:
        return self.recorded["name"]

    @property
    def is_demo(self) -> bool:
        return self.recorded["demo"]


def verify(appendix: str | Path, workbook: str | Path | None = None) -> Verified:
    """Compute an appendix anew, and return what differs.

    Parameters
    ----------
    appendix : str or path
        Its folder, or its PDF alone.
    workbook : str or path, optional
        Folder of the workbook; by default the one that the folder of the appendix stands in, else what is attached to the PDF.

    Raises
    ------
    DataError
        If there is no appendix, or what is there cannot be read.
    """
    place = Path(appendix)
    try:
        if place.is_dir():
            return _of_folder(place, workbook)
        if place.is_file():
            return _of_pdf(place, workbook)
    except (OSError, ValueError) as fault:  # ValueError: a zero byte in the name
        if isinstance(fault, DataError):
            raise
        raise DataError(f"{shown(str(place), 200)}: it cannot be read ({fault}); see to its permissions") from None
    raise DataError(
        f"{shown(str(place), 200)}: there is no such folder or PDF; name the folder of an appendix, or its {PDF}"
    )


def _of_folder(place, workbook):
    if not (place / MANIFEST).is_file():
        inside = (
            f"; did you mean {shown(str(place / 'appendix'), 200)}?"
            if (place / "appendix" / MANIFEST).is_file()
            else ""
        )
        raise DataError(
            f"{shown(str(place), 200)} holds no {MANIFEST}, so it is no appendix{inside or '; name the folder that was written'}"
        )
    manifest = manifests.read(_bytes(place / MANIFEST, manifests.LARGEST), MANIFEST)
    changed = _own_files(place, manifest)
    if workbook is None and holds_a_paste(place.resolve().parent) and (place.resolve().parent / BENCH).is_file():
        workbook = place.resolve().parent
    if workbook is not None:
        return _held(manifest, Path(workbook), f"the workbook {shown(str(workbook), 200)}", changed)
    if not (place / PDF).is_file():
        raise DataError(
            f"{shown(str(place), 200)} stands in no workbook and holds no {PDF}; name the folder of the workbook with --workbook"
        )
    with _unpacked(place / PDF) as (_, folder):
        return _held(manifest, folder, f"what is attached to {PDF}", changed)


def _of_pdf(place, workbook):
    raw = _bytes(place, LARGEST_OWN)
    with _unpacked(place) as (held, folder):
        if held.manifest is None:
            raise DataError(
                f"{shown(str(place), 200)}: no {MANIFEST} is attached, so it is no appendix that can be verified"
            )
        manifest = manifests.read(held.manifest, f"{MANIFEST}, attached to {shown(place.name)}")
        changed = _same_files(manifest["workbook"]["files"], held.workbook, "attached", "the attached file")
        where = folder if workbook is None else Path(workbook)
        told = "what is attached" if workbook is None else f"the workbook {shown(str(workbook), 200)}"
        return _held(manifest, where, told, changed, attached=workbook is None, original=(raw, held))


@contextmanager
def _unpacked(pdf: Path) -> Iterator[tuple[Unpacked, Path]]:
    """Give what is attached to a PDF, and a folder with the files of the workbook, which goes afterwards."""
    step("unpacking what is attached")
    found = unpacked(_bytes(pdf, LARGEST_OWN), pdf.name)
    folder = Path(tempfile.mkdtemp(prefix="rheokit-")) / "workbook"
    try:
        folder.mkdir()
        put_into(folder, found.workbook)
        yield found, folder
    finally:
        shutil.rmtree(folder.parent, ignore_errors=True)


def _bytes(path, largest):
    if path.exists() and not path.is_file():
        raise DataError(f"{shown(str(path), 200)} is a folder, a device or a pipe, no file; take it away")
    with open(path, "rb") as opened:
        raw = opened.read(largest + 1)
    if len(raw) > largest:
        raise DataError(f"{shown(str(path), 200)} has more than {largest} bytes: no appendix has such a file")
    return raw


# --- files ----------------------------------------------------------------------------------------------------------------


def _own_files(place, manifest):
    """Return what differs among the files of an appendix itself; what somebody put beside them is told too."""
    found = {}
    for path in sorted(one for one in place.rglob("*") if one.is_symlink() or not one.is_dir()):
        name = path.relative_to(place).as_posix()
        if name != MANIFEST and not name.startswith("."):
            found[name] = _bytes(path, LARGEST_OWN) if _may_be_own(path) else b""
    return _same_files(manifest["appendix"], found, "in the folder of the appendix", "the file of the appendix")


def _may_be_own(path):
    """Say whether a file can be one that was written: no link, device or pipe, and of no more than such a file has."""
    return not path.is_symlink() and path.is_file() and path.stat().st_size <= LARGEST_OWN


def _same_files(listed, found, where, what):
    told = []
    for name in sorted({*listed, *found}):
        if name not in found:
            told.append(f"{what} {shown(name, 200)} is missing.")
        elif name not in listed:
            told.append(f"{shown(name, 200)} is {where}, and was not when it was made.")
        elif digest(found[name]) != listed[name]["sha256"]:
            told.append(
                f"{what} {shown(name, 200)} is not as it was written: SHA-256 {digest(found[name])[:16]}…, and was {listed[name]['sha256'][:16]}…."
            )
    return [f"{one[0].upper()}{one[1:]}" for one in told]


# --- computed anew ----------------------------------------------------------------------------------------------------------


def _held(manifest, folder, told, changed, attached=False, original=None):
    """Return what differs when the appendix of a workbook is computed anew."""
    changed = [*changed]
    if manifest["decimal"] not in DECIMALS:
        raise DataError(
            f"{MANIFEST} has the decimal {manifest['decimal']!r:.20}, which is none of {', '.join(DECIMALS)}; make the appendix anew"
        )
    try:
        book = type("Workbook", (_AsRecorded,), {"recorded": manifest["workbook"]}).open(folder)
        archive = archive_of(book)
        if not attached:
            changed += _same_files(
                manifest["workbook"]["files"], archive.files, "in the workbook", "the file of the workbook"
            )
        changed += _other_versions(manifest["environment"])
        with DECIMALS[manifest["decimal"]]():
            anew = appendix_of(book, manifest["made"])
    except DataError as fault:
        return Verified((told,), (*changed, f"It cannot be computed anew: {fault}"))
    step("comparing")
    changed += _other_results(manifest["results"], manifests.results_of(anew))
    changed += _other_words(manifest["words"], manifests.words_of(anew))
    if original is None:
        return Verified((told,), tuple(changed))
    if changed:
        return Verified((told,), tuple(changed), (NOT_COMPARED,))
    return Verified((told,), *_other_pages(*original, manifest, anew))


def _other_pages(raw, held, manifest, anew):
    """Return what differs when the PDF is set anew, and what could not be compared."""
    step("setting the PDF")
    archive = Archive(dict(sorted(held.workbook.items())), tuple(map(str, manifest["workbook"].get("left out", ()))))
    try:
        again = pdf_of(anew, archive, held.manifest)
    except DataError as fault:
        return (), (f"The pages of the PDF were not compared: {fault}.",)
    return () if again == raw else (OTHER_PAGES,), ()


def _other_versions(recorded):
    now = versions()
    return [
        f"{_unquoted(name)} is {_unquoted(now.get(name, 'not known'))}, and was {_unquoted(recorded.get(name, 'not known'))}."
        for name in dict.fromkeys([*recorded, *now])
        if now.get(name) != recorded.get(name)
    ]


def _unquoted(text):
    """Return a text of a manifest, which may be forged, as it may stand in a terminal."""
    return shown(text, 80)[1:-1]


def _other_words(recorded, now):
    told = []
    for name in dict.fromkeys([*recorded, *now]):
        if name not in now:
            told.append(f"The section {shown(name, 100)} is not there any more.")
        elif name not in recorded:
            told.append(f"The section {shown(name, 100)} is new.")
        elif now[name] != recorded[name]:
            told.append(f"The section {shown(name, 100)} says something else beside its tables.")
    return told


def _other_results(recorded, now):
    told = []
    for name in dict.fromkeys([*recorded, *now]):
        if name not in now or name not in recorded:
            told.append(f"The table {shown(name)} is {'new' if name in now else 'not there any more'}.")
            continue
        differences = list(_other_cells(recorded[name], now[name]))
        told += [f"Table {shown(name)}, {one}." for one in differences[:MOST_OF_TABLE]]
        if len(differences) > MOST_OF_TABLE:
            told.append(f"Table {shown(name)}: {len(differences) - MOST_OF_TABLE} more differences.")
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
                yield f"{row}, {_cell(now['columns'][k])}: {_cell(after)}, and was {_cell(before)}"


def _is_number(cell):
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def _same(before, after, largest):
    """Say whether two cells are the same but for rounding."""
    if not (_is_number(before) and _is_number(after)):
        return before == after
    return abs(before - after) <= ROUNDING * max(abs(before), abs(after), OF_LARGEST * largest)


def _cell(one):
    return repr(one) if _is_number(one) else shown(one, 80)
