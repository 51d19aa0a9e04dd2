"""An appendix held against what stands there now, and against what its workbook gives when all is computed anew.

What differs is told by name: a file, a version, a number beyond rounding (`differences`), a text.
"""

import os
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
from ..workbook.outcomes.record import NAME as OUTCOMES
from ..workbook.plan import Plan
from ..workbook.shelf import BENCH
from . import manifest as manifests
from .archive import Archive, archive_of, is_safe
from .composing import appendix_of
from .differences import other_copy, other_entries, other_results, other_versions, other_words
from .own_files import LARGEST_OWN, bytes_of, may_be_own, own_files, same_files
from .placing import beside
from .study import Study
from .unpacking import Unpacked, put_into, unpacked
from .writing import DECIMALS, MANIFEST, PDF, pdf_of

OTHER_PAGES = (
    "The pages are not those that were set: set anew, the PDF is another file, though all that is attached is as it was. Somebody changed it, or a "
    "program saved it anew; take the original."
)
OUTCOMES_SINCE = (
    f"{OUTCOMES} is not what it was: outcomes were recorded since the appendix was made, or changed. No fitted number and no prediction rests on "
    "them; make the appendix anew to show them."
)
NOT_COMPARED = "The pages of the PDF were not compared with new ones: those are the same only where all else is."


class Verified(NamedTuple):
    """What was held against what, what differs, and what was not compared or is told beside, a sentence each; nothing where all is as it was."""

    against: tuple[str, ...]
    changed: tuple[str, ...]
    not_compared: tuple[str, ...] = ()


class _AsRecorded(Workbook):
    """A workbook that goes by the name it had, and is a demo where it was one, wherever its files stand now."""

    recorded: dict[str, Any] = {}  # noqa: RUF012

    def __init__(self, folder: str | Path, plan: Plan) -> None:
        super().__init__(folder, plan)
        plan.of_demo = self.is_demo

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
    raise DataError(f"{shown(str(place), 200)}: there is no such folder or PDF; {_elsewhere(place)}")


def _elsewhere(place):
    """Return what to name instead of an appendix that is not there: one that a run which was cut off left beside."""
    try:
        left = beside(place.parent.resolve() / place.name, "old")
        if (left / MANIFEST).is_file():
            return (
                f"writing it anew was cut off, and the earlier one stands in {shown(str(left), 200)}: name that, or write the appendix again, "
                "which puts it back first"
            )
    except (OSError, ValueError):
        pass
    return f"name the folder of an appendix, or its {PDF}"


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
    manifest = manifests.read(bytes_of(place / MANIFEST, manifests.LARGEST), MANIFEST)
    changed, notes = own_files(place, manifest)
    changed += _copy(place, manifest)
    listed = manifest["workbook"]["files"]
    around = None if workbook is not None else _around(place, {} if manifest["workbook"]["demo"] else listed)
    if around is not None and not (around / BENCH).is_file():
        changed += same_files(listed, _still(around, listed), "in the workbook", "the file of the workbook")
    elif around is not None:
        workbook = around
    if workbook is not None:
        link = f", in which the link {shown(place.name)} stands" if around is not None and place.is_symlink() else ""
        return _held(manifest, Path(workbook), f"the workbook {shown(str(workbook), 200)}{link}", changed, notes)
    lost = "" if around is None else f", since the workbook {shown(str(around), 200)} holds no {BENCH}"
    if not (place / PDF).is_file():
        raise DataError(
            f"{shown(str(place), 200)} stands in no workbook and holds no {PDF}; name the folder of the workbook with --workbook"
        )
    with _unpacked(place / PDF) as (_, folder):
        return _held(manifest, folder, f"what is attached to {PDF}{lost}", changed, notes, attached=bool(lost))


def _around(place, listed):
    """Return the folder of the workbook that an appendix stands in, as it was reached or else as it lies; None where neither holds a file of one."""
    for folder in dict.fromkeys((Path(os.path.abspath(place)).parent, place.resolve().parent)):
        if (folder / BENCH).is_file() or _still(folder, listed):
            return folder
    return None


def _still(folder, listed):
    """Return those of the files of a workbook that stand in a folder."""
    safe = (name for name in listed if is_safe(name))
    return {name: bytes_of(folder / name, LARGEST_OWN) for name in safe if may_be_own(folder / name)}


def _copy(place, manifest):
    """Return where the manifest of a folder differs from its copy that is attached to the PDF, as far as there is one."""
    try:
        copy = unpacked(bytes_of(place / PDF, LARGEST_OWN), PDF).manifest
        return other_copy(manifest, manifests.read(copy or b"", MANIFEST), ("appendix", PDF))
    except (DataError, OSError):  # that the PDF is missing, or is another one, is told beside
        return []


def _of_pdf(place, workbook):
    raw = bytes_of(place, LARGEST_OWN)
    with _unpacked(place) as (held, folder):
        if held.manifest is None:
            raise DataError(
                f"{shown(str(place), 200)}: no {MANIFEST} is attached, so it is no appendix that can be verified"
            )
        manifest = manifests.read(held.manifest, f"{MANIFEST}, attached to {shown(place.name)}")
        changed = same_files(manifest["workbook"]["files"], held.workbook, "attached", "the attached file")
        changed += [f"{shown(one, 200)} is attached, and is no file of the workbook." for one in held.others]
        where = folder if workbook is None else Path(workbook)
        told = "what is attached" if workbook is None else f"the workbook {shown(str(workbook), 200)}"
        return _held(manifest, where, told, changed, attached=workbook is None, original=(raw, held))


@contextmanager
def _unpacked(pdf: Path) -> Iterator[tuple[Unpacked, Path]]:
    """Give what is attached to a PDF, and a folder with the files of the workbook, which goes afterwards."""
    step("unpacking what is attached")
    found = unpacked(bytes_of(pdf, LARGEST_OWN), pdf.name)
    folder = Path(tempfile.mkdtemp(prefix="rheokit-")) / "workbook"
    try:
        folder.mkdir()
        put_into(folder, found.workbook)
        yield found, folder
    finally:
        shutil.rmtree(folder.parent, ignore_errors=True)


# --- computed anew ----------------------------------------------------------------------------------------------------------


def _held(manifest, folder, told, changed, notes=(), attached=False, original=None):
    """Return what differs when the appendix of a workbook is computed anew."""
    changed = [*changed, *other_entries(manifest)]
    if manifest["decimal"] not in DECIMALS:
        raise DataError(
            f"{MANIFEST} has the decimal {manifest['decimal']!r:.20}, which is none of {', '.join(DECIMALS)}; make the appendix anew"
        )
    try:
        book = type("Workbook", (_AsRecorded,), {"recorded": manifest["workbook"]}).open(folder)
        archive = archive_of(book)
        if not attached:
            listed = manifest["workbook"]["files"]
            changed += same_files(listed, archive.files, "in the workbook", "the file of the workbook")
            if same_files(
                *({k: v for k, v in files.items() if k == OUTCOMES} for files in (listed, archive.files)), "", ""
            ):
                notes = (*notes, OUTCOMES_SINCE)
        changed += other_versions(manifest["environment"])
        with DECIMALS[manifest["decimal"]]():
            anew = appendix_of(Study(book), manifest["made"])
    except DataError as fault:
        return Verified((told,), (*changed, f"It cannot be computed anew: {fault}"), notes)
    step("comparing")
    changed += other_results(manifest["results"], manifests.results_of(anew))
    changed += other_words(manifest["words"], manifests.words_of(anew))
    if original is None:
        return Verified((told,), tuple(changed), notes)
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
