"""What an unknown file of readings seems to hold, and the [[test]] that would read it: proposed, for a person to confirm."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np

from ..bench import KINDS
from ..bench.base import BenchTest
from ..bench.runs import NOT_SET, runs_among
from ..errors import DataError
from ..nomenclature import between, measure
from ..things import nearest
from .choosing import Every, ranges
from .columns import read_columns
from .entries import column_read
from .export_heads import quantity_name
from .export_lines import WholeSheet, lines_of_text
from .export_table import found_table
from .export_units import fits, folded, splits, sure_unit
from .exports import export_table
from .faults import Faults, listed, shown
from .files import Disk
from .forms import form_of
from .header_words import likely
from .headers import is_pressure, words_of
from .proposed import Proposal, ProposedColumn, RunFound
from .tables import LARGEST_FILE, SEPARATORS
from .toml import as_toml
from .workbook import Workbook

ASKED = ("temperature",)  # optional columns that are proposed where one column alone has their unit
MOST = 6  # faults that are told one by one


def proposal(
    source: str | Path | bytes, kind: str | type[BenchTest] = "flow curve", sheet: str | None = None, file: str = ""
) -> Proposal:
    """Read any export of an instrument without a bench.toml, and propose the [[test]] that names its columns.

    Units decide first: 1/s is a shear rate, Pa a shear stress, °C a temperature. Where several columns have the unit, words of
    several languages are a hint; where these do not decide either, or no unit is found, the column is named as open. Nothing is
    written, and nothing read here counts until the [[test]] stands in bench.toml.

    Parameters
    ----------
    source : str, path or bytes
        The file, or what it holds.
    kind : str
        A key of ``rk.KINDS``, which says what columns are looked for.
    sheet : str, optional
        Sheet of a workbook that has several.
    file : str, optional
        Name of the file in the [[test]], where `source` is no path.

    Returns
    -------
    proposal : Proposal
        What could not be understood stands in its `problems`: a strange file raises nothing.

    Raises
    ------
    DataError
        If there is no such file, or no such kind.
    """
    name = kind if isinstance(kind, str) else kind.kind
    if name not in KINDS:
        raise DataError(
            f"there is no kind of test {shown(name)}{nearest(str(name), KINDS)}; the kinds are {listed(map(repr, KINDS))}."
        )
    if isinstance(source, bytes):
        raw, file = source, file or ("export.xlsx" if source.startswith(b"PK") else "export.txt")
    else:
        path = Path(source)
        raw, file = Disk(path.parent).plain(path.name, LARGEST_FILE), file or path.name
    try:
        return _proposed(raw, file, form_of(KINDS[name]), sheet)
    except DataError as error:
        return Proposal(file, name, problems=(f"{shown(file)} {error}",))


def words_for_export(raw, file, entry):
    """Return what to say of a file that was read as a plain table and is an instrument's export; "" where it is none."""
    kind, sheet = entry.get("kind"), entry.get("sheet")
    if not isinstance(kind, str) or kind not in KINDS or not isinstance(sheet, str | None):
        return ""
    found = proposal(raw, kind, sheet, file)
    own = [one for one in found.columns if one.quantity]
    known = {folded(words_of(name)) for name in form_of(KINDS[kind]).header_names()}
    plain = all(_is_plain(_words(one.header), one.quantity) for one in own) or all(
        folded(_words(one.header)) in known for one in found.columns
    )
    if not found.complete or (plain and not found.unit_row and found.begins):  # its own faults say better what to do
        return ""
    where = f"headers in row {found.header_row}" + (f", units in row {found.unit_row}" if found.unit_row else "")
    encoded = f"{found.encoding} text, " if found.encoding not in ("", "UTF-8") else ""
    (line,) = [line for line in found.toml.splitlines() if line.startswith("columns")]
    return (
        f"it is no plain table but an instrument's export ({encoded}{where}); say in its [[test]] which column is which, "
        f"if this is right: {line}"
    )


# --- what is proposed -----------------------------------------------------------------------------------------------


