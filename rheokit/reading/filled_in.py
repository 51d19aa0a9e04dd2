"""What a folder does not state and the reader fills in, each with a note: model errors, uncertainties, a density measured."""

import warnings

import numpy as np

from ..bench import KINDS
from ..bench.measured import FARTHEST, SMALLEST, merged
from ..errors import DataError
from ..laws import LAWS, Shifted
from ..nomenclature import QUANTITIES, number, unit_for, with_decimals, with_uncertainty, with_unit, written
from ..units import unit_scale
from .dimensions import tip_of
from .stated import Stated, stated_number

SMALL = 1e-3  # more of a stress, for a derivative


def with_model_errors(drafts):
    """Return drafts with model errors and uncertainties filled in, and a list of sentences that say so."""
    pairs = [_with_own_uncertainties(draft) for draft in drafts]
    ready, notes, sizes = [draft for draft, _ in pairs], [note for _, said in pairs for note in said], {}
    spreads = [_share_of_dimensions(draft) for draft in ready]
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
        meant = f"standard deviation of the ln of the {told}, usual for this test: {number(usual)}{added}"
        notes.append(f"{kind.kind}: model_error is not stated; {number(size)} was taken ({meant}).")
    return [d.with_fields(model_error=sizes.get(k, d.model_error)) for k, d in enumerate(ready)], notes


def _with_own_uncertainties(draft):
    """Return the draft with the uncertainties that its record holds itself, stated or usual, and notes on what it leaves open."""
    fields, notes, values = {}, [*draft.dimensions.notes], draft.dimensions.values
    for name, usual in draft.form.shares.items():
        stated = draft.dimensions.uncertain.get(name)
        middle = values.get(name, values.get(tip_of(values)))
        if name in draft.dimensions.assumed:
            about = draft.form.quantity(name)
            taken = _beside(values[name], stated.uncertainty, about)
            notes.append(f"{draft.where}: {name} is not stated; {taken} was taken.")
        if stated is not None:
            fields[f"{name}_uncertainty"] = stated.spread_as(usual)
        elif middle is None:
            continue
        elif not usual.value:
            exactly = written(middle, draft.form.quantity(name), 6)
            notes.append(f"{draft.where}: {name} was taken as exactly {exactly}; state it with ± if it is not.")
        else:
            fields[f"{name}_uncertainty"] = usual.value
            size = written(usual.value, "%" if usual.share else draft.form.quantity(name))
            notes.append(f"{draft.where}: the uncertainty of {name} is not stated; {size} was taken ({usual.reason}).")
    for name, choice in draft.form.choices.items():
        options = choice.metadata.get("options", ())
        if choice.default in options and name not in draft.fields:
            other = " or ".join(one for one in options if one != choice.default)
            notes.append(f"{draft.where}: {name} is not stated; {choice.default} was taken, and not {other}.")
    return draft.with_fields(**fields), notes


def _share_of_dimensions(draft):
    """Return the sd of ln stress that stated uncertainties of dimensions give, and their names in words.

    Each dimension is moved by its standard uncertainty and the stress read off again; those that the record holds itself
    do not count here. A rate that moves, such as that of a mass caught of an uncertain density, counts like the stress: a
    slope of 1, the most that pastes have. What is not read off without a fit, such as what the barrel wall carries, is predicted
    by a law through the readings: the stress counts that would have moved these as much.
    """
    base, shares, said = _stress(draft.record()), {}, {}
    if not base.size:
        return 0.0, ""
    rates = _rates(draft.record())
    for name, stated in draft.dimensions.uncertain.items():
        if name in draft.form.shares:
            continue
        record = draft.record({name: stated.value + stated.uncertainty})
        moved = _stress(record)
        if moved.shape == base.shape and np.all(base > 0) and np.all(moved > 0):
            shift = np.mean(np.log(moved / base))
            if rates.size:
                moves = np.round(np.mean(np.log(_rates(record) / rates)), 9)  # the same for other rows of one record
                if moves:
                    both = [written(float(abs(one)), "%", 2) for one in (shift, moves)]
                    said[name] = (
                        f" (it moves the stress by {both[0]} and the rate by {both[1]}, which counts like the stress)"
                    )
                shift -= moves
            if not shift and rates.size:
                shift = _predicted_shift(draft.record(), record, rates, base)
            shares[name] = float(np.abs(shift))
    kept = {name: share for name, share in shares.items() if share > 0}
    return float(np.linalg.norm(list(kept.values()))), ", ".join(name + said.get(name, "") for name in kept)


def _predicted_shift(record, moved, rates, stresses):
    """Return the ln of the factor on every stress that moves the readings predicted of a record as much as other dimensions do, in the mean; 0 for none."""
    try:
        with warnings.catch_warnings(action="ignore"), np.errstate(all="ignore"):
            law = LAWS["Herschel-Bulkley"].guess(rates, stresses)
            before, after = (np.log(one.predict(law)) for one in (record, moved))
            stiffer = np.log(record.predict(Shifted(law, 1 + SMALL))) - before
            shifts = (after - before) / stiffer * np.log1p(SMALL)
    except DataError:  # readings of which no law can be made
        return 0.0
    shifts = np.round(shifts[np.isfinite(shifts)], 9)
    return float(np.mean(shifts)) if shifts.size else 0.0


