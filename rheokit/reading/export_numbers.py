"""Numbers as instruments and spreadsheets write them: which sign parts decimals and which thousands, where there is no doubt."""

import re
from typing import NamedTuple

from ..errors import DataError
from .faults import shown
from .tables import DECIMALS

THOUSANDS = {"point": ".", "comma": ",", "space": " ", "apostrophe": "'"}
"""Signs between thousands, by the words of `thousands` in a [[test]]."""
REAL, TROUBLE = "\x02", "\x03"
"""Before the text of a cell of a workbook: that it is a number and no text, or why it cannot be read."""
_SAME = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2007": " ", "\u2019": "'"})
_NUMBER = re.compile(
    r"([<>≤≥]?=?\s*[+-]?)((?:[0-9][0-9.,' ]*)?[0-9]|[0-9]+[.,]|[.,][0-9]+)([eE][+-]?[0-9]{1,3})?(\s*%)?"
)
_MARKS = re.compile(r"[.,' ]")
_OTHERS = re.compile(r"[,' ]")
_SHAPES = str.maketrans("123456789", "9" * 9)


class Signs(NamedTuple):
    """The decimal sign and the sign between thousands ("" for none) of a file."""

    decimal: str
    thousands: str


class Cell(NamedTuple):
    """A cell that looks like a number: its row, its column in words, and its text."""

    row: int
    column: str
    text: str

    @property
    def where(self):
        """Where it stands, in words."""
        return f"row {self.row}, {self.column}"


def looks_like_number(cell):
    """Say whether a cell is meant as a number, whatever its signs."""
    return cell[:1] == REAL or bool(_NUMBER.fullmatch(_usual(cell)))


def _usual(cell):
    """Return a cell with one kind of space and of apostrophe."""
    return cell if cell.isascii() else cell.translate(_SAME).strip()


def as_plain(cell, signs):
    """Return a number of a file as the same number with a decimal point and no thousands; `DataError` where it is none."""
    if cell[:1] == REAL:
        return cell[1:]
    if signs.decimal == "." and cell.isascii() and not _OTHERS.search(cell) and signs.thousands != ".":
        return cell
    before, body, power, percent = _NUMBER.fullmatch(_usual(cell)).groups()
    whole, point, rest = body.partition(signs.decimal)
    if signs.thousands and signs.thousands in whole:
        if not _grouped(whole, signs.thousands):
            raise DataError(f"{shown(cell)} is no number with {_called(signs.thousands)} between thousands; correct it")
        whole = whole.replace(signs.thousands, "")
    if _MARKS.search(whole + rest):
        raise DataError(f"{shown(cell)} is no number in a file with {_decimal_called(signs.decimal)}; correct it")
    return f"{before}{whole}{point and '.'}{rest}{power or ''}{percent or ''}"


