"""The appendix of a workbook written into a folder: page, PDF, tables, pictures and manifest, all of them or none.

All is made before anything is written. The new files then stand in a folder beside the old appendix and take its place by renaming, so that a
run that fails leaves the old one whole. What in the old folder is not as rheokit wrote it stays, under another name where a new file has its own.
"""

import os
import re
import shutil
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext, suppress
from dataclasses import replace
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

from ..errors import DataError
from ..nomenclature import with_comma
from ..progress import step
from ..reading.faults import shown
from ..reading.locking import alone
from ..reading.patience import patiently
from ..reading.refusals import place_of, refusal
from ..workbook.disk import write_file
from ..workbook.opened import Workbook
from ..workbook.shelf import place_of_plan
from . import manifest as manifests
from .archive import APPENDIX, Archive, archive_of, attached_name, digest, is_appendix, media_type
from .composing import appendix_of
from .document import Attached, Document, Paragraph, Points, Section
from .latex import as_latex
from .letters import visible
from .page import html
from .study import Study
from .tables import as_csv, as_xlsx
from .typeset import pdf

EPOCH = "SOURCE_DATE_EPOCH"
PDF, PAGE, MANIFEST = "appendix.pdf", "appendix.html", manifests.NAME
DECIMALS: dict[str, Callable[[], AbstractContextManager]] = {"point": nullcontext, "comma": with_comma}
NEEDED = ("altair", "fontTools", "jinja2", "openpyxl", "pypdf", "typst", "vl_convert")
ATTACHED = "What is attached, and how to check it"


class NotWritten(DataError):
    """The disk refuses an appendix; what stood there stands there still."""


class Written(NamedTuple):
    """Where an appendix stands, the names of its files, what else is to be told, and why its numbers are not to be used, empty where they may be."""

    folder: Path
    files: tuple[str, ...]
    told: tuple[str, ...]
    forbids: str = ""


def write(workbook: str | Path | Workbook, out: str | Path | None = None, decimal: str = "point") -> Written:
    """Write the appendix of a workbook.

    Parameters
    ----------
    workbook : str, path or Workbook
        A folder with bench.toml.
    out : str or path, optional
        A new or empty folder, or one that holds an earlier appendix; by default `appendix` in the folder of the workbook, for a demo, which stays
        as it came, beside what is remembered of it.
    decimal : {"point", "comma"}
        How numbers are written on page and in PDF; CSV and XLSX have numbers.

    Returns
    -------
    written : Written
        `appendix.html`, `appendix.pdf`, `tables.xlsx`, `tables/NAME.csv`, `latex/NAME.tex`, `figures/NAME.svg` and `manifest.json`.

    Raises
    ------
    DataError
        If the folder holds no workbook, or the files cannot be written; the old appendix is then as it was.
    """
    if lacking := [name for name in NEEDED if find_spec(name) is None]:
        raise DataError(
            f'an appendix needs {", ".join(lacking)}, not installed here; install with: python -m pip install "rheokit[notebooks]"'
        )
    book = workbook if isinstance(workbook, Workbook) else Workbook.open(workbook)
    book.plan.check()
    if book.plan.overtaken:
        raise DataError(
            f"{shown(str(book.plan.place), 200)} was changed since it was read, elsewhere; open the folder again, then write its appendix"
        )
    if not isinstance(decimal, str) or decimal not in DECIMALS:
        raise DataError(f"decimal = {decimal!r:.40} is not known; give one of {', '.join(map(repr, DECIMALS))}")
    if decimal != "point":  # and nothing that was written for a page before
        book = type(book)(book.folder, book.plan)
    target = place(book, out)
    _refuse_foreign(target, book)
    files, told = files_of(book, moment(), decimal)
    step("writing the files")
    told += _put(files, target)
    return Written(target, tuple(files), told, forbids(book))


def forbids(book: Workbook) -> str:
    """Return why the numbers of a workbook are not to be used: no law is fitted, or checks failed; empty where they may be."""
    study = Study(book)
    if not study.knows("fit"):
        return f"No law was fitted: {study.lacking('fit')}"
    failed = int((~study.fit.checks.passed.astype(bool)).sum())
    return f"{failed} of {len(study.fit.checks)} checks of the fit FAILED: {study.fit.stamp}" if failed else ""


def place(book: Workbook, out: str | Path | None = None) -> Path:
    """Return the folder that the appendix of a workbook is written into."""
    if out is not None:
        return place_of(out).resolve()
    return (place_of_plan(book.folder).parent / APPENDIX).resolve()


def moment() -> str:
    """Return the date of an appendix: now, in UTC, or what SOURCE_DATE_EPOCH says, seconds since 1970."""
    told = os.environ.get(EPOCH, "")  # empty counts as not set: some build tools set it so
    try:
        if told and not re.fullmatch("-?[0-9]+", told, re.ASCII):
            raise ValueError
        at = datetime.fromtimestamp(int(told), UTC) if told else datetime.now(UTC)
    except (ValueError, OverflowError, OSError):
        raise DataError(
            f"{EPOCH} = {shown(told)} is no date; give seconds since 1970, such as 1767225600, or unset it"
        ) from None
    return at.replace(microsecond=0).isoformat().replace("+00:00", "Z")


