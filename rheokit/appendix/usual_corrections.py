"""The usual corrections of every kind of test as rows of a table: one a correction and kind, what is alike of several records said once.

What pushes paste through a nozzle has rows of its own, in the section of the corrections.
"""

from collections.abc import Iterable, Iterator, Sequence

from ..bench.base import BenchTest
from ..bench.run import Run
from ..bench.usual_corrections import NOT_APPLIED, UNKNOWN, Usual
from ..corrections.inertia import ADIABATIC, WARMS, most_warming
from ..nomenclature import marked, number, written
from .authors import APPARATUS, KEYS, TABLE
from .study import Study

Row = tuple[str, str, str, str]
AT = {-1: "at most ", 1: "at least "}
BEYOND = "what misleads, and is not corrected for"


def rows(study: Study) -> Iterator[Row]:
    """Return a row for each usual correction of the tests of the bench, or what misleads in a kind that knows none."""
    kinds: dict[str, list[BenchTest]] = {}
    for test in study.tests:
        kinds.setdefault(test.kind, []).append(test)
    for kind, tests in kinds.items():
        found = [(test, one) for test in tests for one in test.corrections()]
        for name in dict.fromkeys(one.name for _, one in found):
            alike = [(test, one) for test, one in found if one.name == name]
            yield (
                f"{name} ({kind})",
                _alike(alike, "status"),
                _alike(alike, "size"),
                _how(study, [one for _, one in alike]),
            )
        if not found and tests[0].nozzle is None and tests[0].artefacts:
            yield f"{BEYOND} ({kind})", NOT_APPLIED, marked("; ".join(tests[0].artefacts)), _theory(tests)


def _alike(found: Sequence[tuple[BenchTest, Usual]], name: str) -> str:
    """Return what several records say of a correction: once where all say the same, else with the name of each."""
    told = [getattr(one, name) for _, one in found]
    if len(set(told)) == 1:
        return told[0]
    return "; ".join(f"{test.name}: {one}" for (test, _), one in zip(found, told, strict=True))


def _how(study: Study, found: Iterable[Usual]) -> str:
    found = list(found)
    said, beside = (
        "; ".join(dict.fromkeys(told))
        for told in ([one.how for one in found], [_beside(study, one.beside) for one in found])
    )
    key = next((one.key for one in found if one.key), "")
    if not key:
        return said + beside
    if study.book.plan.text(TABLE, key).strip():
        return (
            f"{said}. What the authors state: “{'Apparatus' if key in APPARATUS else 'Protocol'}”, {KEYS[key]}{beside}"
        )
    return f"{said} ({key}){beside}"


def _beside(study: Study, name: str) -> str:
    """Return in words the property of the paste that a correction needs too, with its value where it is known; "" where it needs none."""
    if not name:
        return ""
    words, known = name.replace("_", " "), study.bench.properties().get(name) or study.bench.stated().get(name)
    return (
        f"; also the {words}"
        if known is None
        else f"; the {words} is known, {AT.get(known.side, '')}{written(known.value, name, 4)} ({known.origin.partition(';')[0]})"
    )


def _theory(tests: Sequence[BenchTest]) -> str:
    """Return how what no correction is made for counts: in the error of the theory of a kind, or nowhere."""
    sizes = sorted({test.model_error for test in tests})
    told = " and ".join(number(one) for one in sizes if one)
    if not told:
        return "counts nowhere: the theory of the test is taken as exact"
    return f"counts in the error of its theory alone, sd of ln {told}"


def heating(study: Study, runs: Sequence[Run]) -> tuple[str, str]:
    """Return in words how much friction in the nozzle warms the paste of runs at most, and by what."""
    paste = study.material.paste if study.knows("material") else None
    known = getattr(paste, "density", None), getattr(paste, "heat_capacity", None)
    most = most_warming(runs, *known)
    unread = "no reading is of the temperature of the paste behind the nozzle"
    if most is None:
        return UNKNOWN, unread
    whose = (
        "of density and heat capacity of the paste"
        if None not in known
        else f"ρ c = {number(WARMS / 1e6)} MJ/(m³·K) assumed, the least usual of a wet paste"
    )
    return (
        f"not read; on the mean over the section at most {number(most, 2)} K, if no heat leaves",
        f"{ADIABATIC}; {whose}; {unread}",
    )
