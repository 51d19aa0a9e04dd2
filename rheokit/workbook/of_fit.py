"""What a plan says of the fit: the law, the tests that are left out, the rates at which the law will be used."""

from __future__ import annotations

from collections.abc import Iterable

from ..bench import Bench
from ..errors import DataError
from ..laws import LAWS
from ..reading.faults import shown
from ..things import nearest
from .plan import Plan

USUAL_LAW = "Herschel-Bulkley"
LEAVE_OUT = "fit", "leave_out"
ENDS = ("slowest_rate", "fastest_rate")


def law_of(plan: Plan) -> str:
    """Return the name of the law of a plan, the usual one where it says none; `DataError` where there is none of this name."""
    name = plan.text("fit", "law") or USUAL_LAW
    if name not in LAWS:
        where = f"{shown(str(plan.place), 200)}, [fit], law = {shown(name)}"
        raise DataError(f"{where} is no flow law{nearest(name, list(LAWS)) or '.'} There are {', '.join(LAWS)}.")
    return name


def rates_of(plan: Plan) -> tuple[float, float] | None:
    """Return the slowest and the fastest rate of use of a plan [1/s], None where it says neither; `DataError` where they are no two ends."""
    ends = [(key, value) for key in ENDS if (value := plan.value("fit", key)) is not None]
    if not ends:
        return None
    told = [f"{key} = {plan.text('fit', key)}" for key, _ in ends]
    if len(ends) == 1:
        wrong = f"{told[0]} stands alone; write both rates of use, or none"
    elif ends[0][1] > ends[1][1]:
        wrong = f"{' is above '.join(told)}; exchange them, or correct one"
    else:
        return ends[0][1], ends[1][1]
    raise DataError(f"{shown(str(plan.place), 200)}, [fit]: {wrong}")


def refused_of(plan: Plan) -> str:
    """Return why law and rates of a plan cannot be; nothing where they can."""
    try:
        law_of(plan)
        rates_of(plan)
    except DataError as error:
        return str(error)
    return ""


def name_of(test: object) -> str:
    """Return the name of a test in a plan: its label, or its kind where it has none."""
    return getattr(test, "label", "") or test.kind  # type: ignore[attr-defined]


def gone_tests(plan: Plan, bench: Bench) -> str:
    """Return which test a plan leaves out that a bench does not fit, and which there are; nothing where it fits all of them."""
    there = list(dict.fromkeys(name_of(test) for test in bench.tests if not test.gives))
    for name in plan.listed(*LEAVE_OUT):
        if name not in there:
            such = f"there are {', '.join(map(shown, there)) or 'none'}{nearest(name, there) or '.'}"
            return f"[fit], leave_out: {shown(name)} is no test to fit; {such} Correct it in plan.toml, or tick the tests anew in notebook 1."
    return ""


def of_left_out(plan: Plan, names: Iterable[str]) -> str:
    """Return which tests a plan leaves out, for who wonders what a fit lacks."""
    return (
        f"{shown(str(plan.place), 200)}, [fit], leave_out leaves out {', '.join(map(shown, names))}: fit some of them."
    )
