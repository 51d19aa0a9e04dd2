"""Where the header rows of an instrument's export stand, found by the names that bench.toml gives, and the unit of each column."""

from itertools import combinations
from typing import NamedTuple

from ..errors import DataError
from ..nomenclature import measure
from ..things import nearest
from ..units import unit_scale
from .export_numbers import looks_like_number
from .export_units import (
    fits,
    folded,
    measure_of,
    places_of,
    plain_unit,
    same_unit,
    senses_of,
    splits,
    strange_unit,
    unit_in,
)
from .faults import listed, shown
from .headers import is_pressure, words_of

BELOW = 3  # rows below a header row among which that of the units is looked for
MOST_BLOCKS = 1000  # most header rows of a file
MISSING = {"", "-", "--", "---", "----", "—", "–", "n/a", "na", "nan", "#n/a", "inf", "-inf", "null", "none"}
"""What stands in a cell where nothing was read, without capitals."""


class Head(NamedTuple):
    """A header row: its place among the `Lines`, its cells, and the place of each named column in it."""

    at: int
    cells: tuple
    places: dict


class Units(NamedTuple):
    """The unit of each named column, the place of the row that gives them (None where headers do), what the file says, and notes."""

    texts: dict
    at: int | None
    said: dict
    notes: tuple


def names_of(form, entry, where, faults):
    """Return what `columns` of a [[test]] names, by quantity; None where that is faulty, which goes to the faults."""
    given, known, before = entry["columns"], form.header_names(), len(faults)
    such = 'columns = {shear_rate = "Shear Rate", shear_stress = "Shear Stress"}'
    if not isinstance(given, dict) or not given:
        faults.add(where, f"columns = {shown(given)} must name the header of each column, such as {such}")
        return None
    found = {}
    for key, header in given.items():
        name = folded_name(key)
        quantity = quantity_name(name)
        if quantity not in known:
            hint = nearest(quantity, known)
            faults.add(
                where, f"columns: {shown(key)} is not a column of a {form.kind.kind}{hint}; it reads {listed(known)}"
            )
        elif is_pressure(name) and name == quantity:
            faults.add(where, f"columns: {name} does not say from which zero: write gauge_{name} or absolute_{name}")
        elif not isinstance(header, str) or not header.strip():
            faults.add(where, f"columns: {name} = {shown(header)} must be the words of its header in quotes")
        elif quantity in map(quantity_name, found):
            faults.add(where, f"columns: {words_of(quantity)} is named twice; keep one")
        else:
            found[name] = header.strip()
    return found if len(faults) == before else None


def _keys(names):
    """Return names as `columns` takes them."""
    return [one for name in names for one in ((f"gauge_{name}", f"absolute_{name}") if is_pressure(name) else (name,))]


def folded_name(key):
    """Return the name of a quantity that a key of `columns` gives in words."""
    return "_".join(str(key).lower().replace("-", " ").replace("_", " ").split())


def quantity_name(name):
    """Return the name of a quantity without gauge or absolute before a pressure."""
    bare = name.removeprefix("gauge_").removeprefix("absolute_")
    return bare if is_pressure(bare) else name


def heads_in(lines, names):
    """Return the sign that parts the cells of an export and its `Head` rows; `DataError` where none holds all names."""
    wanted = [senses_of(header) for header in names.values()]
    possible = [at for at, text in enumerate(lines.texts) if all(_holds(text, senses) for senses in wanted)]
    best = []
    for sign in lines.signs:
        found = [head for at in possible if (head := _head(lines, at, sign, names))]
        if found and (not best or len(found[0].cells) > len(best[0].cells)):
            best, parted_by = found, sign
    if len(best) > MOST_BLOCKS:
        raise DataError(
            f"holds {len(best)} rows of headers; {MOST_BLOCKS} at most: take the curves that are meant into a file of their own"
        )
    if best:
        _refuse_two_of_one(lines, best[0], names)
        return parted_by, best
    raise DataError(_nowhere(lines, names))


def _holds(text, senses):
    line = folded(text) if len(text) < 5000 else text.casefold().replace(" ", "")
    return any(sense in line for sense in senses)


def _head(lines, at, sign, names):
    """Return the `Head` at a place if all names stand in it once each; `DataError` where one stands twice."""
    cells, places = lines.cells(at, sign), {}
    texts = ["" if looks_like_number(cell) else cell for cell in cells]
    if sum(map(bool, texts)) < len(names):
        return None
    for name, header in names.items():
        found = places_of(header, texts)
        if not found:
            return None
        if len(found) > 1:
            which = " and ".join(f"column {k + 1} ({shown(cells[k])})" for k in found[:3])
            different = len({cells[k] for k in found}) > 1
            told = f"row {lines.numbers[at]}: {name} = {shown(header)} in columns is {which}"
            remedy = (
                "name the one that is meant as it stands, with its unit"
                if different
                else "give one of them another header"
            )
            raise DataError(f"{told}; {remedy}")
        places[name] = found[0]
    return Head(at, cells, places)


def _refuse_two_of_one(lines, head, names):
    for name, place in head.places.items():
        if other := next((n for n, p in head.places.items() if p == place and n != name), ""):
            told = f"row {lines.numbers[head.at]}, column {place + 1} ({shown(head.cells[place])}) is named by both {name} and {other}"
            raise DataError(f"{told} in columns; name another column for one of them")