def files_of(book: Workbook, date: str, decimal: str = "point") -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return the files of an appendix by name, and what is to be told of them."""
    archive = archive_of(book)
    with DECIMALS[decimal]():
        said = appendix_of(book, date)
    document = whole(said, archive)
    step("writing the page, the tables and the pictures")
    made = {PAGE: html(document).encode(), "tables.xlsx": as_xlsx(document)}
    for name, one in manifests.named_tables(document).items():
        made |= {f"tables/{name}.csv": as_csv(one), f"latex/{name}.tex": as_latex(one)}
    names = manifests.own_names([one.name for one in document.figures])
    made |= {
        f"figures/{name}.svg": visible(one.svg).encode() for name, one in zip(names, document.figures, strict=True)
    }
    told = {"name": book.name, "demo": book.is_demo}
    manifest = manifests.manifest_of(said, archive, made, told, decimal)
    step("setting the PDF")
    made[PDF] = pdf_of(said, archive, manifests.as_bytes(manifest))
    manifest["appendix"][PDF] = {"bytes": len(made[PDF]), "sha256": digest(made[PDF])}
    return {**made, MANIFEST: manifests.as_bytes(manifest)}, archive.left_out


def whole(said: Document, archive: Archive) -> Document:
    """Return what a workbook says with the section that says what is attached."""
    return replace(said, sections=(*said.sections, _about(archive)))


def pdf_of(said: Document, archive: Archive, manifest: bytes) -> bytes:
    """Return the PDF of what a workbook says, files and manifest attached."""
    return pdf(replace(whole(said, archive), attached=_attached(archive, manifest)))


def _about(archive: Archive) -> Section:
    """Return the section that says what is attached, what is not, and how to check it."""
    count = len(archive.files)
    told = (
        f"The PDF of this appendix is an archive: attached to it are the {count} files of the workbook as they were read, and a manifest with "
        "the SHA-256 of each, what computed it, and every number of its tables to the last digit."
    )
    how = (
        f"python -m rheokit verify {PDF} unpacks them, computes all anew, and names each file, version and number that differs. It finds what "
        "changed by mistake; it is no proof against somebody who changed the manifest too."
    )
    left = (
        ("Not attached: " + one for one in archive.left_out)
        if archive.left_out
        else ("No file of the workbook was left out but hidden ones.",)
    )
    return Section(ATTACHED, (Paragraph(told), Paragraph(how), Points(tuple(left))))


def _attached(archive, manifest):
    files = (
        Attached(attached_name(name), raw, media_type(name), f"{name}, a file of the workbook")
        for name, raw in archive.files.items()
    )
    return (
        *files,
        Attached(MANIFEST, manifest, "application/json", "files with their SHA-256, versions and every result"),
    )


# --- onto the disk --------------------------------------------------------------------------------------------------------


def _refuse_foreign(target, book):
    """Refuse the folder of the workbook or one above it, and one that holds something and no appendix."""
    own = (book.folder.resolve(), place_of_plan(book.folder).parent.resolve())
    if any(target in (one, *one.parents) for one in own):
        raise DataError(
            f"{shown(str(target), 200)} is the folder of the workbook, or one above it; nothing was written. Name a folder of its own with --out"
        )
    if target.is_dir() and any(target.iterdir()) and not is_appendix(target):
        why = "is none that rheokit wrote" if os.path.lexists(target / MANIFEST) else "is missing"
        raise DataError(
            f"{shown(str(target), 200)} holds files and no appendix ({MANIFEST} {why}); nothing was written. Name another folder with --out, or "
            "move them elsewhere"
        )


def _put(files, target):
    """Put files in the place of an old appendix; return what is to be told of what was in it."""
    new, old = (target.with_name(f".{target.name}.rheokit-{ending}") for ending in ("new", "old"))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with alone(target.parent):
            if old.is_dir() and not target.exists():  # a run that ended in between
                patiently(os.rename, old, target)
            for one in (new, old):
                _clear(one)
            new.mkdir()
            try:
                for name, raw in files.items():
                    (new / name).parent.mkdir(exist_ok=True)
                    write_file(new / name, raw)
                told = _carried(target, new, files)
                if target.is_dir():
                    patiently(os.rename, target, old)
                try:
                    patiently(os.rename, new, target)
                except BaseException:
                    if old.is_dir():
                        os.rename(old, target)
                    raise
            finally:
                _clear(new)
            with suppress(OSError):  # what is left of it goes with the next appendix
                _clear(old)
    except OSError as error:
        raise NotWritten(str(refusal(error, target))) from None
    return told


def _clear(folder):
    """Take away a folder of a run before, if there is one."""
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


def _carried(target, new, files):
    """Carry over what in the old folder is not as rheokit wrote it; return in words what that was."""
    if not target.is_dir():
        return ()
    try:
        known = manifests.read((target / MANIFEST).read_bytes(), MANIFEST)["appendix"]
    except (DataError, OSError):
        known = {}
    told = []
    for path in sorted(target.rglob("*")):
        name = path.relative_to(target).as_posix()
        if path.is_dir() and not path.is_symlink():
            if name not in files and not any(path.iterdir()):
                (new / name).mkdir(parents=True, exist_ok=True)
            continue
        if name == MANIFEST or (
            name in known and not path.is_symlink() and digest(path.read_bytes()) == known[name]["sha256"]
        ):
            continue
        own = name
        while own in files or os.path.lexists(new / own):
            own = f"{own.removesuffix(path.suffix)} as changed{path.suffix}"
        (new / own).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(path, new / own, follow_symlinks=False)
        if own != name:
            told.append(
                f"{shown(name, 200)} was changed since it was written; what it held is kept as {shown(own, 200)}."
            )
    return tuple(told)
