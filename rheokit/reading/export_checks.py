"""What is wrong with the rows of an instrument's export that are asked for, each with its place and what to do."""

from .choosing import Every, ranges
from .export_numbers import REAL, TROUBLE, looks_like_number
from .export_rows import DOUBT, HOLE, LABELLED, READING, UNITS, kind_of, label_of, named_cells
from .export_units import same_unit
from .faults import shown
from .misread import has_typographic_minus
from .tables import SEPARATORS, WITHIN


def check_rows(lines, block, sign, si_units, wanted, others, file, faults):
    """Tell the faults of the rows of a block that are asked for.

    These are holes, cells that cannot be read, rows that may be none of the readings or be in other units, other widths, and other signs
    between cells. `others` are the numbers of the rows with readings of the other blocks.
    """
    head = block.head
    width, doubt, units = _width(block, sign), None, None
    own = [lines.numbers[at] for at, _ in block.readings()]
    first = next((cells for _, cells in block.readings()), ())
    choice = f'rows = "{ranges(sorted([*own, *others]))}" in its [[test]]'
    for at, cells, kind in block.rows:
        number = lines.numbers[at]
        if kind is DOUBT and number in wanted:
            doubt = number
        if kind is UNITS:
            units = units or _other_unit(lines, block, si_units, at, cells)
        if number not in wanted or kind not in (READING, HOLE, LABELLED):
            continue
        where = f"{file}, row {number}"
        if kind is HOLE and (name := parted_otherwise(lines, head, sign, at)):
            told = f"{shown(lines.texts[at])} holds numbers parted by {name}s, but the headers in row {lines.numbers[head.at]} are not"
            faults.add(where, f"{told}; use one sign in a file, or choose other rows with rows = in its [[test]]")
        elif kind is HOLE:
            name, words = _hole(head, cells)
            faults.add(f"{where}, {in_column(head, name)}", f"{words}; mend it, or choose rows without it: {choice}")
        elif units:
            faults.add(where, f"{units}; choose the rows above it, {_above(own, number)}, or repeat the headers there")
            return
        elif doubt:
            told = f"row {doubt} looks like another header than that of row {lines.numbers[head.at]}, so this row cannot be read by it"
            remedy = f"choose the rows of one of them, such as {_above(own, doubt)}"
            faults.add(where, f"{told}; {remedy}; if it is a remark among the readings, write {choice}")
            return
        elif kind is LABELLED and isinstance(wanted, Every):
            told = f"{shown(label_of(head, cells, first))} stands before its numbers, so it may be no reading"
            faults.add(where, f"{told}; choose the rows that are: {choice}")
        else:
            _check_cells(head, cells, width, sign, where, faults)


def parted_otherwise(lines, head, sign, at):
    """Return in words the sign that would make a row a reading, where it is not the one of its header; "" where none does."""
    for name, mark in SEPARATORS.items():
        if mark != sign and sign != WITHIN and mark in lines.texts[at]:
            cells = lines.cells(at, mark)
            if len(cells) >= len(head.cells) - 1 and kind_of(head, cells) is READING:
                return name
    return ""


def in_column(head, name):
    """Return where a named column stands, in words."""
    place = head.places[name]
    return f"column {place + 1} ({head.cells[place]})"


def _check_cells(head, cells, width, sign, where, faults):
    for name, cell in zip(head.places, named_cells(head, cells), strict=True):
        if cell[:1] == TROUBLE:
            faults.add(f"{where}, {in_column(head, name)}", cell[1:])
    if len(cells) > width and any(cells[width:]):
        told = f"{len(cells)} cells under {len(head.cells)} headers ({shown((' | ' if sign == WITHIN else sign).join(cells))})"
        comma = "; a decimal comma needs semicolons or tabs between the columns" if sign == "," else ""
        faults.add(where, f"{told}{comma}; mend the row, or choose others with rows = in its [[test]]")


def _hole(head, cells):
    """Return the name of the column in which a row has no number, and what stands there instead."""
    named = dict(zip(head.places, named_cells(head, cells), strict=True))
    is_number = {name: looks_like_number(cell) or cell[:1] == TROUBLE for name, cell in named.items()}
    hole = next(name for name, yes in is_number.items() if not yes)
    held = next((name for name, yes in is_number.items() if yes), "")
    if not held:
        minus = " (a dash stands there for the hyphen of a minus)" if has_typographic_minus(named[hole]) else ""
        return hole, f"{shown(named[hole])} is no plain number{minus}"
    header = shown(head.cells[head.places[held]])
    return hole, f"{shown(named[hole])} is no number, but {shown(named[held].lstrip(REAL))} stands under {header}"


def _other_unit(lines, block, si_units, at, cells):
    """Return in words that a row of units says another unit than stands above; "" where it says the same."""
    head, above = block.head, block.units.at
    for (name, place), cell in zip(head.places.items(), named_cells(head, cells), strict=True):
        said = block.units.said.get(name)
        if cell and said and not same_unit(cell, said, si_units[name]):
            row = lines.numbers[head.at if above is None else above]
            told = f"row {lines.numbers[at]} says {shown(cell)} under {shown(head.cells[place])}"
            return f"{told}, but row {row} says [{said}], so this row cannot be read by it"
    return ""


def _above(numbers, row):
    """Return as `rows` takes them the numbers of the readings above a row, in words where there are none."""
    above = [number for number in numbers if number < row]
    return f'rows = "{ranges(above)}" in its [[test]]' if above else "of which there are none"


def _width(block, sign):
    """Return how many cells a row may have: as many as its header, or as every reading of its block where none is parted by a comma."""
    widths = {len(cells) for _, cells in block.readings()}
    own = len(block.head.cells)
    return max(own, *widths) if len(widths) == 1 and sign != "," else own
