"""The appendix as a PDF for archives: PDF/A-3a and PDF/UA-1 at once, tagged, fonts embedded, with files attached.

What is set is handed to the typesetter as data and never as markup (`page.typ` says how it is set); the fonts are those of the folder `fonts`, so
that the same document makes the same bytes on every machine. What the font has no letter for is named, and a note says so.
"""

import json
import re
import tempfile
from collections.abc import Iterable
from datetime import datetime
from html import unescape
from pathlib import Path
from typing import Any

from ..errors import DataError
from ..release import version_line
from .columns import LONGEST, Part, Setting, is_tall, setting
from .document import Attached, Block, Caution, Document, Equation, Figure, Listing, Paragraph, Points, Section, Table
from .letters import FAMILY, FONTS, in_font, pieces
from .page import all_numbers

PAGE = Path(__file__).with_name("page.typ")
STANDARDS = ["a-3a", "ua-1"]
OF_A_TEXT, OF_A_LINE = 30, 90  # letters of a word that stay together; in a listing
HEAD = 90  # letters of the title at the top of each page
NAMED = re.compile("⟨U\\+[0-9A-F]{4,6}[^⟩]*⟩")


def pdf(document: Document) -> bytes:
    """Return a document as a PDF/A-3a that is PDF/UA-1 too.

    Raises
    ------
    DataError
        If the typesetter does not take it, with its words.
    """
    files: dict[str, bytes] = {"main.typ": PAGE.read_bytes()}
    described = _described(document, files)
    files["document.json"] = json.dumps(described, ensure_ascii=False).encode()
    return _compiled(files, int(_moment(document.date).timestamp()))


def _compiled(files, timestamp):
    """Return the PDF that files give, main.typ first; they stand in a folder of their own, since in memory the typesetter takes text alone."""
    import typst

    with tempfile.TemporaryDirectory(prefix="rheokit-") as name:
        folder = Path(name)
        for one, raw in files.items():
            (folder / one).parent.mkdir(exist_ok=True)
            (folder / one).write_bytes(raw)
        try:
            return typst.compile(
                str(folder / "main.typ"), root=name, font_paths=[str(FONTS)], ignore_system_fonts=True,
                pdf_standards=STANDARDS, timestamp=timestamp,
            )  # fmt: skip
        except RuntimeError as fault:  # TypstError is one
            raise DataError(
                f"the PDF of the appendix could not be made: {fault}. Please report this line with the folder"
            ) from None


def _moment(date):
    moment = datetime.fromisoformat(date)
    return moment if moment.tzinfo else datetime.fromisoformat(f"{date[:19]}{'' if 'T' in date else 'T00:00:00'}+00:00")


def _described(document, files):
    """Return the document as `page.typ` reads it; what it names as a file is put among the files."""
    counted = iter(range(1, 1 + len(document.tables)))
    sections = [_section(one, files, counted) for one in document.sections]
    moment, title = _moment(document.date), in_font(document.title)
    described = {
        "title": title,
        "shown-title": _said(document.title),
        "head": title if len(title) <= HEAD else f"{title[:HEAD]}…",
        "foot": in_font(version_line()),
        "made": f"Made on {moment:%Y-%m-%d}, {moment:%H:%M} UTC.",
        "date": {name: getattr(moment, name) for name in ("year", "month", "day", "hour", "minute", "second")},
        "subtitle": [_said(one) for one in document.subtitle],
        "lead": sections[: document.lead],
        "sections": sections[document.lead :],
        "attached": [_attached(one, k, files) for k, one in enumerate(document.attached)],
    }
    return {**described, "note": _note(described)}


def _note(described):
    """Return in a sentence which characters are named instead of shown, nothing where there is none."""
    found = sorted(set(NAMED.findall("".join(_texts(described)))))
    if not found:
        return ""
    such = ", ".join(found[:5]) + (" and others" if len(found) > 5 else "")
    return (
        f"Characters that the font of this PDF has no letter for, or that would hide or turn a line, are named: {such}. The page appendix.html "
        "shows them where a browser can."
    )


