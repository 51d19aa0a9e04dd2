"""Cells that go on in the next line, as a spreadsheet saves a text of two lines (RFC 4180), put into one line."""

import csv
import re

MOST = 50  # lines of one row


def in_one_line(raw: bytes) -> bytes:
    """Return a file in which no quoted cell holds the end of a line: a space stands there; the file as it is where none does."""
    if b'"' not in raw:
        return raw
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        return raw  # which its reader tells
    lines, made, place = re.findall(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text), [], 0
    head = next((one for one in lines if one.strip() and not one.lstrip().startswith(("#", '"#'))), "")
    sign = next((one for one in ";\t" if one in head), ",")
    while place < len(lines):
        count = 1
        if '"' in lines[place] and not lines[place].lstrip().startswith("#") and not _closes(lines[place], sign):
            more = range(2, min(MOST, len(lines) - place) + 1)
            count = next((n for n in more if _closes("".join(lines[place : place + n]), sign)), 1)
        row = lines[place : place + count]
        made.append(" ".join([*[one.rstrip("\r\n") for one in row[:-1]], row[-1]]))
        place += count
    return "".join(made).encode()


def _closes(text, sign):
    """Say whether every quotation mark of a row closes."""
    try:
        return len(list(csv.reader([text], delimiter=sign, strict=True, skipinitialspace=True))) == 1
    except csv.Error:
        return False