def _proposed(raw, file, form, sheet):
    is_book = raw.startswith(b"PK") or file.lower().endswith(".xlsx")
    lines = Workbook(raw).table(sheet, WholeSheet) if is_book else lines_of_text(raw)
    table = found_table(lines)
    if table is None:
        told = "no row of headers with rows of numbers below was found"
        return Proposal(file, form.kind.kind, lines.encoding, problems=(f"{told}; is this a file of readings?",))
    names, whys, problems = _assigned(form, table)
    doubts = _contradicted(form, table, names, lines)
    problems += doubts
    columns = tuple(
        ProposedColumn(k + 1, table.header(k), table.units[k], names.get(k, ""), whys.get(k, ""))
        for k in range(len(table.cells))
        if table.header(k) or table.units[k]
    )
    separator = next((word for word, sign in SEPARATORS.items() if sign == table.sign), "")
    taken = {quantity: table.header(k) for k, quantity in names.items()}
    missing = [one for one in form.required_columns() if not _given(form, one, names.values())]
    toml = _toml(form, file, sheet, taken, missing)
    known = Proposal(
        file, form.kind.kind, lines.encoding, separator, lines.numbers[table.at],
        None if table.unit_row is None else lines.numbers[table.unit_row], columns, problems=tuple(problems), toml=toml,
        begins=all(text.lstrip().startswith("#") for text in lines.texts[: table.at]),
    )  # fmt: skip
    if missing:
        return known
    found = _read(known, form, lines, taken)
    if doubts:
        toml = found.toml.replace("\ncolumns = ", "\n# columns = ")  # not to be pasted as it is
        return replace(found, complete=False, toml=toml)
    return found


def _contradicted(form, table, names, lines):
    """Return what is open where a row of units gives a column a quantity, and its words are those of another one."""
    if table.unit_row is None:
        return []
    row, found = lines.numbers[table.unit_row], []
    for k, key in names.items():
        name, header = quantity_name(key), table.header(k)
        others = [one for one in form.columns if one != name and likely(one, header) > 0]
        if others and likely(name, header) <= 0 and not sure_unit(header):
            told = (
                f"row {row} says [{table.units[k]}] below {shown(header)}, which is no unit of a {words_of(others[0])}"
            )
            remedy = "if the row of units stands beside its columns, write each unit behind the words in columns"
            found.append(f"{told}; {remedy}, such as {_such(form, others[0], header)}")
    return found


def _such(form, name, header):
    return f'{name} = "{header} [{measure(form.quantity(name).unit).typed[0]}]"'


def _assigned(form, table):
    """Return the quantity of columns by place, why, and what is open."""
    names, whys, problems = {}, {}, []
    for target in [*form.required_columns(), *(name for name in ASKED if name in form.columns)]:
        optional = not form.columns[target].required
        for name in (target, *(next(iter(way.inputs)) for way in form.ways.get(target, ()) if len(way.inputs) == 1)):
            si_unit = form.quantity(name).unit
            places = [k for k, unit in enumerate(table.units) if unit and k not in names and fits(unit, si_unit)]
            places = [k for k in places if table.is_read(k)]
            best = max((likely(name, table.header(k)) for k in places), default=0)
            chosen = [k for k in places if likely(name, table.header(k)) == best]
            says = "absolute" if chosen and "absolute" in table.header(chosen[0]).lower() else "gauge"
            key = f"{says}_{name}" if is_pressure(name) else name
            if len(chosen) == 1 and (best >= 0 or not optional):
                names[chosen[0]] = key
                whys[chosen[0]] = "by its words, of several in this unit" if len(places) > 1 else "by its unit"
                if is_pressure(name) and says not in table.header(chosen[0]).lower():
                    problems.append(
                        f"{shown(table.header(chosen[0]))}: gauge or absolute? write absolute_{name} if it is that"
                    )
                break
            if places and not optional:
                which = " or ".join(f"column {k + 1} ({shown(table.header(k))})" for k in chosen)
                problems.append(f"{name.replace('_', ' ')} is open: {which} have its unit; name the one that is meant")
                break
        else:
            if not optional:
                problems.append(_unitless(form, table, target, names))
    for k, unit in enumerate(table.units):
        if unit and k not in names and table.is_read(k) and fits(unit, "s"):
            whys[k] = "a time; name it as time only if it counts from when the row was set"
    return names, whys, problems


def _unitless(form, table, name, names):
    """Return what is open of a quantity whose unit no column has."""
    words, unit = words_of(name), measure(form.quantity(name).unit).typed[0]
    bare = [
        k for k, text in enumerate(table.units) if not text and k not in names and likely(name, table.header(k)) > 0
    ]
    if bare:
        header = table.header(bare[0])
        return f"{words} is open: {shown(header)} has no unit; if it is {unit}, write {_such(form, name, header)}"
    return f"{words} is open: no column has a unit of it, such as {unit}; is this file of another kind of test?"


