"""Readings as they are typed into the page, to a bench: the same reader as for a folder, whose faults then name fields and rows."""

import re
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal
from functools import cache

from ...bench import KINDS, Bench
from ...errors import DataError, ReadingError
from ...nomenclature import SI_UNIT
from ...reading.columns import words_of
from ...reading.faults import encoded
from ...reading.files import Memory
from ...reading.folder import read_files
from ...reading.forms import form_of
from ...reading.misread import THOUSANDS
from ...reading.toml import as_toml
from ...reading.typing_out import file_stem
from ...units import unit_scale
from .words import READ

WITH_UNIT = re.compile(r"([<>≤≥]?=?\s*)([+-]?[0-9]*[.,]?[0-9]+)\s*((?:(?<=\s)1\s*/\s*)?[^0-9.,\s<>±+-][^±]*)")
"""A cell with a number and its unit, and with the sign of a bound."""


def typed_files(kind, heads, rows, stated):
    """Return the files of a folder that holds one typed test, bytes by name.

    Headings have their unit, "shear rate [1/s]". Cells and what else is `stated` of the test, by name, are texts as typed: a row
    without any stays an empty line, so that rows of page and file are the same, and what is empty is not stated.
    """
    rows = [[cell.strip() for cell in row] for row in rows]
    while rows and not any(rows[-1]):
        rows.pop()
    if not rows:
        raise DataError("The table is empty: type the readings, one row a reading.")
    for place, row in enumerate([heads, *rows], 1):
        for cell in row:
            if ";" in cell or "\n" in cell:
                told = f"Table, row {place}: {cell!r}: a cell holds one number or one heading, without semicolon."
                raise DataError(told)
    _refuse_two_ways(rows)
    rows, decimal = _one_sign(_in_units_of(heads, rows))
    words = {"label", "apparatus", *form_of(KINDS[kind]).choices}
    given = {key: value.strip() for key, value in stated.items() if value.strip()}
    stated = {key: value if key in words else _pointed(value) for key, value in given.items()}
    if ";" in stated.get("uncertainty", ""):
        stated["uncertainty"] = list(filter(None, map(str.strip, stated["uncertainty"].split(";"))))
    density = stated.pop("density", None)  # it serves a test that has none of its own too, so it is the specimen's
    lines = ["[specimen]", f"density = {as_toml(density)}"] if density else []
    if name := stated.get("apparatus"):  # which only says what tests share: its dimensions stand in the fields
        lines.append(f"[apparatus.{as_toml(name)}]")
    file = table_name(kind, stated)
    stated = {"kind": kind, "file": file, "separator": "semicolon", "decimal": decimal} | stated
    lines += ["[[test]]", *(f"{key} = {as_toml(value)}" for key, value in stated.items())]
    table = "\n".join("; ".join(row) if any(row) else "" for row in [heads, *rows]) + "\n"
    return {"bench.toml": encoded("\n".join(lines) + "\n"), file: encoded(table)}


def table_name(kind, stated):
    """Return the name of the file that holds the readings of a typed test."""
    return f"{file_stem(kind, stated.get('label', '').strip())}.csv"


def _in_units_of(heads, rows):
    """Return rows of cells, those with a unit of their own as the number in the unit of their heading."""
    units = [(re.search(r"\[([^\]]*)\]", head) or ["", ""])[1].strip() for head in heads]
    return [
        [_in_unit(cell, unit, f"Table, row {place}: ") for cell, unit in zip(row, units, strict=True)]
        for place, row in enumerate(rows, 2)
    ]


def _in_unit(cell, unit, where):
    """Return a cell as the number in a unit; one that is no number with a known unit stays, for the reader to judge."""
    found = WITH_UNIT.fullmatch(cell)
    si_unit = found and _si_unit_of(unit)
    if not si_unit:
        return cell
    sign, number, own = found.groups()
    if own == unit:
        return f"{sign}{number}"
    try:
        value = unit_scale(own, si_unit).to_si(Decimal(number.replace(",", ".")))
    except DataError as error:
        raise DataError(f"{where}{cell!r}: {error}; its column is in {unit}.") from None
    return f"{sign}{unit_scale(unit, si_unit).to_text(value)}"


