"""Records as the text of a folder: numbers with their units, entries of bench.toml, tables of readings."""

import re
from dataclasses import fields
from functools import partial

import numpy as np

from ..flow.nozzles import Cylinder
from ..nomenclature import measure
from ..units import unit_scale
from .forms import form_of
from .guards import above, doubt, doubt_reading, doubt_spread

AS_SET = "as set in the record that was written"  # the reason of a model error that a record held and no folder stated
MARKS = {-1: "<", 0: "", 1: ">"}


def file_stem(kind, label=""):
    """Return how the file of a test is named, without its ending: after its label, or its kind."""
    return re.sub(r"[^a-z0-9]+", "-", (label or kind).lower()).strip("-")[:40].strip("-") or file_stem(kind)


def scale_of(si_unit):
    """Return the `Scale` in which a quantity stands in a file."""
    return unit_scale(measure(si_unit).typed[0], si_unit)


def with_unit(value, si_unit, spread=None, share=None):
    """Return an SI value as text with its unit and, where given, its standard uncertainty (SI, or as a share)."""
    scale = scale_of(si_unit)
    text = _in(scale, value)
    if share is not None:
        return f"{text} ± {_in(unit_scale('%', '-'), share)}"
    return text if spread is None else f"{text} ± {_in(scale.without_offset, spread)}"


def _in(scale, value):
    """Return an SI value in the unit of a scale."""
    return f"{scale.to_text(value)} {scale.text}".removesuffix(" -")


def bare_number(value):
    """Return a number without unit as TOML writes it."""
    value = float(value)
    return int(value) if value.is_integer() and abs(value) < 1e15 else value


def dimension_values(test):
    """Return the value of every dimension of a record by name, its nozzle among them; None for one it goes without."""
    form = form_of(type(test))
    values = dict(form.kind.assembly.take_apart(test)) if form.kind.assembly else {}
    return values | {name: getattr(test, name) for name in form.dimensions if name not in values}


def _spreads(test):
    """Return the uncertainty that a record holds of a dimension, and whether as a share, by name."""
    return {name: (getattr(test, f"{name}_uncertainty"), s.share) for name, s in form_of(type(test)).shares.items()}


def dimension_texts(test):
    """Return every dimension of a record as it stands in bench.toml, by name; "none" for one it goes without."""
    form, values, spreads = form_of(type(test)), dimension_values(test), _spreads(test)
    nozzle, found = values.pop("nozzle", None), dict.fromkeys(values, "none")
    for name, value in values.items():
        spread, share = spreads.get(name, (None, False))
        if value is not None:
            said = {"share" if share else "spread": spread}
            found[name] = with_unit(value, form.quantity(name).unit, **said)
    return found if nozzle is None else found | _nozzle_texts(nozzle, spreads["bore"][0])


def _nozzle_texts(nozzle, bore_share):
    segments = nozzle.segments
    if len(segments) == 1 and isinstance(segments[0], Cylinder):
        return {"bore": with_unit(nozzle.bore, "m", share=bore_share), "length": with_unit(segments[0].length, "m")}
    texts = [{f.name: with_unit(getattr(one, f.name), "m") for f in fields(one)} for one in segments]
    tip = "diameter" if "diameter" in texts[-1] else "outlet_diameter"
    texts[-1][tip] = with_unit(nozzle.bore, "m", share=bore_share)
    return {"nozzle": texts}


def uncertainty_texts(test):
    """Return what the `uncertainty` of a [[test]] states, by the name of the field: what is the same for all rows."""
    unit = form_of(type(test)).quantity(test.reads).unit
    scales = {"uncertainty": scale_of(unit).without_offset, "relative_uncertainty": unit_scale("%", "-")}
    sizes = {name: getattr(test, name) for name in scales}
    return {n: _in(scales[n], size) for n, size in sizes.items() if size is not None and np.ndim(size) == 0}


def one_or_all(texts):
    """Return texts as a key of bench.toml holds them: one alone, or a list."""
    return texts[0] if len(texts) == 1 else list(texts)


def doubtful_number(name, value, spread, about=None):
    """Say whether the reader would doubt an SI value or its standard uncertainty; `about` is its own `Quantity`, if it has one."""
    return bool(doubt(name, value, about)) or _doubted(partial(doubt_spread, name), value, spread)


def _doubted(why, value, spread):
    """Say whether a spread is doubted, or so near to it that its last digit as written decides."""
    return any(why(value, spread * near) for near in (1 - 1e-9, 1 + 1e-9))


def unusual_names(test):
    """Return the names of values that the reader would doubt, so that they are written as meant."""
    form, values = form_of(type(test)), dimension_values(test)
    nozzle = values.pop("nozzle", None)
    pairs = [(name, value) for name, value in values.items() if value is not None]
    if nozzle is not None:
        pairs.append(("bore", nozzle.bore))
        names = ("diameter", "inlet_diameter", "outlet_diameter", "length")
        pairs += [(name, getattr(one, name)) for one in nozzle.segments for name in names if hasattr(one, name)]
    for name in (*test.columns, "relative_uncertainty"):
        if (column := getattr(test, name)) is not None:
            pairs += [(name, np.min(column)), (name, np.max(column))]
    spreads, found = _spreads(test), set()
    for name, value in pairs:
        spread, share = spreads.get(name, (0.0, False))
        about = form.columns[name].quantity if name in form.columns else None
        if doubtful_number(name, value, spread * value if share else spread, about):
            found.add(name)
    for readings, size in ((test.readings, test.uncertainty), (1.0, test.relative_uncertainty)):
        if size is not None and np.ndim(size) == 0 and _doubted(doubt_reading, readings, size):
            found.add("uncertainty")
    found |= {name for name in test.columns if form.columns[name].positive and np.any(getattr(test, name) < 0)}
    return sorted(found.union(above(dict(pairs))))


def dimensions_with_spreads(test):
    """Return value and standard uncertainty of each dimension of a record, by name."""
    spreads = {"nozzle" if name == "bore" else name: spread for name, (spread, _) in _spreads(test).items()}
    return {name: (value, spreads.get(name)) for name, value in dimension_values(test).items()}


def entry_of(test, file, batch, whole=True):
    """Return the [[test]] of a record as texts and numbers, with the name of its file; the batch of the specimen is not repeated.

    Without `whole`, what the reader takes by itself is left out: a model error, and what is as usual.
    """
    form = form_of(type(test))
    entry = {"kind": test.kind, "file": file}
    entry |= {name: getattr(test, name) for name in ("apparatus", "label") if getattr(test, name)}
    if test.batch != batch:
        entry["batch"] = test.batch
    usual = {name for name, choice in form.choices.items() if getattr(test, name) == choice.default and name != "read"}
    values, said = dimension_values(test), {*form.shares, *form.kind.unstated}
    optional = {name: item for name, item in form.dimensions.items() if not item.required and name not in said}
    usual |= {name for name, item in optional.items() if values[name] == item.default}
    stated = {name: getattr(test, name) for name in form.choices} | dimension_texts(test)
    entry |= {name: text for name, text in stated.items() if whole or name not in usual}
    if uncertainties := uncertainty_texts(test):
        entry["uncertainty"] = one_or_all(list(uncertainties.values()))
    if test.error != "relative":
        entry["error"] = test.error
    if whole:
        entry["model_error"] = bare_number(test.model_error)
        entry["model_error_reason"] = AS_SET
    if unusual := unusual_names(test):
        entry["unusual"] = unusual
    return entry