def _stress(record):
    """Return the stresses that a record gives without a fit, or the first property that it gives instead of them."""
    if record.gives:
        return np.array([one.value for one in record.properties().values()][:1])
    stress = record.yield_stresses()
    return np.asarray(stress if np.size(stress) else record.rough_curve()[1])


def _rates(record):
    """Return the shear rates at which a record gives its stresses, where they are of a curve; else none."""
    rates = np.empty(0) if record.gives or np.size(record.yield_stresses()) else record.rough_curve()[0]
    return rates if np.all(rates > 0) else np.empty(0)


def lends(entry):
    """Say whether a [[test]] measures what other tests may need: the density, or what is of its apparatus."""
    kind = entry.get("kind")
    return isinstance(kind, str) and kind in KINDS and ("density" in KINDS[kind].gives or KINDS[kind].of_apparatus)


def borrowed_density(draft):
    """Return the density that a draft needs besides its readings, None where it needs none."""
    needed = "density" in draft.form.dimensions or "density" in draft.typed.given()
    return draft.dimensions.values.get("density") if needed else None


def with_lent(numbers, drafts):
    """Return the numbers of the specimen with the density that drafts measure, and a note on it; "" where none does.

    What the specimen states stays; then the note says so, and by how much the test differs.
    """
    drafts = [draft for draft in drafts if "density" in draft.form.kind.gives]
    if not drafts:
        return numbers, ""
    lent = _measured("density", drafts)
    if "density" not in numbers:
        return numbers | {"density": lent}, f"density is not stated of the specimen; {lent.text}, was taken."
    stated = numbers["density"]
    return numbers, "" if stated is None else _stays("density", stated, lent, "[specimen]")


def lent_by_apparatus(apparatus, entries, drafts):
    """Return by name of an apparatus what drafts measure of it, a `Stated` by its name, and notes on what its runs take.

    What the apparatus states stays; then the note says so, and by how much the test differs.
    """
    found, notes = {}, []
    for entry, draft in zip(entries, drafts, strict=True):
        if (
            draft is None
            and lends(entry)
            and KINDS[entry["kind"]].of_apparatus
            and isinstance(entry.get("apparatus"), str)
        ):
            found[entry["apparatus"]] = dict.fromkeys(KINDS[entry["kind"]].gives)  # faulty, and told where it stands
    drafts = [draft for draft in drafts if draft and draft.form.kind.of_apparatus]
    for name in dict.fromkeys(draft.fields.get("apparatus") for draft in drafts):
        same = [draft for draft in drafts if draft.fields.get("apparatus") == name]
        of, where = same[0].form.kind.gives[0], f"[apparatus.{name}]" if name else "its [[test]]"
        lent = _measured(of, same)
        found[name] = {of: lent}
        if of in apparatus.get(name, {}):
            notes += _stated_stays(of, apparatus[name], lent, where)
            continue
        runs = [(k, e) for k, e in enumerate(entries, 1) if e.get("apparatus") == name and _needs(e, of)]
        own = [(k, entry) for k, entry in runs if of in entry]
        notes += [f"{of} of {where} is not stated; {lent.text}, was taken."] if len(own) < len(runs) else []
        for k, entry in own:
            notes += _stated_stays(of, entry, lent, f"[[test]] {k}")
    return found, notes


def _needs(entry, name):
    """Say whether the kind of a [[test]] has a dimension of its apparatus."""
    kind = KINDS.get(entry["kind"]) if isinstance(entry.get("kind"), str) else None
    return bool(kind and kind.assembly and name in kind.assembly.dimensions)


def _stated_stays(name, table, lent, where):
    """Return the note on what a table states and a test measures; none where what is stated is faulty, which is told there."""
    try:
        return [_stays(name, stated_number(table[name], QUANTITIES[name].unit, name), lent, where)]
    except DataError:
        return []


def _beside(value, error, of):
    """Return a value and its standard uncertainty, in one unit, such as 6.38 ± 0.89 N."""
    unit = unit_for(of, value)
    middle, spread = with_uncertainty((value - unit.zero) / unit.factor, error / unit.factor)
    return f"{middle} ± {with_unit(spread, unit.text)}"


def _measured(name, drafts):
    """Return what drafts measure of one property as a `Stated`, its text says by what."""
    records = [draft.record() for draft in with_model_errors(drafts)[0]]
    with warnings.catch_warnings():  # that they disagree stands in the origin, which the note repeats
        warnings.simplefilter("ignore")
        one = merged(records)[name]
    places = ", ".join(draft.where.removeprefix("bench.toml, ") for draft in drafts)
    unit, error = QUANTITIES[name].unit, one.value * one.spread
    told = (
        f"{_beside(one.value, error, name)}, measured by the {drafts[0].form.kind.kind} test ({places}: {one.origin})"
    )
    return Stated(one.value, error, unit_scale(unit, unit), told)


def _stays(name, stated, lent, where):
    """Return in a sentence that what is stated was taken and not what a test measures, and how far they lie apart."""
    sizes = lent.uncertainty / lent.value, (stated.uncertainty or 0.0) / (stated.value or lent.value)
    unlike = abs(np.log(stated.value / lent.value)) if stated.value > 0 else np.inf
    apart = unlike / np.hypot(*np.maximum(sizes, SMALLEST))
    more = (
        f": they lie {with_decimals(apart, 1)} standard deviations apart, look for the cause"
        if apart > FARTHEST
        else ""
    )
    return f"{name} = {stated.text} was taken as {where} states it, and not {lent.text}{more}."
