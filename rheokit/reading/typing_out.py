"""Records as the text of a folder: numbers with their units, entries of bench.toml, tables of readings."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from ..flow.nozzles import Cylinder
from ..hints import Numbers
from ..nomenclature import measure
from ..units import unit_scale
from .forms import form_of
from .guards import NEVER_ABOVE, doubt, doubt_reading, doubt_spread

if TYPE_CHECKING:
    from ..units import Scale

if TYPE_CHECKING:
    from ..bench.base import BenchTest
    from .forms import Form

AS_SET = "as set in the record that was written"
"""The reason of a model error that a record held and no folder stated."""
MARKS = {-1: "<", 0: "", 1: ">"}


def scale_of(si_unit: str) -> Scale:
    """Return the `Scale` in which a quantity stands in a file."""
    return unit_scale(measure(si_unit).typed[0], si_unit)


def with_unit(value: Any, si_unit: str, spread: Numbers | None = None, share: Numbers | None = None) -> str:
    """Return an SI value as text with its unit and, where given, its standard uncertainty (SI, or as a share)."""
    scale = scale_of(si_unit)
    unit = "" if scale.text == "-" else f" {scale.text}"
    text = f"{scale.to_text(value)}{unit}"
    if share is not None:
        return f"{text} ± {unit_scale('%', '-').to_text(share)} %"
    if spread is not None:
        return f"{text} ± {scale._replace(offset=0 * scale.offset).to_text(spread)}{unit}"
    return text


def bare_number(value: Any) -> float:
    """Return a number without unit as TOML writes it."""
    value = float(value)
    return int(value) if value.is_integer() and abs(value) < 1e15 else value


def dimension_values(test: BenchTest) -> dict[str, Any]:
    """Return the value of every dimension of a record by name, its nozzle among them; None for one it goes without."""
    form = form_of(type(test))
    values = dict(form.kind.assembly.take_apart(test)) if form.kind.assembly else {}
    return values | {name: getattr(test, name) for name in form.dimensions if name not in values}


def _spreads(test):
    """Return the uncertainty that a record holds of a dimension, and whether as a share, by name."""
    return {name: (getattr(test, s.field), s.share) for name, s in form_of(type(test)).shares.items()}


def dimension_texts(test: BenchTest) -> dict[str, Any]:
    """Return every dimension of a record as it stands in bench.toml, by name; "none" for one it goes without."""
    form, found, values = form_of(type(test)), {}, dimension_values(test)
    spreads = _spreads(test)
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


def uncertainty_texts(test: BenchTest) -> dict:
    """Return what the `uncertainty` of a [[test]] states, by the name of the field: what is the same for all rows."""
    unit = form_of(type(test)).quantity(test.reads).unit
    texts = {}
    if test.uncertainty is not None and np.ndim(test.uncertainty) == 0:
        scale = scale_of(unit)
        bare = scale._replace(offset=0 * scale.offset).to_text(test.uncertainty)
        texts["uncertainty"] = bare if scale.text == "-" else f"{bare} {scale.text}"
    if test.relative_uncertainty is not None and np.ndim(test.relative_uncertainty) == 0:
        texts["relative_uncertainty"] = f"{unit_scale('%', '-').to_text(test.relative_uncertainty)} %"
    return texts


def one_or_all(texts: list[str]) -> str | list[str]:
    """Return texts as a key of bench.toml holds them: one alone, or a list."""
    return texts[0] if len(texts) == 1 else list(texts)


def doubtful_number(name: str, value: Any, spread: ArrayLike) -> bool:
    """Say whether the reader would doubt an SI value or its standard uncertainty."""
    return bool(doubt(name, value)) or _doubted(partial(doubt_spread, name), value, spread)


def _doubted(why, value, spread):
    """Say whether a spread is doubted, or so near to it that its last digit as written decides."""
    return any(why(value, spread * near) for near in (1 - 1e-9, 1 + 1e-9))


def unusual_names(test: BenchTest) -> list[str]:
    """Return the names of values that the reader would doubt, so that they are written as meant."""
    form, values = form_of(type(test)), dimension_values(test)
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
    by_row = [(name, getattr(test, name)) for name in (*test.columns, "relative_uncertainty")]
    for name, column in by_row:
        pairs += [] if column is None else [(name, np.min(column)), (name, np.max(column))]
    spreads = _spreads(test)
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
    found |= {name for name in test.columns if form.columns[name].positive and np.any(getattr(test, name) < 0)}
    known = dict(pairs)
    found |= {
        small
        for small, large in NEVER_ABOVE.items()
        if small in known and large in known and known[small] > known[large]
    }
    return sorted(found)


def dimensions_with_spreads(form: Form, test: BenchTest) -> dict[str, tuple]:
    """Return value and standard uncertainty of each dimension of a record, by name."""
    spreads = {name: getattr(test, share.field) for name, share in form.shares.items()}
    return {
        name: (value, spreads.get("bore" if name == "nozzle" else name))
        for name, value in dimension_values(test).items()
    }


def entry_of(test: BenchTest, file: str, batch: str, whole: bool = True) -> dict[str, Any]:
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
