"""What a folder does not state and the reader fills in: model errors and uncertainties of dimensions, each with a note."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..nomenclature import number, written
from .entries import with_fields

if TYPE_CHECKING:
    from .entries import Draft


def with_model_errors(drafts: Sequence[Draft]) -> tuple[list[Draft], list[str]]:
    """Return drafts with model errors and uncertainties filled in, and a list of sentences that say so."""
    notes, ready = [], []
    for draft in drafts:
        draft, said = _with_own_uncertainties(draft)
        ready.append(draft)
        notes += said
    spreads = [_share_of_dimensions(draft) for draft in ready]
    sizes = {}
    for kind in dict.fromkeys(draft.form.kind for draft in ready):
        same = [k for k, draft in enumerate(ready) if draft.form.kind is kind]
        usual = kind.usual_model_error([ready[k].record() for k in same])
        open_ones = [k for k in same if ready[k].model_error is None]
        if not open_ones:
            continue
        share, names = max((spreads[k] for k in open_ones), key=lambda found: found[0])
        size = float(np.hypot(usual, share)) if share else usual
        sizes |= dict.fromkeys(open_ones, size)
        added = f", with {written(share, '%', 2)} for the uncertainty of {names}" if share else ""
        told = kind.gives[0].replace("_", " ") if kind.gives else "stress"
        notes.append(
            f"{kind.kind}: model_error is not stated; {number(size)} was taken (standard deviation of the ln of the {told}, usual "
            f"for this test: {number(usual)}{added})."
        )
    filled = [with_fields(d, model_error=sizes.get(k, d.model_error)) for k, d in enumerate(ready)]
    return filled, notes


def _with_own_uncertainties(draft):
    """Return the draft with the uncertainties that its record holds itself, stated or usual."""
    fields, notes, values = {}, [], draft.dimensions.values
    for name, share in draft.form.shares.items():
        spread = draft.dimensions.spreads.get(name)
        middle = values.get(name, _tip_diameter(values))
        if name in draft.dimensions.assumed:
            about = draft.form.quantity(name)
            taken = f"{written(values[name], about)} ± {written(spread, about)}"
            notes.append(f"{draft.where}: {name} is not stated; {taken} was taken.")
        if spread is not None:
            typed = draft.dimensions.shares.get(name)
            fields[share.field] = (spread / middle if typed is None else typed) if share.share else spread
        elif middle is None:
            continue
        elif not share.value:
            exactly = written(middle, draft.form.quantity(name), 6)
            notes.append(f"{draft.where}: {name} was taken as exactly {exactly}; state it with ± if it is not.")
        else:
            fields[share.field] = share.value
            size = written(share.value, "%" if share.share else draft.form.quantity(name))
            notes.append(f"{draft.where}: the uncertainty of {name} is not stated; {size} was taken ({share.reason}).")
    return with_fields(draft, **fields), notes


def _tip_diameter(values):
    tips = [name for name in values if name[:7] == "nozzle " and name.endswith((" diameter", " outlet_diameter"))]
    return values[max(tips, key=lambda name: int(name.split()[1]))] if tips else None


def _share_of_dimensions(draft):
    """Return the sd of ln stress that stated uncertainties of dimensions give, and their names in words.

    Each dimension is moved by its standard uncertainty and the stress read off again; those that the record holds itself
    do not count here.
    """
    base, shares, names = _stress(draft.record()), [], []
    if not base.size:
        return 0.0, ""
    for name, spread in draft.dimensions.spreads.items():
        if name in draft.form.shares:
            continue
        moved = _stress(draft.record({name: draft.dimensions.values[name] + spread}))
        if moved.shape == base.shape and np.all(base > 0) and np.all(moved > 0):
            shares.append(float(np.abs(np.mean(np.log(moved / base)))))
            names.append(name)
    kept = [(s, n) for s, n in zip(shares, names, strict=True) if s > 0]
    return float(np.linalg.norm([s for s, _ in kept])), ", ".join(n for _, n in kept)


def _stress(record):
    """Return the stresses that a record gives without a fit, or the first property that it gives instead of them."""
    if record.gives:
        return np.array([one.value for one in record.properties().values()][:1])
    stress = record.yield_stresses()
    return np.asarray(stress if np.size(stress) else record.rough_curve()[1])
