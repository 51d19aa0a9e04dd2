"""Records as the text of a folder: numbers with their units, entries of bench.toml, tables of readings."""

import csv
import io
from functools import partial

import numpy as np

from ..nozzles import Cylinder
from ..units import unit_scale
from .compare import same
from .forms import form_of
from .guards import NEVER_ABOVE, doubt, doubt_reading, doubt_spread
from .headers import is_pressure, words_of

CUSTOMARY = {
    "m": "mm",
    "m³": "mL",
    "m³/s": "mm3/s",
    "m/s": "mm/s",
    "kg": "g",
    "kg/m³": "kg/m3",
    "K": "°C",
    "rad": "deg",
    "N·m": "mN m",
}
"""Units of the bench for units of SI; others are written as they are."""
AS_SET = "as set in the record that was written"
"""The reason of a model error that a record held and no folder stated."""
MARKS = {-1: "<", 0: "", 1: ">"}


def scale_of(si_unit):
    """Return the `Scale` in which a quantity is written."""
    return unit_scale(CUSTOMARY.get(si_unit, si_unit), si_unit)


def with_unit(value, si_unit, spread=None, share=None):
    """Return an SI value as text with its unit and, where given, its standard uncertainty (SI, or as a share)."""
    scale = scale_of(si_unit)
    unit = "" if scale.text == "-" else f" {scale.text}"
    text = f"{scale.to_text(value)}{unit}"
    if share is not None:
        return f"{text} ± {unit_scale('%', '-').to_text(share)} %"
    if spread is not None:
        return f"{text} ± {scale._replace(offset=0 * scale.offset).to_text(spread)}{unit}"
    return text


def bare_number(value):
    """Return a number without unit as TOML writes it."""
    value = float(value)
    return int(value) if value.is_integer() and abs(value) < 1e15 else value


def dimension_texts(test):
    """Return every dimension of a record as it stands in bench.toml, by name; "none" for one it goes without."""
    form, found = form_of(type(test)), {}
    values = dict(form.kind.assembly.take_apart(test)) if form.kind.assembly else {}
    values |= {name: getattr(test, name) for name in form.dimensions if name not in values}
    spreads = {name: (getattr(test, s.field), s.share) for name, s in form.shares.items()}
    nozzle = values.pop("nozzle", None)
    for name, value in values.items():
        spread, share = spreads.get(name, (None, False))
        quantity = form.quantity(name)
        if value is None:
            found[name] = "none"
        else:
            found[name] = with_unit(value, quantity.unit, None if share else spread, spread if share else None)
    if nozzle is not None:
        found |= _nozzle_texts(nozzle, spreads["bore"][0])
    return found


def _nozzle_texts(nozzle, bore_share):
    segments = nozzle.segments
    if len(segments) == 1 and isinstance(segments[0], Cylinder):
        return {"bore": with_unit(nozzle.bore, "m", share=bore_share), "length": with_unit(segments[0].length, "m")}
    texts = []
    for segment in segments:
        last = segment is segments[-1]
        names = (
            ("diameter", "length") if isinstance(segment, Cylinder) else ("inlet_diameter", "outlet_diameter", "length")
        )
        tips = ("diameter", "outlet_diameter") if last else ()
        texts.append({n: with_unit(getattr(segment, n), "m", share=bore_share if n in tips else None) for n in names})
    return {"nozzle": texts}


def uncertainty_text(test):
    """Return the `uncertainty` of a [[test]]: a text, a list of two, or None where none is the same for all rows."""
    unit = form_of(type(test)).quantity(test.reads).unit
    texts = []
    if test.uncertainty is not None and np.ndim(test.uncertainty) == 0:
        scale = scale_of(unit)
        bare = scale._replace(offset=0 * scale.offset).to_text(test.uncertainty)
        texts.append(bare if scale.text == "-" else f"{bare} {scale.text}")
    if test.relative_uncertainty is not None and np.ndim(test.relative_uncertainty) == 0:
        texts.append(f"{unit_scale('%', '-').to_text(test.relative_uncertainty)} %")
    return (texts[0] if len(texts) == 1 else texts) if texts else None