def _nowhere(lines, names):
    """Return what to say where no row holds all names: the row that holds the most of them, and what it holds instead."""
    best = (0, None, (), ())
    wanted = {name: senses_of(header) for name, header in names.items()}
    for at, text in enumerate(lines.texts):
        if sum(_holds(text, senses) for senses in wanted.values()) <= best[0]:
            continue
        for sign in lines.signs:
            cells = lines.cells(at, sign)
            held = [name for name, header in names.items() if places_of(header, cells)]
            if len(held) > best[0]:
                best = (len(held), at, cells, held)
    count, at, cells, held = best
    if not count:
        told = (
            f"no row of {len(lines.texts)} holds the header {' or '.join(shown(header) for header in names.values())}"
        )
        encoded = f" (read as {lines.encoding})" if lines.encoding not in ("", "UTF-8") else ""
        return f"{told}{encoded}; write in columns the words of its headers as they stand in the file"
    missing = [names[name] for name in names if name not in held]
    if not missing:
        told = f"row {lines.numbers[at]} holds every header that columns names, but not each in a cell of its own"
        return f"{told}; name them as they stand in the file, each with its unit"
    near = nearest(missing[0], [cell for cell in cells if cell]) or _longer(missing[0], cells)
    told = f"row {lines.numbers[at]} holds {listed(shown(names[n]) for n in held)} but not {listed(map(shown, missing))}{near}"
    return f"{told}; its headers are {listed(shown(cell, 30) for cell in cells[:12] if cell)}"


def _longer(header, cells):
    """Return as a question the header that begins with the words that were asked for; "" where none or several do."""
    found = [cell for cell in cells if folded(cell).startswith(folded(header))]
    return f"; did you mean {shown(found[0])}?" if len(found) == 1 else ""


def units_below(lines, sign, head, stop, names, si_units):
    """Return the `Units` of the named columns of a header row; `DataError` where one is missing, strange, or of something else."""
    row = _unit_row(lines, sign, head, stop)
    found, said, notes = {}, {}, []
    cells = lines.cells(row, sign) if row is not None else ()
    _refuse_exchanged(head, cells, names, si_units)
    for name, place in head.places.items():
        si_unit, header = si_units[name], head.cells[place]
        own, ours = unit_in(header, si_unit), unit_in(names[name], si_unit)
        below = cells[place] if place < len(cells) else ""
        below = "" if below.lower() in MISSING else below
        at = f"row {lines.numbers[head.at]}, column {place + 1} ({shown(header)})"
        under = f"row {lines.numbers[row]}, column {place + 1}" if row is not None else ""
        if below and own and not same_unit(below, own, si_unit):
            raise DataError(f"{at} has its unit, but {under} says {shown(below)}; correct the one that is wrong")
        if ours and below and not same_unit(ours, below, si_unit):
            if fits(below, si_unit):
                told = f"columns says {shown(names[name])}, but {under} says {shown(below)} below {shown(header)}"
                raise DataError(f"{told}; correct the one that is wrong")
            notes.append(
                f"{shown(header)} was read in {plain_unit(ours)}, as columns says; {under} of the file says {shown(below)}"
            )
        unit = ours or own or below
        if not unit and si_unit == "-":
            unit = "-"
        such = f'{name} = "{_bare(names[name])} [{_typed(si_unit)}]"'
        if not unit and (strange := strange_unit(header, si_unit)):
            raise DataError(f"{at}: {_wrong(strange, si_unit)}; export it in a unit that is understood")
        if not unit:
            raise DataError(
                f"{at} has no unit, in its header or below; write it behind the words in columns, such as {such}"
            )
        if not fits(unit, si_unit):
            place_of_unit = f"{under} ({shown(unit)} below {shown(header)})" if unit == below else at
            told = f"{place_of_unit}: {_wrong(unit, si_unit)}"
            shifted = (
                "; if the row of units stands beside its columns, write the unit"
                if unit == below
                else "; if the header is wrong, write it"
            )
            raise DataError(f"{told}{shifted} behind the words in columns, such as {such}")
        found[name], said[name] = plain_unit(unit), plain_unit(below or own or unit)
    return Units(found, row, said, tuple(notes))


def _refuse_exchanged(head, cells, names, si_units):
    """Refuse two names of which each has the column with the unit of the other."""

    def says(name, si_unit):
        place = head.places[name]
        said = unit_in(head.cells[place], si_unit) or (cells[place] if place < len(cells) else "")
        return said.lower() not in MISSING and fits(said, si_unit)

    for one, other in combinations(head.places, 2):
        a, b = si_units[one], si_units[other]
        if says(one, b) and says(other, a) and not says(one, a) and not says(other, b):
            headers = {name: shown(head.cells[head.places[name]]) for name in (one, other)}
            raise DataError(
                f"{headers[one]} and {headers[other]} are exchanged in columns: the first has the unit of a "
                f'{words_of(other)}, the second that of a {words_of(one)}; write {one} = "{_bare(names[other])}", {other} = "{_bare(names[one])}"'
            )


def _unit_row(lines, sign, head, stop):
    """Return the place of the row of units below a header row, None where there is none."""
    for at in range(head.at + 1, min(stop, head.at + 1 + BELOW)):
        cells = lines.cells(at, sign)
        named = [cells[place] for place in head.places.values() if place < len(cells)]
        if any(looks_like_number(cell) and cell not in ("1", "-") for cell in named):
            return None
        if any(cell.lower() not in MISSING and measure_of(cell) for cell in named):
            return at
    return None


def _bare(header):
    return splits(header)[0][0] if splits(header) else header


def _typed(si_unit):
    return measure(si_unit).typed[0]


def _wrong(unit, si_unit):
    try:
        unit_scale(plain_unit(unit), si_unit)
    except DataError as error:
        return str(error)
    return ""
