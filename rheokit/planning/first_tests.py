"""What to measure first: the bench tests that fit the tools at hand and how a paste feels, in order.

How a paste feels tells its yield stress to a factor of several; that is enough to choose the test whose window it falls into,
and what to expect there. First comes a test that gives the yield stress by itself, because a flow curve alone rarely
holds one; then the curve over the rates of use; then what else a print asks of its paste.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from ..bench import KINDS, BenchTest
from ..bench.base import STATIC_RATIO, quantity_of
from ..bench.property_test import PropertyTest
from ..bench.run import Run
from ..bench.tools import TOOLS, in_words, missing, tools_of
from ..bench.usual import protocol_of, usual_properties, usual_readings, usual_record
from ..hints import Table
from ..machine.extruder import UNRATED
from ..nomenclature import QUANTITIES, between, number, with_decimals, written
from ..sampling import SURE
from ..things import called, named
from .feels import FEELS, LIQUIDS, Asked
from .legible import law_of

COVERS = 0.6  # share of the range of a feel, by its ln, that a test covers if it is to be the first
ADDS = 0.2  # share that a second one must add
ROUGH = 2  # digits of what is expected
ANY_STRESS = 100.0  # Pa: the shear rates that a test covers do not depend on the yield stress of the usual law

WANTED = (
    "gel_temperature", "melt_temperature", "setting_time", "dry_section", "surface_tension", "density", "air_content", "grain_size",
    "largest_grain", "water_content", "modulus", "shrinkage_xy", "shrinkage_z",
)  # fmt: skip
"""Properties in the order in which a fibre and a print ask for them; a test of others comes after."""


def first_tests(tools: str | Iterable[str], feel: str) -> Table:
    """Return the bench tests to make first, one a row and in order, for what is at hand and how the paste feels.

    Parameters
    ----------
    tools : sequence of str
        Keys of `rheokit.bench.tools.TOOLS`, in any order and case: "scale", "ruler", "syringe", "cup", "oven", "viscometer"...
        A watch, a flat board, two plates and weights are taken to be at hand.
    feel : {"pours", "spoons", "holds a peak", "can be cut", "pours like honey", "sets on cooling"}
        Of a paste, or of a liquid without a yield stress, that sets when it cools or never does.

    Returns
    -------
    tests : DataFrame
        By order from 1: kind (``rk.new_bench(folder, tests)`` makes the folder to fill in), protocol, expected (the reading with
        its range and unit), tells, tools, watch (what goes wrong), caution (what can hurt). In ``tests.attrs["said"]`` stands what
        the feel was taken for, what stays unknown with these tools, and what would settle it.

    Raises
    ------
    TypeError
        For tools that are no list of words, or a feel that is no word.
    DataError
        For a word that is no tool or no feel, with the nearest that is.

    Notes
    -----
    That a feel means a range of yield stresses, or of viscosities, is a rule of thumb: common practice, no source. So are the usual
    dimensions and the law of expected readings of a paste: consistency 0.3 times the yield stress, flow index 0.4.

    Examples
    --------
    >>> list(first_tests(["scale", "ruler", "cup", "syringe"], "holds a peak")["kind"])[0]
    'loaded plate'
    """
    known = {**FEELS, **LIQUIDS}
    held, word = tools_of("first_tests", tools), " ".join(feel.lower().split()) if isinstance(feel, str) else feel
    if not isinstance(word, str):
        raise TypeError(f"first_tests: feel is {called(feel)}; give a word: {', '.join(known)}.")
    named("first_tests", [word], known, "feel")
    asked = Asked(held, word, *known[word])
    kinds = _in_order(asked, [kind for kind in KINDS.values() if asked.serves(kind) and asked.has(kind)])
    from ..frames import Told

    table = Told(
        [_row(asked, kind, kinds) for kind in kinds],
        columns=["kind", "protocol", "expected", "tells", "tools", "watch", "caution"],
        index=range(1, len(kinds) + 1),
    )
    table.index.name = "order"
    table.attrs["said"] = _said(asked, kinds)
    return table


# --- which, and in which order ----------------------------------------------------------------------------------------


def _rates(kind: type[BenchTest]) -> np.ndarray:
    """Return the shear rates [1/s] that the usual readings of a kind cover; none of a test of the yield stress or of properties."""
    return np.empty(0) if kind.gives else usual_record(kind).shear_rates(law_of(ANY_STRESS))


def _is_curve(kind: type[BenchTest]) -> bool:
    return not kind.gives and len(_rates(kind)) > 0


def _in_order(asked: Asked, made: Sequence[type[BenchTest]]) -> list[type[BenchTest]]:
    """Return the kinds of some that are worth making, in order."""
    single = _yield_stress_tests(asked, made)
    covering = single[:1]
    low, high = asked.ends(single[0]) if single else (asked.high, asked.low)
    for kind in single[1:]:  # what the first one leaves open
        least, most = asked.ends(kind)
        if max(low - least, 0.0) + max(most - high, 0.0) > 0 and _added(asked, kind, low, high) > ADDS:
            covering.append(kind)
            low, high = min(low, least), max(high, most)
    curves = sorted((kind for kind in made if _is_curve(kind)), key=lambda kind: kind.default_model_error)
    other = [kind for kind in single if kind not in covering and kind.state != single[0].state][:1]
    besides = sorted((kind for kind in made if kind.gives and not kind.of_apparatus), key=_place)
    apparatus = [kind for kind in made if kind.of_apparatus and any(_lends(kind, curve) for curve in curves)]
    return [*covering, *apparatus, *curves, *other, *besides]


def _lends(kind: type[BenchTest], curve: type[BenchTest]) -> bool:
    """Say whether a kind measures what another asks of its apparatus."""
    return curve.assembly is not None and bool({*kind.gives} & {*curve.assembly.dimensions})


def _yield_stress_tests(asked: Asked, made: Iterable[type[BenchTest]]) -> list[type[BenchTest]]:
    """Return the tests that give a yield stress by themselves and reach that of the feel, the best first."""
    if asked.liquid:
        return []
    found = [kind for kind in made if not kind.gives and not _is_curve(kind) and asked.share(kind) > 0]

    def rank(kind):
        return (
            asked.share(kind) < COVERS,
            kind.state == "static",
            not kind.cheap,
            kind.default_model_error,
            -asked.share(kind),
        )

    return sorted(found, key=rank)


def _added(asked: Asked, kind: type[BenchTest], low: float, high: float) -> float:
    """Return the share of the range of the feel that a kind covers beyond `low` to `high` [Pa]."""
    least, most = asked.ends(kind)
    beyond = max(np.log(low / least), 0.0) + max(np.log(most / high), 0.0)
    return float(beyond / np.log(asked.high / asked.low))


def _place(kind: type[BenchTest]) -> int:
    return min((WANTED.index(name) for name in kind.gives if name in WANTED), default=len(WANTED))


# --- a row ------------------------------------------------------------------------------------------------------------


def _row(asked: Asked, kind: type[BenchTest], kinds: Sequence[type[BenchTest]]) -> tuple[str, ...]:
    expected = _properties(asked, kind) if issubclass(kind, PropertyTest) else _readings(asked, kind)
    watch = [*kind.artefacts, *_density(kind, kinds)]
    caution = " ".join(filter(None, [kind.caution, _pressed(asked, kind)]))
    return kind.kind, protocol_of(kind), expected, _tells(asked, kind), in_words(kind.tools), "; ".join(watch), caution


def _words(name: str) -> str:
    return name.replace("_", " ")


def _readings(asked: Asked, kind: type[BenchTest]) -> str:
    """Return in words the readings that usual laws give on the usual apparatus, at each of its settings."""
    record, (low, high) = usual_record(kind), asked.ends(kind)
    about = quantity_of(record, record.reads)
    least, most = np.sort([usual_readings(kind, asked.law(end)) for end in (low, high)], axis=0)
    settings = [name for name in record.columns if name in kind.usual]
    said = []
    for place in (0, -1) if len(least) > 1 else (0,):
        at = "".join(f" at {written(getattr(record, name)[place], quantity_of(record, name))}" for name in settings)
        said.append(between(least[place], most[place], about, ROUGH) + at)
    known, unit, what = ("viscosity", "Pa·s", "liquid") if asked.liquid else ("yield stress", "Pa", "paste")
    start = f"{_words(record.reads)} {', '.join(said)}, if the {known} is {between(low, high, unit, ROUGH)}"
    sides = zip(("below", "above"), record.window, strict=True)
    outside = [f"{side} {written(end, about, ROUGH)}" for side, end in sides if 0 < end < np.inf]
    bound = f"; {' and '.join(outside)} it is a bound and no number" if outside else ""
    softer, stiffer = max(asked.low, kind.measures[0]) < low, min(asked.high, kind.measures[1]) > high
    beyond = [f"below {written(low, 'Pa', ROUGH)}"] * softer + [f"above {written(high, 'Pa', ROUGH)}"] * stiffer
    bound += f", as of a yield stress {' or '.join(beyond)}" if beyond else ""
    return f"{start} (a rule of thumb for a {what} that {asked.feel}){bound}"


def _properties(asked: Asked, kind: type[PropertyTest]) -> str:
    """Return in words the usual readings of a test of properties, and what they give."""
    record, ends = usual_record(kind), kind.usual_readings
    about = quantity_of(record, record.reads)
    read = [f"{_words(record.reads)} {between(min(ends), max(ends), about, ROUGH)}"] if np.ndim(ends) == 1 else []
    given = [
        f"{_words(name)} {between(low, high, name, ROUGH)}"
        for name, (low, high) in usual_properties(kind).items()
        if low < high * (1 - 1e-9)
    ]
    return f"{', that is '.join(filter(None, [*read, ' and '.join(given)]))} (usual {asked.sort}s: a rule of thumb)"


def _tells(asked: Asked, kind: type[BenchTest]) -> str:
    if kind.gives:
        return ", ".join(QUANTITIES[name].meaning if name in QUANTITIES else _words(name) for name in kind.gives)
    if asked.liquid:
        laws = [asked.law(end) for end in (asked.low, asked.high)]
        rates = np.concatenate([usual_record(kind, usual_readings(kind, law)).shear_rates(law) for law in laws])
        return f"the viscosity at shear rates of {between(np.min(rates), np.max(rates), 'shear_rate', ROUGH)}"
    if len(rates := _rates(kind)):
        return f"the flow curve at shear rates of {between(np.min(rates), np.max(rates), 'shear_rate')}, those of its settings"
    factor = np.exp(SURE * kind.default_model_error)
    stress = "static_yield_stress" if kind.state == "static" else "yield_stress"
    ratio = f"; {with_decimals(STATIC_RATIO[0])} times the dynamic one is expected" if kind.state == "static" else ""
    return f"the {QUANTITIES[stress].meaning}, to a factor of {number(factor, 2)}{ratio}"


def _density(kind: type[BenchTest], kinds: Sequence[type[BenchTest]]) -> list[str]:
    """Say where the density comes from that a test needs."""
    if "density" not in kind.__dataclass_fields__:
        return []
    weighed = [one.kind for one in kinds if "density" in one.gives]
    return [f"it needs the density: {f'that of the {weighed[0]} below' if weighed else 'weigh a cup of known volume'}"]


def _pressed(asked: Asked, kind: type[BenchTest]) -> str:
    """Say where the stiffest paste of the feel asks for more pressure than a barrel without a printed rating may take."""
    if kind.gives:
        return ""
    record = usual_record(kind, usual_readings(kind, asked.law(asked.high)))
    if not isinstance(record, Run):
        return ""
    most = float(np.max(record.pressures({})))
    if most <= UNRATED:
        return ""
    return (
        f"Here up to {written(most, 'pressure')} is expected, and {written(UNRATED, 'pressure')} is the most for a barrel without a "
        "printed rating: take a rated one, a wider or a shorter nozzle, or flow more slowly."
    )


# --- what is said of all of it ----------------------------------------------------------------------------------------


def _said(asked: Asked, kinds: Sequence[type[BenchTest]]) -> list[str]:
    """Return sentences: what the feel was taken for, what stays unknown, and what would settle it."""
    said = [
        f"A {'liquid' if asked.liquid else 'paste'} that {asked.feel} is taken to have {asked.taken_for()}. That is a rule of thumb, "
        "common practice without a source: once the first test is made, go by its reading.",
    ]
    if asked.sort == "gel":
        said.append(
            "Make every test of its flow at three temperatures or more, the coldest three kelvins above the one at which it sets, with the needle "
            "as warm as the barrel: one fit of rk.heated(rk.Newtonian) is then its law at each of them."
        )
    if not asked.tools:
        said.append("No tool was named, and no test can be made without one.")
    every = [kind for kind in KINDS.values() if asked.serves(kind)]
    fitting = _yield_stress_tests(asked, every)
    if not asked.liquid and not any(kind in fitting for kind in kinds):
        by_curve = any(map(_is_curve, kinds))
        told = (
            "The yield stress follows from the flow curve alone, as far as its slowest rates show it"
            if by_curve
            else "The yield stress stays unknown"
        )
        said.append(f"{told}. {_settled(asked, [k for k in fitting if asked.share(k) >= COVERS])}")
    if not any(_is_curve(kind) for kind in kinds):
        curves = _settled(asked, [kind for kind in every if _is_curve(kind)])
        said.append(f"No flow curve can be measured, so force and pressure at speed stay unknown. {curves}")
    lacking = [
        f"{' and '.join(map(_words, kind.gives))} ({', '.join(missing(kind.tools, asked.tools))})"
        for kind in sorted(
            (kind for kind in every if kind.gives and not kind.of_apparatus and not asked.has(kind)), key=_place
        )
    ]
    if lacking:
        said.append(f"Not measured either, for want of tools (in brackets): {'; '.join(lacking)}.")
    return said


def _settled(asked: Asked, kinds: Sequence[type[BenchTest]]) -> str:
    """Return in words what would make the two of some kinds possible that lack the fewest tools."""
    nearest = sorted(kinds, key=lambda kind: len(missing(kind.tools, asked.tools)))[:2]
    ways = [(" and ".join(TOOLS[one] for one in missing(kind.tools, asked.tools)), kind.kind) for kind in nearest]
    return f"To settle it get {'; or '.join(f'{tools} (for a test of the kind {kind})' for tools, kind in ways)}."