def _given(form, target, names):
    bare = {*map(quantity_name, names)}
    return target in bare or any(set(way.inputs) <= bare for way in form.ways.get(target, ()))


def _is_plain(words, key):
    """Say whether words of a header are those of a plain table for a key of `columns`, or nearly so."""
    name = quantity_name(key)
    names = [words_of(one) for one in (name, f"gauge_{name}", f"absolute_{name}")]
    return folded(words) in map(folded, names) or bool(nearest(words, names))


def _words(header):
    return splits(header)[0][0] if splits(header) else header


def _toml(form, file, sheet, taken, missing):
    parts = [f"{name} = {_quoted(header)}" for name, header in taken.items()]
    open_ = [f'{name} = ""' for name in missing]
    lines = ["[[test]]", f"kind = {_quoted(form.kind.kind)}", f"file = {_quoted(file)}"]
    if sheet:
        lines.append(f"sheet = {_quoted(sheet)}")
    if missing:
        lines.append(f"# columns = {{{', '.join([*parts, *open_])}}}   # fill in and take the # away")
    else:
        lines.append(f"columns = {{{', '.join(parts)}}}")
    return "\n".join(lines) + "\n"


def _quoted(text):
    return as_toml(text.replace("\n", " "))


def _read(known, form, lines, taken):
    """Return a proposal with what its [[test]] reads; runs that hold what cannot be are left out."""
    reads = column_read(form, {})
    try:
        typed, told = _typed(known, form, lines, taken, {}, reads)
        if typed and told and "run" in typed.columns:
            faulty = {int(row) for place, _ in told for row in re.findall(r"row ([0-9]+)", place)}
            runs = typed.values["run"].astype(int)
            bad = set(runs[np.isin(typed.table.rows.numbers, list(faulty))].tolist())
            good = sorted(set(runs.tolist()) - bad)
            if good and bad:
                left_out = f"left out: run{'s' * (len(bad) > 1)} {listed(map(str, sorted(bad)))}, since {told[0][0]}: {told[0][1]}"
                known = replace(known, problems=(*known.problems, left_out), toml=f"{known.toml}runs = {good}\n")
                typed, told = _typed(known, form, lines, taken, {"runs": good}, reads)
    except DataError as error:
        return replace(known, problems=(*known.problems, f"{known.file}: {error}"))
    said = [f"{place}: {words}" for place, words in told]
    problems = (*known.problems, *said[:MOST], *([f"and {len(said) - MOST} more faults"] if len(said) > MOST else []))
    if typed is None or said:
        return replace(known, problems=problems)
    notes = [f"note: {n}" for n in typed.table.notes if not n.startswith(("columns passed over", "it was read as"))]
    count, runs = len(typed.table.rows), _runs(form, typed, reads)
    return replace(known, problems=(*problems, *notes), complete=True, count=count, runs=runs)


def _typed(known, form, lines, taken, entry, reads):
    """Return the `Typed` columns that an entry with these names gives, None where there is no table, and what is wrong."""
    faults = Faults()
    table = export_table(form, lines, taken, entry, reads, Every(), known.file, faults)
    typed = read_columns(form, table, known.file, reads, faults) if table else None
    for row in table.rows.numbers[typed.values[reads] == 0].tolist() if typed and reads in typed.values else ():
        faults.add(f"{known.file}, row {row}", f"{words_of(reads)} is 0, which has no relative error")
    return typed, faults.found


def _runs(form, typed, reads):
    columns = {name: values for name, values in typed.values.items() if name != reads}
    found = runs_among(columns, len(typed.table.rows))
    names = [name for name in columns if name not in NOT_SET and np.ptp(columns[name]) > 0]
    name, told = next(iter([*names, *columns, *typed.values])), []
    for number, way in found.ways.items():
        own, values = found.rows(number), typed.values[name]
        about = form.quantity(name)
        said = f"{name.replace('_', ' ')} {between(float(np.min(values[own])), float(np.max(values[own])), about)}"
        told.append(RunFound(number, way, ranges(sorted(typed.table.rows.numbers[own].tolist())), said))
    return tuple(told)
