"""The manifest of an appendix: every file that it was made of and consists of with its SHA-256, what computed it, and every result to the last digit.

It is JSON (RFC 8259). `verifying` compares it with what stands there now, and with what the same files give anew.
"""

import json
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from typing import Any

from ..errors import DataError
from .archive import LARGEST, MANIFEST, WHAT, Archive, listed
from .document import Caution, Document, Equation, Listing, Paragraph, Points, Section, Table
from .environment import versions
from .study import DRAWS, SEED
from .tables import value

NAME, PDF, FORMAT = MANIFEST, "appendix.pdf", 1
COMPUTED = ("environment", "results", "words")  # entries that are held against what is computed anew
ENTRIES = ("what", "format", "made", "decimal", "seed", "draws", "workbook", "appendix", *COMPUTED)


def manifest_of(
    document: Document, archive: Archive, made: dict[str, bytes], workbook: dict[str, Any], decimal: str
) -> dict[str, Any]:
    """Return the manifest of a document.

    Parameters
    ----------
    document : Document
        What the workbook says, without what is attached.
    archive : Archive
        The files that it was made of.
    made : dict
        The files that it was written into, by name.
    workbook : dict
        Name of the folder, and whether it is a demo.
    decimal : {"point", "comma"}
    """
    return {
        "what": WHAT,
        "format": FORMAT,
        "made": document.date,
        "decimal": decimal,
        "seed": SEED,
        "draws": DRAWS,
        "environment": versions(),
        "workbook": workbook | {"files": listed(archive.files), "left out": list(archive.left_out)},
        "appendix": listed(made),
        "results": results_of(document),
        "words": words_of(document),
    }


def as_bytes(manifest: dict[str, Any]) -> bytes:
    """Return a manifest as the bytes of its file."""
    return (json.dumps(manifest, ensure_ascii=True, indent=1, allow_nan=False) + "\n").encode()


def with_pdf(manifest: dict[str, Any], pdf: bytes) -> dict[str, Any]:
    """Return the manifest that stands beside a PDF: that which is attached to it, with the SHA-256 of the PDF."""
    return {**manifest, "appendix": {**manifest["appendix"], **listed({PDF: pdf})}}


def results_of(document: Document) -> dict[str, dict[str, Any]]:
    """Return the tables of a document by name: headings, and rows of numbers to twelve digits, and of texts."""
    return {
        name: {"columns": list(one.columns), "rows": [[value(cell) for cell in row] for row in one.rows]}
        for name, one in named_tables(document).items()
    }


def named_tables(document: Document) -> dict[str, Table]:
    """Return the tables of a document by a name that is each one's own, and that of a file."""
    return dict(zip(own_names([one.name for one in document.tables]), document.tables, strict=True))


def own_names(names: list[str]) -> list[str]:
    """Return names of files, each once whatever its capitals: letters, digits and hyphens."""
    found: list[str] = []
    for name in names:
        plain = (
            "-".join("".join(one if one.isascii() and one.isalnum() else " " for one in name).split())[:60] or "unnamed"
        )
        number, own = 1, plain
        while own.lower() in (one.lower() for one in found):
            number += 1
            own = f"{plain}-{number}"
        found.append(own)
    return found


def words_of(document: Document) -> dict[str, str]:
    """Return the SHA-256 of what each section says beside its tables and pictures, by number and title."""
    return {
        f"{number} {section.title}": sha256("\n".join(_texts(section)).encode("utf-8", "backslashreplace")).hexdigest()
        for number, section in _numbered(document.sections)
    }


def _numbered(sections: tuple[Section, ...], above: str = "") -> Iterator[tuple[str, Section]]:
    for place, one in enumerate(sections, 1):
        yield f"{above}{place}", one
        yield from _numbered(one.sections, f"{above}{place}.")


def _texts(section):
    for block in section.blocks:
        match block:
            case Paragraph(text) | Caution(text) | Listing(text, _):
                yield text
            case Points(texts):
                yield from texts
            case Equation(text, _, _):
                yield text


def read(raw: bytes, where: str) -> dict[str, Any]:
    """Return the manifest that the bytes of a file hold; refuse what is none.

    Raises
    ------
    DataError
        With where it stands, and what it lacks.
    """
    if len(raw) > LARGEST:
        raise DataError(f"{where} has more than {LARGEST} bytes: no manifest of an appendix is so long")
    try:
        found = json.loads(raw)
    except (ValueError, RecursionError) as fault:
        raise DataError(
            f"{where} is no JSON ({type(fault).__name__}: {str(fault)[:100]}); make the appendix anew"
        ) from None
    if not isinstance(found, dict) or found.get("what") != WHAT:
        raise DataError(f'{where} is no manifest of an appendix: it does not say "what": "{WHAT}"')
    if type(found.get("format")) is not int or found["format"] != FORMAT:  # true is no number
        raise DataError(
            f"{where} has the format {found.get('format')!r:.20}; this rheokit reads {FORMAT}: verify it with the version that made it"
        )
    if wrong := _wrong(found):
        raise DataError(f"{where} is broken: {wrong}; make the appendix anew")
    return found


def _wrong(found):
    """Return what in a manifest is not as it should be, or nothing."""
    for name, kind in (
        ("made", str),
        ("decimal", str),
        ("environment", dict),
        ("workbook", dict),
        ("appendix", dict),
        ("results", dict),
        ("words", dict),
    ):
        if not isinstance(found.get(name), kind):
            return f"{name!r} is missing, or of another kind"
    try:
        datetime.fromisoformat(found["made"])
    except ValueError:
        return "'made' is no date"
    book = found["workbook"]
    if (
        not isinstance(book.get("name"), str)
        or not isinstance(book.get("demo"), bool)
        or not isinstance(book.get("files"), dict)
    ):
        return "'workbook' does not say its name, whether it is a demo and its files"
    if not isinstance(book.get("left out", []), list):
        return "'left out' is no list"
    for name, one in [*book["files"].items(), *found["appendix"].items()]:
        if not isinstance(one, dict) or not isinstance(one.get("sha256"), str):
            return f"{name!r:.80} has no SHA-256"
    for name, one in found["results"].items():
        rows = one.get("rows") if isinstance(one, dict) else None
        if (
            not isinstance(rows, list)
            or not isinstance(one.get("columns"), list)
            or not all(isinstance(row, list) for row in rows)
        ):
            return f"the table {name!r:.80} has no columns and rows"
    for name in ("environment", "words"):
        if not all(isinstance(one, str) for one in found[name].values()):
            return f"{name!r} holds something else than text"
    return ""