@cache
def _si_unit_of(unit):
    """Return the unit of SI of what a unit measures, "" where it is none."""
    for si_unit in dict.fromkeys(SI_UNIT.values()):
        with suppress(DataError):
            unit_scale(unit, si_unit)
            return si_unit
    return ""


def _refuse_two_ways(rows):
    """Raise a `DataError` where every comma of a table can part thousands as well as decimals."""
    commas = [
        (place, cell, number)
        for place, row in enumerate(rows, 2)
        for cell in row
        if "," in (number := (WITH_UNIT.fullmatch(cell) or ["", "", cell])[2])
    ]
    if any("." in number or not THOUSANDS.fullmatch(number) for _, _, number in commas):
        return
    for place, cell, number in commas:
        if number.count(",") == 1:
            either = " or ".join(cell.replace(",", sign) for sign in (".", ""))
            raise DataError(f"Table, row {place}: {cell!r} can be {either}; write {either}.")


def _one_sign(rows):
    """Return rows of cells and their decimal sign: as typed, or with points alone where both signs were typed."""
    cells = [cell for row in rows for cell in row]
    if not any("," in cell for cell in cells):
        return rows, "point"
    if not any("." in cell for cell in cells):
        return rows, "comma"
    return [[_pointed(cell) for cell in row] for row in rows], "point"


def _pointed(text):
    """Return a text with its decimal commas as points; one that can part thousands is left for the reader to refuse."""
    doubtful = "." in text or any(
        one.count(",") > 1 or THOUSANDS.fullmatch(one) for one in re.findall("[0-9,]*,[0-9]*", text)
    )
    return text if doubtful else re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)


def typed_bench(kind, heads, rows, stated, lent=None):
    """Return the bench of one typed test (see `typed_files`); faults name fields and rows of the page.

    Rows are counted as in a file and a spreadsheet: the headings are row 1. `lent` are texts of what another test measures: the
    readings are taken with them, but the test does not state them, so a folder that holds both asks the other test again.
    """
    table = table_name(kind, stated)

    def named(found):
        return words_of(found[0]) if found[0] in stated else found[0]

    def of_page(fault):
        fault = re.sub(rf"^(?:{re.escape(table)}, )?bench\.toml, \[\[test\]\] 1(?:: |, )?", "Fields: ", fault)
        fault = fault.replace("bench.toml, [specimen]", "Fields")
        fault = re.sub(r'write read = "(\w+)"', lambda found: f"choose the {words_of(found[1])} as {READ!r}", fault)
        fault = re.sub(r'write \w+ = "([^"]*)"', r"type it, such as \1", fault)
        fault = re.sub(
            r"(?<![\w'\"])[a-z]+(?:_[a-z]+)+(?![\w'\"])", named, fault
        )  # but for what is quoted as it was typed
        fault = fault.replace(" in its apparatus", "").replace(" in [specimen]", "")
        fault = re.sub(rf"^{re.escape(table)}, row 1\b", "Table, headings", fault)
        return re.sub(rf"^{re.escape(table)}, row", "Table, row", fault)

    try:
        bench = read_files(Memory(typed_files(kind, heads, rows, stated | (lent or {}))))
        return _unstated(bench, typed_files(kind, heads, rows, stated)) if lent else bench
    except ReadingError as error:
        told_twice = "bench.toml, [apparatus]: "  # of a name that is a field
        raise ReadingError([of_page(fault) for fault in error.faults if not fault.startswith(told_twice)]) from None


def _unstated(bench, files):
    """Return a bench as if it had been read from files that state less."""
    origin = replace(bench.origin, files=files)
    tests = [replace(test, origin=replace(test.origin, bench=origin)) for test in bench.tests]
    return Bench(bench.specimen, tests, origin)


def pasted_rows(text):
    """Return the cells of rows pasted from a spreadsheet: parted by tabs, or where there are none by semicolons, or blanks."""
    rows = []
    for line in filter(str.strip, text.splitlines()):
        sign = next((sign for sign in "\t;" if sign in line), None)
        rows.append([cell.strip() for cell in line.split(sign)])
    return rows
