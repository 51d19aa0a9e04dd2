"""The appendix of a workbook written into a folder: page, PDF, tables, pictures and manifest.

All is made before anything is written (`placing` puts it there). A PDF that cannot be set is told, and the rest is written all the same.
"""

import os
import re
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
from ..reading.refusals import place_of
from ..workbook.opened import Workbook
from ..workbook.outcomes.predicted import is_invented
from ..workbook.shelf import place_of_plan
from . import authors
from . import manifest as manifests
from .archive import APPENDIX, Archive, archive_of, attached_name, media_type
from .cells import stopped
from .composing import appendix_of
from .document import Attached, Caution, Document, Paragraph, Points, Section
from .latex import as_latex
from .letters import visible
from .page import html
from .placing import put, refuse_foreign
from .study import Study
from .tables import as_csv, as_xlsx
from .typeset import pdf

EPOCH = "SOURCE_DATE_EPOCH"
PDF, PAGE, MANIFEST = manifests.PDF, "appendix.html", manifests.NAME
DECIMALS: dict[str, Callable[[], AbstractContextManager]] = {"point": nullcontext, "comma": with_comma}
NEEDED = ("altair", "fontTools", "jinja2", "openpyxl", "pypdf", "typst", "vl_convert")
INVENTED = "It holds INVENTED numbers, for demonstration: they were not measured, and are no findings."
ATTACHED = "What is attached, and how to check it"


class Written(NamedTuple):
    """Where an appendix stands, the names of its files, what else is to be told, why its numbers are not to be used, which file is missing, what is invented.

    The last three are empty where the numbers may be used, all files were made, and no number is invented.
    """

    folder: Path
    files: tuple[str, ...]
    told: tuple[str, ...]
    forbids: str = ""
    lacks: str = ""
    invented: str = ""


class Files(NamedTuple):
    """The files of an appendix by name, what is to be told of them, and the last three of `Written`."""

    held: dict[str, bytes]
    told: tuple[str, ...]
    forbids: str
    lacks: str
    invented: str = ""


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
        `appendix.html`, `appendix.pdf`, `tables.xlsx`, `tables/NAME.csv`, `latex/NAME.tex`, `figures/NAME.svg` and `manifest.json`; where the PDF
        cannot be set, the others, and `lacks` says why.

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
    authors.check(book.plan)
    if book.plan.overtaken:
        raise DataError(
            f"{shown(str(book.plan.place), 200)} was changed since it was read, elsewhere; open the folder again, then write its appendix"
        )
    if not isinstance(decimal, str) or decimal not in DECIMALS:
        raise DataError(f"decimal = {decimal!r:.40} is not known; give one of {', '.join(map(repr, DECIMALS))}")
    if decimal != "point":  # and nothing that was written for a page before
        book = type(book)(book.folder, book.plan)
    target = place(book, out)
    refuse_foreign(target, (book.folder, place_of_plan(book.folder).parent))
    files = files_of(book, moment(), decimal)
    step("writing the files")
    told = files.told + put(files.held, target)
    return Written(target, tuple(files.held), told, *files[2:])


def forbids(study: Study) -> str:
    """Return why the numbers of a workbook are not to be used: no law is fitted, or checks failed; empty where they may be."""
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


def files_of(book: Workbook, date: str, decimal: str = "point") -> Files:
    """Return the files of an appendix, and what is to be told of them."""
    archive, study = archive_of(book), Study(book)
    with DECIMALS[decimal]():
        said = appendix_of(study, date)
    forbidden = forbids(study)  # of the fit that was made for it
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
    lacks = ""
    try:
        made[PDF] = pdf_of(said, archive, manifests.as_bytes(manifest))
    except DataError as fault:
        lacks = f"{PDF} is not there, and with it the archive of the workbook; all else is: {fault}"
        made[PAGE] = html(whole(said, archive, lacks)).encode()
        manifest = manifests.manifest_of(said, archive, made, told, decimal)
    else:
        manifest = manifests.with_pdf(manifest, made[PDF])
    invented = ""
    with suppress(DataError):  # readings that cannot be read: the appendix says so in their place
        invented = INVENTED if is_invented(book) else ""
    return Files({**made, MANIFEST: manifests.as_bytes(manifest)}, archive.left_out, forbidden, lacks, invented)


def whole(said: Document, archive: Archive, lacks: str = "") -> Document:
    """Return what a workbook says with the section that says what is attached, or that nothing is, and why."""
    about = Section(ATTACHED, (Caution(f"Nothing is attached: {stopped(lacks)}"),)) if lacks else _about(archive)
    return replace(said, sections=(*said.sections, about))


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
        f"python -P -m rheokit verify {PDF} unpacks them, computes all anew, and names each file, version and number that differs. It finds what "
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