def doubtful_number(name, value, spread):
    """Say whether the reader would doubt an SI value or its standard uncertainty."""
    return bool(doubt(name, value)) or _doubted(partial(doubt_spread, name), value, spread)


def _doubted(why, value, spread):
    """Say whether a spread is doubted, or so near to it that its last digit as written decides."""
    return any(why(value, spread * near) for near in (1 - 1e-9, 1 + 1e-9))


def unusual_names(test):
    """Return the names of values that the reader would doubt, so that they are written as meant."""
    form = form_of(type(test))
    values = dict(form.kind.assembly.take_apart(test)) if form.kind.assembly else {}
    values |= {name: getattr(test, name) for name in form.dimensions if name not in values}
    nozzle = values.pop("nozzle", None)
    pairs = [(name, value) for name, value in values.items() if value is not None]
    if nozzle is not None:
        pairs.append(("bore", nozzle.bore))
        pairs += [
            (n, getattr(s, n))
            for s in nozzle.segments
            for n in ("diameter", "inlet_diameter", "outlet_diameter", "length")
            if hasattr(s, n)
        ]
    for name in test.columns:
        column = getattr(test, name)
        pairs += [(name, np.min(column)), (name, np.max(column))]
    spreads = {name: (getattr(test, s.field), s.share) for name, s in form.shares.items()}
    found = set()
    for name, value in pairs:
        spread, share = spreads.get(name, (0.0, False))
        if doubtful_number(name, value, spread * value if share else spread):
            found.add(name)
    stated = ((test.readings, test.uncertainty), (1.0, test.relative_uncertainty))
    if any(
        np.ndim(size) == 0 and size is not None and _doubted(doubt_reading, readings, size) for readings, size in stated
    ):
        found.add("uncertainty")
    for name in ("relative_uncertainty", "uncertainty"):
        if (spread := getattr(test, name)) is not None and (doubt(name, np.min(spread)) or doubt(name, np.max(spread))):
            found.add(name)
    found |= {name for name in test.columns if form.columns[name].positive and np.any(getattr(test, name) < 0)}
    known = dict(pairs)
    found |= {
        small
        for small, large in NEVER_ABOVE.items()
        if small in known and large in known and known[small] > known[large]
    }
    return sorted(found)


def entry_of(test, file, batch, whole=True):
    """Return the [[test]] of a record as a dict of texts and numbers.

    Parameters
    ----------
    test : BenchTest
    file : str
        Name of its file of readings.
    batch : str
        Of the specimen; not repeated.
    whole : bool
        State everything. Without it what the reader takes by itself is left out: a model error, and what is as usual.
    """
    form = form_of(type(test))
    entry = {"kind": test.kind, "file": file}
    entry |= {name: getattr(test, name) for name in ("apparatus", "label") if getattr(test, name)}
    if test.batch != batch:
        entry["batch"] = test.batch
    usual = {name for name, choice in form.choices.items() if getattr(test, name) == choice.default and name != "read"}
    usual |= {
        name
        for name, item in form.dimensions.items()
        if not item.required and name not in {*form.shares, *form.kind.unstated} and _value(test, name) == item.default
    }
    stated = {name: getattr(test, name) for name in form.choices} | dimension_texts(test)
    entry |= {name: text for name, text in stated.items() if whole or name not in usual}
    if (uncertainty := uncertainty_text(test)) is not None:
        entry["uncertainty"] = uncertainty
    if test.error != "relative":
        entry["error"] = test.error
    if whole:
        entry["model_error"] = bare_number(test.model_error)
        entry["model_error_reason"] = AS_SET
    if unusual := unusual_names(test):
        entry["unusual"] = unusual
    return entry