def signs_of(cells, parted_by, decimal=None, thousands=None, beside=()):
    """Return the `Signs` of a file from its cells, of which each is a `Cell` that looks like a number.

    `decimal` and `thousands` are what its [[test]] states, in words. `DataError` where two cells speak against each other, or a cell
    can be read two ways and no other one decides. A comma before three digits parts thousands where others have decimal points and
    no number of the file has four digits in a row before them; likewise with the signs exchanged. Cells `beside`, of columns that are
    not read, decide where these alone leave it open, and only that a sign parts decimals: a day and month look like decimals too.
    """
    stated = DECIMALS.get(decimal), THOUSANDS.get(thousands)
    if None not in stated:
        return Signs(*stated)
    decimals, groups, doubtful, long = _evidence(cells)
    if stated[0]:
        decimals = {stated[0]: None}
    elif stated[1] in DECIMALS.values():
        decimals = {_other(stated[1]): None}
    elif len(doubtful) == 1 and not decimals and not groups:
        mark, others = next(iter(doubtful)), _evidence(beside)[0]
        decimals = {mark: others[mark]} if set(others) == {mark} else {}
    if len(decimals) > 1:
        comma, point = decimals[","], decimals["."]
        told = f"{comma.where}: {shown(comma.text)} has a decimal comma but {point.where} has {shown(point.text)} with a decimal point"
        raise DataError(f"{told}; use one decimal sign in a file")
    points, spaces = ({mark: one for mark, one in groups.items() if (mark in ".,") == kind} for kind in (True, False))
    if both := sorted(points.keys() & decimals.keys()):
        part, one = points[both[0]], decimals[both[0]]
        said = (
            f"{one.where}: {shown(one.text)} has one before decimals"
            if one
            else "its [[test]] states it as the decimal sign"
        )
        told = f"{part.where}: {shown(part.text)} has {_called(both[0])} between thousands"
        raise DataError(f"{told} but {said}; correct one of them")
    if len(points) > 1 or (points and spaces):
        one, other = list(groups.values())[:2]
        told = f"{one.where}: {shown(one.text)} and {other.where}: {shown(other.text)} part thousands in two ways"
        raise DataError(f"{told}; export the file again without signs between thousands")
    sign = next(iter(decimals), _other(next(iter(points))) if points else None)
    group = stated[1] or next(iter(groups), "")
    for mark, cell in doubtful.items():
        if mark in (sign, group):
            continue
        if sign is None and mark == "." and parted_by != ";":  # as in a plain table
            sign = "."
        elif stated[0] or (sign and not long):
            group = mark
        elif sign:
            told = f"{cell.where}: {shown(cell.text)} has another sign than the decimals of this file, but {long.where} has"
            remedy = f'write decimal = "{_word(sign)}" in its [[test]] if it parts thousands, else correct it'
            raise DataError(f"{told} {shown(long.text)} without one between thousands; {remedy}")
        else:
            told = f"{cell.where}: {shown(cell.text)} can be a decimal or a thousand"
            remedy = f'decimal = "{_word(mark)}" or thousands = "{_word(mark)}"'
            raise DataError(f"{told}; write {remedy} in its [[test]]")
    return Signs(sign or ".", group)


def _evidence(cells):
    """Return by sign the first cell in which it parts decimals, in which it parts thousands, in which it may do either.

    And the first cell of four digits or more before the decimals, with no sign between thousands.
    """
    decimals, groups, doubtful, long, seen = {}, {}, {}, None, set()
    for cell in cells:
        if (
            cell.text[:1] == REAL or (shape := cell.text.translate(_SHAPES)) in seen
        ):  # numbers of one shape say the same
            continue
        seen.add(shape)
        _, body, _, _ = _NUMBER.fullmatch(_usual(cell.text)).groups()
        marks = _MARKS.findall(body)
        long = long or (cell if re.match("[0-9]{4}", body) else None)
        kinds = list(dict.fromkeys(marks))
        for mark in kinds:
            if mark in "' ":
                groups.setdefault(mark, cell)
        of_both = [mark for mark in kinds if mark in ".,"]
        if not of_both:
            continue
        last = of_both[-1]
        if len(of_both) == 2:
            groups.setdefault(of_both[0], cell)
            decimals.setdefault(last, cell)
        elif marks.count(last) > 1:
            groups.setdefault(last, cell)
        elif (
            any(mark in "' " for mark in kinds)
            or not re.fullmatch(r"[1-9][0-9]{0,2}[.,][0-9]{3}", body)
            or re.search("[eE]", cell.text)
        ):
            decimals.setdefault(last, cell)
        else:
            doubtful.setdefault(last, cell)
    return decimals, groups, doubtful, long


def _grouped(whole, mark):
    return bool(re.fullmatch(rf"[0-9]{{1,3}}(?:{re.escape(mark)}[0-9]{{3}})+", whole))


def _other(mark):
    return "," if mark == "." else "."


def _word(mark):
    return next(word for word, sign in THOUSANDS.items() if sign == mark)


def _called(mark):
    return {".": "points", ",": "commas", " ": "spaces", "'": "apostrophes"}[mark]


def _decimal_called(mark):
    return "decimal commas" if mark == "," else "decimal points"