def _texts(described):
    if isinstance(described, str):
        yield described
    elif isinstance(described, dict | list):
        for one in described.values() if isinstance(described, dict) else described:
            yield from _texts(one)


def _said(text, longest=OF_A_TEXT):
    """Return a text in letters of the font: one string, or pieces between which a line may end."""
    cut = pieces(in_font(str(text)), longest)
    return cut if len(cut) > 1 else cut[0]


def _section(section: Section, files: dict[str, bytes], counted: Iterable[int]) -> dict[str, Any]:
    return {
        "title": _said(section.title),
        "blocks": [_block(one, files, counted) for one in section.blocks],
        "sections": [_section(one, files, counted) for one in section.sections],
    }


def _block(block: Block, files, counted) -> dict[str, Any]:
    match block:
        case Paragraph(text):
            return {"kind": "paragraph", "text": _said(text)}
        case Points(texts):
            return {"kind": "points", "texts": [_said(one) for one in texts]}
        case Caution(text):
            return {"kind": "caution", "text": _said(text)}
        case Equation(text, spoken, source):
            about = f"In words: {spoken}." + (f" Source: {source}." if source else "")
            return {"kind": "equation", "text": _said(text), "about": _said(about.replace("..", "."))}
        case Listing(text, caption):
            lines = [pieces(in_font(line).replace("\t", "    "), OF_A_LINE) for line in text.split("\n")]
            return {"kind": "listing", "caption": _said(caption), "lines": lines}
        case Table():
            return _table(block, next(counted))
        case Figure():
            return _figure(block, files)
    raise TypeError(f"{type(block).__name__} is no block of an appendix")


def _table(table: Table, number: int) -> dict[str, Any]:
    headings = tuple(in_font(one) for one in table.columns)
    rows = [[in_font(str(cell)) for cell in row] for row in table.rows]
    numbers = [all_numbers(table, place) for place in range(len(headings))]
    how = setting(headings, rows, table.row_names)
    return {
        "kind": "table",
        "caption": _said(table.caption),
        "note": _said(table.note),
        "size": how.size,
        "on-its-side": how.on_its_side,
        "parts": [_part(part, how, number, headings, rows, numbers) for part in how.parts],
    }


def _part(part: Part, how: Setting, number, headings, rows, numbers):
    return {
        "said": f"Table {number}, further columns",
        "widths": part.widths,
        "numbers": [numbers[k] for k in part.columns],
        "headings": [_said(headings[k], LONGEST) for k in part.columns],
        "rows": [
            {"tall": is_tall(row, part, how.size), "cells": [_said(row[k], LONGEST) for k in part.columns]}
            for row in rows
        ],
    }


def _figure(figure: Figure, files):
    name = f"figures/{len(files)}.svg"
    svg = in_font(re.sub(r"&#(x[0-9a-fA-F]+|\d+);", _not_markup, figure.svg))
    svg = re.sub(r'font-family="[^"]*"', f'font-family="{FAMILY}"', svg)
    files[name] = svg.encode()
    given = re.search(r'<svg[^>]*?\swidth="([\d.]+)', svg)
    return {
        "kind": "figure",
        "caption": _said(figure.caption),
        "words": in_font(figure.words),
        "file": name,
        "width": 0.75 * float(given.group(1)) if given else 450.0,  # of a px [pt]
    }


def _not_markup(found):
    """Return the character of a numeric entity, but for those that would become markup."""
    return found.group() if unescape(found.group()) in "<>&\"'" else unescape(found.group())


def _attached(one: Attached, place: int, files):
    name = f"attached/{place}"
    files[name] = one.content
    return {
        "path": one.name,
        "file": name,
        "relationship": "source" if one.name.startswith("workbook/") else "data",
        "media-type": one.media_type,
        "description": in_font(one.description),
    }