def _value(test, name):
    assembly = form_of(type(test)).kind.assembly
    return assembly.take_apart(test)[name] if assembly and name in assembly.dimensions else getattr(test, name)


def plain_table(test):
    """Return the CSV text of a record: every column it holds, in units of the bench, bounds as ``<`` and ``>``."""
    form, titles, columns = form_of(type(test)), [], []
    for name in [
        *(n for n in form.columns if form.columns[n].required),
        *(n for n in test.columns if not form.columns[n].required),
    ]:
        scale = scale_of(form.quantity(name).unit)
        titles.append(f"{'gauge ' if is_pressure(name) else ''}{words_of(name)} [{scale.text}]")
        marks = test.censored if name == test.reads else np.zeros(len(test.censored), int)
        columns.append([MARKS[int(m)] + scale.to_text(v) for m, v in zip(marks, getattr(test, name), strict=True)])
    for name, unit in (("uncertainty", form.quantity(test.reads).unit), ("relative_uncertainty", "%")):
        if np.ndim(getattr(test, name)):
            scale = unit_scale("%", "-") if unit == "%" else scale_of(unit)
            scale = scale._replace(offset=0 * scale.offset)
            titles.append(f"{words_of(name)} [{scale.text}]")
            columns.append([scale.to_text(v) for v in getattr(test, name)])
    return "\n".join(", ".join(row) for row in [titles, *zip(*columns, strict=True)]) + "\n"


def typed_table(test):
    """Return the text of the file of a record that was read, with the rows taken out that it no longer holds.

    Cells whose value changed are typed anew in their unit; everything else, comments too, stays as it was typed. None
    where the file can not say what the record holds.
    """
    origin = test.origin
    typed, table = origin.typed, origin.typed.table
    rows, kept = {}, {int(row) for row in origin.rows}
    for k, row in enumerate(int(r) for r in origin.rows):
        cells = list(table.rows[row].cells)
        for name, column in typed.columns.items():
            target = name if name in origin.record.columns else None
            if target is None:
                continue
            value, before = getattr(test, name)[k], getattr(origin.record, name)[row]
            side, was = (int(test.censored[k]), int(origin.record.censored[row])) if name == test.reads else (0, 0)
            if value != before or side != was:
                text = MARKS[side] + column.scale.to_text(value)
                cells[column.place] = text.replace(".", table.decimal)
        if tuple(cells) != table.rows[row].cells:
            rows[table.rows[row].number] = cells
    taken_out = {row.number for k, row in enumerate(table.rows) if k not in kept}
    if not table.lines:
        return _sheet_as_csv(table, rows, taken_out)
    lines = []
    for number, line in enumerate(table.lines, 1):
        if number in taken_out:
            continue
        end = line[len(line.rstrip("\r\n")) :]
        lines.append(_row(rows[number], table.separator) + end if number in rows else line)
    return "".join(lines)


def _sheet_as_csv(table, rows, taken_out):
    kept = [row for row in table.rows if row.number not in taken_out]
    body = [_row(rows.get(row.number, row.cells), ",") for row in kept]
    return "\n".join([_row(table.header, ","), *body]) + "\n"


def _row(cells, separator):
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator="").writerow(cells)
    return (
        text.getvalue()
        if separator != ","
        else text.getvalue().replace(",", ", ")
        if '"' not in text.getvalue()
        else text.getvalue()
    )


def same_columns(test):
    """Say whether a record holds all the rows that its file gave, and every column and uncertainty by row as it gave it."""
    record = test.origin.record
    if not np.array_equal(test.origin.rows, np.arange(len(record.readings))) or test.columns != record.columns:
        return False
    pairs = [
        (getattr(test, n), getattr(record, n))
        for n in (*record.columns, "censored", "uncertainty", "relative_uncertainty")
    ]
    return all(same(now, before) for now, before in pairs if np.ndim(now) or np.ndim(before))
